"""The floor polygon: its orientation, its faults, what lies inside it, how far the walls are.

Corners are (n, 2) metres in plan (x east, y north), in order and not repeated at the end.
Corners and walls are counted from 1 in everything people read: wall k joins corner k and
corner k + 1, and the last wall returns to corner 1.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from previz.geometry.piece import Array

SHARPEST_CORNER_DEG = 10.0
SHORTEST_WALL_M = 0.01


def rectangle(
    width_m: float, depth_m: float, centre_m: tuple[float, float] = (0.0, 0.0)
) -> tuple[tuple[float, float], ...]:
    """Corners of a rectangular floor, from the south-west, so that walls 1-4 face S, E, N, W."""
    x, y = centre_m
    half_width, half_depth = width_m / 2, depth_m / 2
    return (
        (x - half_width, y - half_depth),
        (x + half_width, y - half_depth),
        (x + half_width, y + half_depth),
        (x - half_width, y + half_depth),
    )


def signed_area_m2(corners_m: ArrayLike) -> float:
    """Area of the polygon; negative when the corners run clockwise seen from above."""
    x, y = np.asarray(corners_m, dtype=float).T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)


def is_counter_clockwise(corners_m: ArrayLike) -> bool:
    """Whether the corners run counter-clockwise seen from above."""
    return signed_area_m2(corners_m) > 0


def counter_clockwise(corners_m: ArrayLike) -> Array:
    """The same polygon, (n, 2), in counter-clockwise order."""
    corners = np.asarray(corners_m, dtype=float)
    return corners if is_counter_clockwise(corners) else corners[::-1]


def inside(corners_m: ArrayLike, points_m: ArrayLike, margin_m: float = 0.0) -> NDArray[np.bool_]:
    """Which of `points_m` (k, 2) lie strictly inside and at least `margin_m` from every wall."""
    points = np.atleast_2d(np.asarray(points_m, dtype=float))
    within = shapely.contains_xy(Polygon(corners_m), points)
    return np.asarray(within & (distance_to_walls_m(corners_m, points) >= margin_m))


def distance_to_walls_m(corners_m: ArrayLike, points_m: ArrayLike) -> Array:
    """Distance from each of `points_m` (k, 2) to the nearest wall, (k,), inside or outside."""
    points = shapely.points(np.atleast_2d(np.asarray(points_m, dtype=float)))
    return np.asarray(shapely.distance(Polygon(corners_m).exterior, points), dtype=float)


def corner_angles_deg(corners_m: ArrayLike) -> Array:
    """Interior angle at each corner, (n,), 0-360; above 180 where a corner juts into the room."""
    corners = np.asarray(corners_m, dtype=float)
    to_next = np.roll(corners, -1, axis=0) - corners
    to_last = np.roll(corners, 1, axis=0) - corners
    if not is_counter_clockwise(corners):
        to_next, to_last = to_last, to_next
    turn = np.arctan2(to_last[:, 1], to_last[:, 0]) - np.arctan2(to_next[:, 1], to_next[:, 0])
    return np.asarray(np.degrees(turn) % 360.0)


def polygon_problems(corners_m: Sequence[Sequence[float]] | Array) -> list[str]:
    """Everything that keeps the corners from bounding a floor, one sentence each."""
    corners = np.asarray(corners_m, dtype=float)
    if corners.ndim != 2 or corners.shape[1] != 2 or len(corners) < 3:
        return ["a floor needs at least 3 corners of two coordinates each"]
    if not np.isfinite(corners).all():
        return ["a corner of the floor is not a finite number"]
    short = _short_walls(corners)
    if short:
        return short
    polygon = Polygon(corners)
    if not polygon.is_valid:
        return [_crossing(polygon)]
    return _sharp_corners(corners)


def _short_walls(corners: Array) -> list[str]:
    lengths = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return [
        f"wall {k} is {length * 1000:.0f} mm long: two corners of the floor are the same point"
        for k, length in enumerate(lengths, 1)
        if length < SHORTEST_WALL_M
    ]


def _crossing(polygon: Polygon) -> str:
    where = explain_validity(polygon)
    if "[" not in where:
        return "the floor's outline crosses or touches itself"
    x, y = (float(part) for part in where[where.index("[") + 1 : -1].split()[:2])
    return f"the floor's outline crosses or touches itself near [{x:.2f}, {y:.2f}]"


def _sharp_corners(corners: Array) -> list[str]:
    return [
        f"corner {k} of the floor is too sharp ({min(angle, 360 - angle):.1f} deg); "
        f"at least {SHARPEST_CORNER_DEG:.0f} deg is needed"
        for k, angle in enumerate(corner_angles_deg(corners), 1)
        if not SHARPEST_CORNER_DEG <= angle <= 360 - SHARPEST_CORNER_DEG
    ]
