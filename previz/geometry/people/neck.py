"""The neck as a collar sees it: radii round a sloping ring, posed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cloth import Suit
from previz.geometry.people.meshing import Net, compact, cut
from previz.geometry.people.skeleton import unit

NEAR_M = 0.13  # of the neck's joint: all a collar touches


@dataclass(frozen=True, eq=False)
class Neck:
    """A ring round the base of the neck with its own axes; angles 0 in front, growing to the left.

    centre, ahead, left, up   (3,) posed; `up` stands square on the ring
    angle, reach              (n,) of the ring's points, by angle: radians, and metres from `centre`
    rest                      (n, 3) the same points at rest
    points, faces             the suit near the neck, posed
    """

    centre: Array
    ahead: Array
    left: Array
    up: Array
    angle: Array
    reach: Array
    rest: Array
    points: Array
    faces: Index

    def radius(self, angle: Array) -> Array:
        """Radius of the ring at angles (any shape), metres."""
        return np.asarray(np.interp(angle, self.angle, self.reach, period=2.0 * np.pi))

    def rest_at(self, angle: float) -> Array:
        """Point (3,) of the ring at rest."""
        turn = 2.0 * np.pi
        return np.array(
            [np.interp(angle, self.angle, self.rest[:, k], period=turn) for k in range(3)]
        )

    def at(self, angle: Array, radius: Array, height: Array) -> Array:
        """Posed points (..., 3) of angles, radii and heights over the ring."""
        angle, radius, height = np.broadcast_arrays(angle, radius, height)
        ways = np.cos(angle)[..., None] * self.ahead + np.sin(angle)[..., None] * self.left
        return np.asarray(self.centre + radius[..., None] * ways + height[..., None] * self.up)

    def section(self, height_m: float, angle: Array) -> Array:
        """Radius of the neck `height_m` over the ring; the ring's own where a jaw is in the way."""
        own = self.radius(angle)
        high = (self.points - self.centre) @ self.up - height_m
        faces, (points,) = cut(self.faces, high, self.points)
        loops = [points[k] for k in Net(faces, len(points)).loops() if len(k) > 20]
        loops = [k for k in loops if np.abs((k - self.centre) @ self.up - height_m).max() < 1e-6]
        if not loops:
            return own
        loop = min(loops, key=lambda k: float(np.linalg.norm(k.mean(axis=0) - self.centre)))
        about, reach = _polar(loop - self.centre, self.ahead, self.left)
        order = np.argsort(about)
        found = np.interp(angle, about[order], reach[order], period=2.0 * np.pi)
        return np.asarray(np.minimum(found, own))


def ring(suit: Suit, height_m: float) -> Neck:
    """The ring where a plane `height_m` over the neck's base meets the suit."""
    cuts = suit.cuts
    near = np.linalg.norm(suit.rest - cuts.joint("neck01"), axis=1) < NEAR_M
    faces, (rest, posed) = compact(suit.faces[near[suit.faces].all(axis=1)], suit.rest, suit.posed)
    over = cuts.over_collar(rest, height_m)
    open_faces, (at_rest, points, left_over) = cut(faces, over, rest, posed, over[:, None])
    loops = [
        k
        for k in Net(open_faces, len(points)).loops()
        if len(k) > 20 and np.abs(left_over[k]).max() < 1e-6
    ]
    loop = max(loops, key=len)
    at_rest, line = at_rest[loop], points[loop]
    centre = 0.5 * (line.min(axis=0) + line.max(axis=0))
    _, _, axes = np.linalg.svd(line - line.mean(axis=0), full_matrices=False)
    up = axes[2] * np.sign(axes[2, 2])
    front = line[int(np.argmin(at_rest[:, 1] + 2.0 * np.abs(at_rest[:, 0])))] - centre
    ahead = unit(front - (front @ up) * up)
    left = np.cross(up, ahead)
    about, reach = _polar(line - centre, ahead, left)
    order = np.argsort(about)
    return Neck(centre, ahead, left, up, about[order], reach[order], at_rest[order], posed, faces)


def _polar(rel: Array, ahead: Array, left: Array) -> tuple[Array, Array]:
    x, y = rel @ ahead, rel @ left
    return np.arctan2(y, x), np.hypot(x, y)
