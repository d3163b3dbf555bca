"""Profiles of timber and plaster, and the paths they run along.

A profile is (n, 2): how far from the base line, and how high. A path is a row of base points
with, for each, the vector its profile's first coordinate is laid along (longer at a mitre).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from previz.geometry.piece import Array
from previz.geometry.walls import Wall, mitre

# Every moulding reaches this far into what it is fixed to, so that no light passes behind it
# and no two faces lie in one plane.
BED_M = 0.001
BEVEL_M = 0.003
CURVE_STEPS = 5


@dataclass(frozen=True, eq=False)
class Path:
    """Base points (m, 2) with their profile directions (m, 2); `loop`: it returns to its start."""

    bases: Array
    mitres: Array
    loop: bool = False

    def sections(self, profile: Array) -> Array:
        """The profile at every station, (m, n, 3)."""
        flat = self.bases[:, None] + profile[None, :, :1] * self.mitres[:, None]
        heights = np.broadcast_to(profile[None, :, 1:], (*flat.shape[:2], 1))
        return np.concatenate([flat, heights], axis=2)


def rectangle_path(least: Sequence[float], most: Sequence[float], *, footed: bool) -> Path:
    """Path round a rectangle, profiles pointing to its inside; `footed` leaves its foot open."""
    (x0, y0), (x1, y1) = least, most
    bases = np.array([(x0, y0), (x0, y1), (x1, y1), (x1, y0)])
    foot = 0.0 if footed else 1.0
    mitres = np.array([(1.0, foot), (1.0, -1.0), (-1.0, -1.0), (-1.0, foot)])
    return Path(bases, mitres, loop=not footed)


def wall_paths(
    walls: Sequence[Wall], cuts: dict[int, list[tuple[float, float]]]
) -> tuple[Path, ...]:
    """Paths along the inner faces of `walls` (in counter-clockwise order), mitred at corners.

    `cuts` gives, by wall number, stretches (from, to) from the left end that stay free.
    """
    corner_mitres = [mitre(walls[i - 1].inward, wall.inward) for i, wall in enumerate(walls)]
    if not any(cuts.values()):
        bases = np.array([wall.right_m for wall in walls])
        return (Path(bases, np.array(corner_mitres), loop=True),)
    stretches = [
        (index, start, end)
        for index, wall in enumerate(walls)
        for start, end in _free(wall.length_m, cuts.get(wall.number, []))
    ]
    return tuple(_chain_path(walls, corner_mitres, chain) for chain in _chains(walls, stretches))


Stretch = tuple[int, float, float]


def _free(length_m: float, cuts: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What the cuts leave of a wall, measured from its right end, which comes first."""
    free = []
    reached = 0.0
    for left, right in sorted(((length_m - b, length_m - a) for a, b in cuts)):
        if left > reached + BEVEL_M:
            free.append((reached, left))
        reached = max(reached, right)
    if length_m > reached + BEVEL_M:
        free.append((reached, length_m))
    return free


def _chains(walls: Sequence[Wall], stretches: list[Stretch]) -> list[list[Stretch]]:
    """Stretches joined wherever one ends in the corner in which the next begins."""

    def follows(before: Stretch, after: Stretch) -> bool:
        at_corner = before[2] == walls[before[0]].length_m and after[1] == 0.0
        return at_corner and after[0] == (before[0] + 1) % len(walls)

    chains: list[list[Stretch]] = []
    for stretch in stretches:
        if chains and follows(chains[-1][-1], stretch):
            chains[-1].append(stretch)
        else:
            chains.append([stretch])
    if len(chains) > 1 and follows(chains[-1][-1], chains[0][0]):
        chains[0] = chains.pop() + chains[0]
    return chains


def _chain_path(walls: Sequence[Wall], mitres: list[Array], chain: list[Stretch]) -> Path:
    first, last = chain[0], chain[-1]
    points = [_station(walls, mitres, first[0], first[1])]
    points += [_station(walls, mitres, index, 0.0) for index, _, _ in chain[1:]]
    points.append(_station(walls, mitres, last[0], last[2]))
    bases, directions = zip(*points, strict=True)
    return Path(np.array(bases), np.array(directions))


