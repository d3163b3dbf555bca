"""Where an eyeball sits in its socket, and which points of the skin are the edges of its lids."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.meshing import crossing, edges_within

# Estimates: how far the ball stands out of the body's own eye, so that lids touch it; how far to
# either side of its middle lids are farthest apart; how far over the middle of relaxed lids it
# looks out, and how far it may be moved for that.
PROUD_M = 0.0005
AHEAD_M = 0.004
OVER_MIDDLE_M = 0.0008
FARTHEST_M = 0.002


@dataclass(frozen=True, eq=False)
class Socket:
    """Where an eyeball sits: centre (3,) and radius, metres."""

    centre: Array
    radius_m: float


@dataclass(frozen=True, eq=False)
class Rims:
    """Points of the skin that are the edges of one eye's lids, whatever face they belong to.

    edges  (n, 2) of the skin, with `share` (n,) of the way from the first end to the second
    upper  (n,) whether a point belongs to the upper lid
    """

    edges: Index
    share: Array
    upper: NDArray[np.bool_]

    def of(self, vertices: Array) -> Array:
        """Those points (n, 3) of a body of `vertices` (V, 3)."""
        start, end = vertices[self.edges[:, 0]], vertices[self.edges[:, 1]]
        return np.asarray(start + self.share[:, None] * (end - start))


def socket(data: BodyData, vertices: Array, side: str) -> Socket:
    """The ball that fits the body's own eye, and looks out from the middle between its lids."""
    ball = _fitted(data, vertices, side)
    rims = lid_rims(data, side)
    points = rims.of(vertices) - ball.centre
    ahead = np.abs(points[:, 0]) < AHEAD_M
    upper, lower = points[ahead & rims.upper, 2], points[ahead & ~rims.upper, 2]
    between = 0.5 * (float(upper.max()) + float(lower.min()))
    up = np.array([0.0, 0.0, np.clip(between + OVER_MIDDLE_M, -FARTHEST_M, FARTHEST_M)])
    return Socket(ball.centre + up, ball.radius_m)


@lru_cache(maxsize=4)
def lid_rims(data: BodyData, side: str) -> Rims:
    """Edges of one eye's lids: where on the base body skin and eyeball touch."""
    edges, share, points = _touch(data, data.base, _fitted(data, data.base, side), side)
    x = np.abs(points[:, 0] - points[:, 0].mean())
    corners = np.argsort(x)[-2:]
    order = corners[np.argsort(points[corners, 0])]
    chord = np.interp(points[:, 0], points[order, 0], points[order, 2])
    return Rims(edges, share, np.asarray(points[:, 2] >= chord))


def touching(data: BodyData, vertices: Array, socket: Socket, side: str) -> Array:
    """Where the lids touch the eyeball, (n, 3) from its middle in no order; metres."""
    return _touch(data, vertices, socket, side)[2]


def _touch(
    data: BodyData, vertices: Array, socket: Socket, side: str
) -> tuple[Index, Array, Array]:
    """Edges of the lids that pass the eyeball's front, where on each, and the points from its
    middle."""
    points = vertices[data.part("body")] - socket.centre
    away = np.linalg.norm(points, axis=1) - socket.radius_m
    edges, share = crossing(_lid_edges(data, side), away)
    start, end = points[edges[:, 0]], points[edges[:, 1]]
    found = start + share[:, None] * (end - start)
    front = found[:, 1] < 0.0
    return edges[front], share[front], np.asarray(found[front])


@lru_cache(maxsize=4)
def _lid_edges(data: BodyData, side: str) -> Index:
    """Edges (n, 2) of the skin of one eye's lids."""
    on_lid = data.masks["eyelids"][data.part("body")] > 0.7
    x = data.base[data.part("body"), 0]
    on_lid &= (x > 0.0) if side == "left" else (x < 0.0)
    return edges_within(data.faces["body"], on_lid)


def _fitted(data: BodyData, vertices: Array, side: str) -> Socket:
    """The ball that fits the body's own eye."""
    points = vertices[data.part(f"eye_{side}")]
    front = points[:, 1].min()
    ball = points[points[:, 1] > front + 0.35 * np.ptp(points[:, 1])]
    # Sphere by least squares: |p|^2 = 2 p.c + (r^2 - |c|^2).
    rows = np.concatenate([2.0 * ball, np.ones((len(ball), 1))], axis=1)
    x = np.linalg.lstsq(rows, (ball**2).sum(axis=1), rcond=None)[0]
    radius_m = float(np.sqrt(x[3] + x[:3] @ x[:3]))
    # A man's own eye is longer than it is wide, and his lids lie round its front.
    return Socket(np.array([x[0], front + radius_m - PROUD_M, x[2]]), radius_m)
