"""How far a point is from the nearest of many triangles."""

from __future__ import annotations

import math

import numpy as np

from previz.geometry.mesh import Array


def distance_m(triangles: Array, point_m: Array, within_m: float) -> float:
    """From a point (3,) to the nearest of triangles (n, 3, 3), metres; infinite beyond `within_m`.

    A triangle without area counts as the line or the point that it is.
    """
    if not len(triangles):
        return math.inf
    least = float(np.linalg.norm(triangles - point_m, axis=2).min())
    # Only triangles whose box comes nearer than the nearest corner can lie nearer still.
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    gap = np.linalg.norm(np.maximum(np.maximum(low - point_m, point_m - high), 0.0), axis=1)
    near = triangles[gap < min(least, within_m)]
    for away in (_from_sides(near, point_m), _from_inside(near, point_m)):
        least = float(away.min(initial=least))
    return least if least < within_m else math.inf


def _from_sides(triangles: Array, point_m: Array) -> Array:
    """Distance to the nearest place on the sides of each triangle, (n,)."""
    sides = np.roll(triangles, -1, axis=1) - triangles
    to_point = point_m - triangles
    squares = np.maximum((sides**2).sum(axis=2), np.finfo(float).tiny)
    along = np.clip((to_point * sides).sum(axis=2) / squares, 0.0, 1.0)
    return np.asarray(np.linalg.norm(to_point - along[..., None] * sides, axis=2).min(axis=1))


def _from_inside(triangles: Array, point_m: Array) -> Array:
    """Distance straight down on each triangle, (n,); infinite where the foot misses its inside."""
    sides = np.roll(triangles, -1, axis=1) - triangles
    to_point = point_m - triangles
    normals = np.cross(sides[:, 0], sides[:, 1])
    lengths = np.linalg.norm(normals, axis=1)
    lengths[lengths == 0.0] = np.inf
    # On the left of all three sides, seen from the tip of the normal.
    left = (np.cross(sides, to_point) * normals[:, None]).sum(axis=2)
    over = (left >= 0.0).all(axis=1) & np.isfinite(lengths)
    height = np.abs((to_point[:, 0] * normals).sum(axis=1)) / lengths
    return np.where(over, height, np.inf)
