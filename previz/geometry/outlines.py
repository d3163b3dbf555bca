"""Closed outlines in the plane, counter-clockwise, (n, 2) metres: what is lofted and swept."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.piece import Array


def circle(radius: float, points: int) -> Array:
    """(points, 2) on a circle, one on each axis when `points` divides by four."""
    angle = np.arange(points) * (2 * np.pi / points)
    return np.asarray(radius * np.column_stack([np.cos(angle), np.sin(angle)]), float)


def chamfered(width: float, depth: float, cut: float) -> Array:
    """(8, 2) rectangle round the origin with its corners cut by `cut`."""
    x, y = width / 2, depth / 2
    right = [(x, -y + cut), (x, y - cut), (x - cut, y)]
    left = [(-x + cut, y), (-x, y - cut), (-x, -y + cut)]
    return np.array([(x - cut, -y), *right, *left, (-x + cut, -y)])


def rounded_outline(width: float, depth: float, radius: float, steps: int = 4) -> Array:
    """(4 (steps + 1), 2) rectangle round the origin with round corners, counter-clockwise."""
    corner = circle(radius, 4 * steps)
    points = []
    for quarter, (sx, sy) in enumerate([(1, 1), (-1, 1), (-1, -1), (1, -1)]):
        turn_by = (np.arange(steps + 1) + quarter * steps) % (4 * steps)
        points.append(corner[turn_by] + [sx * (width / 2 - radius), sy * (depth / 2 - radius)])
    return np.concatenate(points)


def inset(polygon: ArrayLike, by: float) -> Array:
    """Counter-clockwise polygon (n, 2) with every side moved inward by `by`, mitred."""
    points = np.asarray(polygon, float)
    ahead = np.roll(points, -1, axis=0) - points
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    normals = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    before = np.roll(normals, 1, axis=0)
    mitre = (normals + before) / (1 + np.sum(normals * before, axis=1, keepdims=True))
    return np.asarray(points + by * mitre, float)
