"""Where rays meet plain shapes, each in its own frame, and whether triangles stand in their way.

Plain geometry. Starts and unit ways are (n, 3), distances (n,) in the same unit, infinite where a
ray misses.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def to_rectangle(starts: Array, ways: Array, width: float, height: float) -> Array:
    """Distance to the +Z side of a rectangle round the origin, `width` along X."""
    far, x, y = _on_plane(starts, ways)
    inside = (np.abs(x) <= width / 2.0) & (np.abs(y) <= height / 2.0)
    return np.where(inside, far, np.inf)


def to_disc(starts: Array, ways: Array, radius: float) -> Array:
    """Distance to the +Z side of a disc round the origin."""
    far, x, y = _on_plane(starts, ways)
    return np.where(x**2 + y**2 <= radius**2, far, np.inf)


def to_sphere(starts: Array, ways: Array, radius: float) -> Array:
    """Distance to the outside of a sphere round the origin."""
    half = np.sum(starts * ways, axis=1)
    rest = np.sum(starts**2, axis=1) - radius**2
    return _first_root(np.ones_like(half), half, rest)


def to_tube(starts: Array, ways: Array, radius: float, length: float) -> Array:
    """Distance to the outer side of a cylinder along Y, centred, without its ends."""
    flat, way = starts[:, [0, 2]], ways[:, [0, 2]]
    half = np.sum(flat * way, axis=1)
    rest = np.sum(flat**2, axis=1) - radius**2
    far = _first_root(np.sum(way**2, axis=1), half, rest)
    y = starts[:, 1] + np.where(np.isfinite(far), far, 0.0) * ways[:, 1]
    return np.where(np.abs(y) <= length / 2.0, far, np.inf)


def blocked(start: Array, way: Array, far: float, triangles: Array, clear: float = 1e-4) -> bool:
    """Whether any of the triangles (m, 3, 3) lies on a ray (3,) before `far`.

    Moeller and Trumbore, "Fast, minimum storage ray/triangle intersection", 1997 (from memory).
    What is nearer than `clear` counts as the start's own surface.
    """
    origin = triangles[:, 0]
    first, second = triangles[:, 1] - origin, triangles[:, 2] - origin
    across = _cross(np.broadcast_to(way, second.shape), second)
    determinant = np.einsum("ij,ij->i", first, across)
    safe = np.where(np.abs(determinant) < 1e-18, np.inf, determinant)
    offset = start - origin
    u = np.einsum("ij,ij->i", offset, across) / safe
    around = _cross(offset, first)
    v = around @ way / safe
    along = np.einsum("ij,ij->i", second, around) / safe
    inside = (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0)
    return bool((inside & (along > clear) & (along < far)).any())


def between_segments(starts: Array, ends: Array, one: Array, other: Array) -> Array:
    """Least distance from each segment `starts` to `ends`, (n, 3), to that from `one` to `other`.

    Ericson, "Real-Time Collision Detection", 2005 (from memory), for segments of some length.
    """
    way, pole, apart = ends - starts, other - one, starts - one
    way_way, pole_pole = np.sum(way**2, axis=1), float(pole @ pole)
    way_pole, pole_apart = way @ pole, apart @ pole
    way_apart = np.sum(way * apart, axis=1)
    spread = np.maximum(way_way * pole_pole - way_pole**2, 1e-18)
    along = np.clip((way_pole * pole_apart - way_apart * pole_pole) / spread, 0.0, 1.0)
    on_pole = np.clip((way_pole * along + pole_apart) / pole_pole, 0.0, 1.0)
    # Where the place on the pole was clipped, the nearest place on the ray is another.
    along = np.clip((way_pole * on_pole - way_apart) / way_way, 0.0, 1.0)
    gap = apart + along[:, None] * way - on_pole[:, None] * pole
    return np.asarray(np.linalg.norm(gap, axis=1))


def _cross(a: Array, b: Array) -> Array:
    """Cross products of rows (n, 3); several times quicker than numpy's on few of them."""
    product = np.empty(a.shape)
    product[:, 0] = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    product[:, 1] = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    product[:, 2] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def _on_plane(starts: Array, ways: Array) -> tuple[Array, Array, Array]:
    """Distance to the plane Z = 0 from above it, and X and Y there."""
    meets = (ways[:, 2] < 0.0) & (starts[:, 2] > 0.0)
    far = np.where(meets, starts[:, 2] / np.where(meets, -ways[:, 2], 1.0), np.inf)
    at = starts + np.where(meets, far, 0.0)[:, None] * ways
    return far, at[:, 0], at[:, 1]


def _first_root(square: Array, half: Array, rest: Array) -> Array:
    """Smaller root of square t^2 + 2 half t + rest = 0 if above 0, as seen from outside."""
    inner = half**2 - square * rest
    meets = (inner >= 0.0) & (square > 0.0) & (rest > 0.0)
    far = (-half - np.sqrt(np.maximum(inner, 0.0))) / np.where(meets, square, 1.0)
    return np.where(meets & (far > 0.0), far, np.inf)
