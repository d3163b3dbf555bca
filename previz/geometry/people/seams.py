"""Seams: lines along which a garment is sewn together, as grooves between two raised edges.

A seam is a few millimetres wide and the triangles of cloth are not, so they are split along it
first. How high and how wide seams stand are estimates, judged by eye.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet
from previz.geometry.people.cuts import Cuts, Field
from previz.geometry.people.meshing import normals, split

Profile = tuple[tuple[float, float], ...]

# Across a seam, from the side where its line is negative: metres along the cloth, and off it.
PLAIN: Profile = ((-0.005, 0.0), (-0.0018, 0.0015), (0.0, -0.0005), (0.0018, 0.0013), (0.005, 0.0))
"""Both edges are pressed apart."""
LAPPED: Profile = (
    (-0.0110, 0.0), (-0.0075, 0.0008), (-0.0060, 0.0020), (-0.0008, 0.0023), (0.0008, -0.0003),
    (0.0060, 0.0),
)  # fmt: skip
"""The negative side is folded over the other and stitched down along its edge."""
STITCHED: Profile = ((-0.0040, 0.0), (-0.0015, 0.0006), (0.0, -0.0004), (0.0022, 0.0))
"""A row of stitches through cloth that is turned in."""
GATHERED: Profile = (
    (-0.0035, -0.0002), (0.0, -0.0008), (0.0022, 0.0030), (0.0090, 0.0036), (0.0300, 0.0),
)  # fmt: skip
"""The positive side is wider than the other, and falls over it."""

ENDS_M = 0.015  # over which a seam fades where it ends
AROUND_M = 0.100  # of the shoulder's joint, on a body of full size: where an armhole is


@dataclass(frozen=True)
class Seam:
    """A seam of a garment.

    line     distance across it, metres, at points at rest; where it is 0 runs a line that closes
             or ends at the edges of the cloth, or more is split than is sewn
    profile  how the cloth stands beside it
    where    positive where it is sewn, metres from its ends; None all along
    """

    line: Field
    profile: Profile = PLAIN
    where: Field | None = None


def stitched(cloth: ClothSheet, seams: tuple[Seam, ...]) -> ClothSheet:
    """The cloth with its seams."""
    for seam in seams:
        cloth = _stitched(cloth, seam)
    return cloth


def _stitched(cloth: ClothSheet, seam: Seam) -> ClothSheet:
    across, knots = seam.line(cloth.rest), [at for at, _ in seam.profile]
    corner = across[cloth.faces]
    near = (corner.min(axis=1) < knots[-1]) & (corner.max(axis=1) > knots[0])
    part = cloth.faces[near]
    own = [cloth.vertices, cloth.rest, normals(cloth.vertices, part), across[:, None]]
    for at in knots:
        above, below, own = split(part, own[3][:, 0] - at, *own)
        part = np.concatenate([above, below])
    vertices, rest, out, across = *own[:3], own[3][:, 0]
    off = np.interp(across, knots, [high for _, high in seam.profile])
    if seam.where is not None:
        off *= np.clip(seam.where(rest) / ENDS_M, 0.0, 1.0)
    faces = np.concatenate([cloth.faces[~near], part])
    return replace(cloth, vertices=vertices + off[:, None] * out, rest=rest, faces=faces)


def armholes(cuts: Cuts, beyond_m: float, profile: Profile = PLAIN) -> Seam:
    """Where sleeves are set in, `beyond_m` past the ends of the shoulders."""
    joint, around = cuts.joint("upperarm01.L"), AROUND_M * cuts.scale / 0.9

    def line(p: Array) -> Array:
        rel = np.stack([np.abs(p[:, 0]), p[:, 1], p[:, 2]], axis=1) - joint
        # The side of the trunk lies past the same plane, but further from the joint than it.
        far = np.clip(np.linalg.norm(rel, axis=1) - around, 0.0, None)
        return np.asarray(cuts.past_armhole(p, beyond_m) - 0.8 * far)

    return Seam(line, profile)


def yoke(cuts: Cuts, beyond_m: float, ahead_m: float, behind_m: float) -> Seam:
    """The edge of a shirt's yoke, which lies over the shoulders.

    beyond_m           of the armholes
    ahead_m, behind_m  how far it reaches: forward, and down the back
    """
    top = cuts.shoulder_tip

    def inside(p: Array) -> Array:
        edges = (p[:, 1] - top[1] + ahead_m, p[:, 2] - top[2] + behind_m)
        return np.asarray(np.min([*edges, 0.010 - cuts.past_armhole(p, beyond_m)], axis=0))

    return Seam(
        lambda p: -inside(p), LAPPED, lambda p: ENDS_M - cuts.past_armhole(p, beyond_m) - 0.012
    )


def along_edge(inside: Field, by_m: float, profile: Profile = STITCHED) -> Seam:
    """Along an edge of a garment, `by_m` inside it; `inside` is the distance from the edge."""
    return Seam(lambda p: inside(p) - by_m, profile)