def _station(
    walls: Sequence[Wall], mitres: list[Array], index: int, distance_m: float
) -> tuple[Array, Array]:
    """Base point and profile direction at a distance from a wall's right end."""
    wall = walls[index]
    if distance_m == 0.0:
        return wall.right_m, mitres[index]
    if distance_m == wall.length_m:
        return wall.left_m, mitres[(index + 1) % len(walls)]
    return wall.right_m - wall.along * distance_m, wall.inward


def quarter(centre: Sequence[float], radii: Sequence[float], start_deg: float) -> list[Array]:
    """Points of a quarter ellipse turning counter-clockwise from `start_deg`."""
    angles = np.radians(np.linspace(start_deg, start_deg + 90.0, CURVE_STEPS + 1))
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    return list(np.asarray(centre) + circle * np.asarray(radii))


def skirting_profile(height_m: float) -> Array:
    """Board 15 mm thick with a rounded and stepped top."""
    thick, thin = 0.015, 0.006
    head = min(0.02, height_m / 3)
    curve = quarter((thin, height_m - head), (thick - thin, head - 0.003), 0.0)
    return np.array(
        [
            (-BED_M, -BED_M),
            (thick, -BED_M),
            *curve,
            (thin, height_m),
            (-BED_M, height_m),
        ]
    )


def cornice_profile(size_m: float, height_m: float) -> Array:
    """Plaster cove between a wall and a ceiling at `height_m`, with a small step at either end."""
    step = min(0.008, size_m / 6)
    radius = size_m - step
    cove = quarter((size_m, height_m - size_m), (radius, radius), 90.0)[::-1]
    return np.array(
        [
            (-BED_M, height_m + BED_M),
            (-BED_M, height_m - size_m),
            *cove,
            (size_m, height_m + BED_M),
        ]
    )


def frame_profile(width_m: float, back_m: float, front_m: float) -> Array:
    """Window frame: flat front, bevelled outer edge, quarter-round towards the glass."""
    round_m = min(0.012, width_m / 3, (front_m - back_m) / 3)
    quirk = round_m / 6
    bevel = min(BEVEL_M, width_m / 8)
    curve = quarter((width_m - round_m, front_m - quirk - round_m), (round_m, round_m), 0.0)
    return np.array(
        [
            (-BED_M, back_m),
            (width_m - bevel, back_m),
            (width_m, back_m + bevel),
            *curve,
            (width_m - round_m, front_m),
            (bevel, front_m),
            (0.0, front_m - bevel),
            (-BED_M, front_m - bevel),
        ]
    )


def bar_profile(width_m: float, back_m: float, front_m: float) -> Array:
    """Glazing bar, symmetrical about 0: a fillet in front between two quarter-rounds."""
    half = width_m / 2
    round_x, round_z = 0.7 * half, min(0.012, (front_m - back_m) / 3)
    bevel = min(BEVEL_M, half / 4)
    right = quarter((half - round_x, front_m - 0.001 - round_z), (round_x, round_z), 0.0)
    left = [np.array([-x, z]) for x, z in right[::-1]]
    return np.array(
        [
            (-half + bevel, back_m),
            (half - bevel, back_m),
            (half, back_m + bevel),
            *right,
            (half - round_x, front_m),
            (-half + round_x, front_m),
            *left,
            (-half, back_m + bevel),
        ]
    )


def architrave_profile(width_m: float) -> Array:
    """Moulding round a door, from its outer edge inward: a flat, a hollow, a bead."""
    thick, bead = 0.02, 0.012
    flat = width_m * 0.4
    hollow_end = width_m - bead - 0.002
    hollow = quarter((hollow_end, thick), (hollow_end - flat, 0.008), 180.0)
    round_off = quarter((width_m - bead, 0.004), (bead, 0.010), 0.0)[::-1]
    return np.array(
        [
            (0.0, -BED_M),
            (0.0, thick - BEVEL_M),
            (BEVEL_M, thick),
            *hollow,
            *round_off,
            (width_m, -BED_M),
        ]
    )
