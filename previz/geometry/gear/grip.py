"""Odds and ends of the set: grey card, monitor on a stand, cable, apple boxes, sand bag."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.gear.stands import StandShape, build_stand, sandbag_over
from previz.geometry.outlines import chamfered
from previz.geometry.piece import Piece, moved
from previz.geometry.primitives import block, box, rod, sweep
from previz.geometry.shell import Shell, X, Z, look_along, piece

GREY = 0.18
"""Reflectance of the grey card: 18 %, the mid grey exposure meters are set to."""

APPLE_BOXES = {"full": 0.203, "half": 0.102, "quarter": 0.051, "pancake": 0.025}
"""Heights in metres of crates of 0.508 by 0.305 m (20 by 12 by 8 inches): common practice."""


def build_grey_card(
    at_m: ArrayLike, aim_m: ArrayLike, width_m: float = 0.25, height_m: float = 0.20
) -> tuple[Piece, ...]:
    """Card whose middle is at `at_m` and whose grey face looks at `aim_m`, both (3,)."""
    at = np.asarray(at_m, float)
    pose = look_along(at, np.asarray(aim_m, float) - at)
    w, h = width_m / 2, height_m / 2
    face = box((-w, -h, -0.0006), (w, h, 0), 0.0002)
    back = box((-w, -h, -0.002), (w, h, -0.0007), 0.0004)
    return moved(
        (
            piece("grey face", face, "paper", colour=(GREY, GREY, GREY)),
            piece("white back", back, "paper"),
        ),
        pose,
    )


@dataclass(frozen=True, kw_only=True)
class MonitorShape:
    """Screen of a diagonal in metres (16:9) with a hood unless `hood` is off."""

    diagonal_m: float = 0.43
    hood: bool = True


def build_monitor(
    monitor: MonitorShape,
    position_m: ArrayLike,
    aim_m: ArrayLike,
    stand: StandShape | None = None,
) -> tuple[Piece, ...]:
    """Monitor whose screen's middle is at `position_m`, facing `aim_m` level, both (3,)."""
    position = np.asarray(position_m, float)
    toward = (np.asarray(aim_m, float) - position) * [1, 1, 0]
    pose = look_along(position, toward)
    w = monitor.diagonal_m * 16 / np.hypot(16, 9) / 2
    h = w * 9 / 16
    case = box((-w - 0.012, -h - 0.016, -0.036), (w + 0.012, h + 0.012, -0.0015), 0.004)
    screen = box((-w, -h, -0.003), (w, h, 0), 0.0008)
    back = box((-0.6 * w, -0.6 * h, -0.062), (0.6 * w, 0.6 * h, -0.034), 0.005)
    bracket = [block((0.06, 0.06, 0.02), (0, -0.3 * h, -0.07), 0.003)]
    bracket.append(rod((0, -h - 0.07, -0.085), (0, -0.3 * h + 0.03, -0.085), 0.012))
    parts = [
        piece("monitor case", case, "plastic_black"),
        piece("monitor screen", screen, "plastic_black", colour=(0.012, 0.013, 0.016)),
        piece("monitor back", back, "plastic_black"),
        piece("monitor bracket", bracket, "steel_black"),
    ]
    if monitor.hood:
        parts.append(piece("hood", _hood(w + 0.012, h + 0.012, 0.12), "fabric_black"))
    mount = pose @ np.array([0, -h - 0.07, -0.085, 1.0])
    carrier = () if stand is None else build_stand(mount[:3], float(mount[2]), stand)
    return (*moved(parts, pose), *carrier)


def _hood(w: float, h: float, reach: float) -> list[Shell]:
    top = box((-w, h, -0.01), (w, h + 0.003, reach), 0.001)
    sides = [
        box((x - 0.0015, -0.4 * h, -0.01), (x + 0.0015, h + 0.001, reach), 0.001) for x in (-w, w)
    ]
    return [top, *sides]


def build_cable(path_m: ArrayLike, diameter_m: float = 0.011) -> tuple[Piece, ...]:
    """Cable on the floor through points (n, 2), curved between them, lying on z = 0.

    Flattened a little where it lies, as a heavy rubber cable is. Corners are rounded by
    Catmull-Rom splines, so it passes through every point.
    """
    points = np.asarray(path_m, float)
    ends = np.concatenate([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    t = np.linspace(0, 1, 12, endpoint=False)[:, None]
    runs = []
    for a, b, c, d in zip(ends[:-3], ends[1:-2], ends[2:-1], ends[3:], strict=True):
        runs.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - 3 * c + d - a) * t**3
            )
        )
    flat = np.concatenate([*runs, points[-1:]])
    height = 0.9 * diameter_m
    path = np.column_stack([flat, np.full(len(flat), height / 2)])
    outline = chamfered(diameter_m, height, 0.3 * diameter_m)
    return (piece("cable", sweep(path, outline, up=Z), "rubber_black", smooth=True),)


def build_apple_boxes(
    sizes: tuple[str, ...] = ("full", "half"), at_m: ArrayLike = (0, 0), turn_rad: float = 0.0
) -> tuple[Piece, ...]:
    """Stack of crates from the floor up, by names in `APPLE_BOXES`, each turned a little."""
    shells, holes, z = [], [], 0.0
    centre = np.array([*np.asarray(at_m, float)[:2], 0.0])
    for k, size in enumerate(sizes):
        tall = APPLE_BOXES[size]
        angle = turn_rad + 0.05 * k
        place = look_along(centre + z * Z, Z, (-np.sin(angle), np.cos(angle), 0))
        shells.append(box((-0.254, -0.1525, 0), (0.254, 0.1525, tall), 0.003).moved(place))
        if tall > 0.08:
            holes += [
                block((0.004, 0.1, 0.03), (s * 0.2535, 0, tall * 0.62), 0.001).moved(place)
                for s in (-1, 1)
            ]
        z += tall
    grips = [piece("hand holes", holes, "plastic_black")] if holes else []
    return (piece("crates", shells, "plywood", grain=X), *grips)


def build_sandbag(at_m: ArrayLike = (0, 0), turn_rad: float = 0.0) -> tuple[Piece, ...]:
    """Saddle bag on the floor at `at_m` (x, y)."""
    return sandbag_over(at_m, turn_rad)
