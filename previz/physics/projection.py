"""From a camera's own axes to its picture. The camera looks along -Z, +Y up, +X right."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import positive

Array = NDArray[np.float64]

ACTION_SAFE_MARGIN = 0.035
"""EBU R 95: 3.5 % of width and height on each side (seen in texts and codes that quote it)."""
GRAPHICS_SAFE_MARGIN = 0.05
"""EBU R 95: 5 % (as above). SMPTE ST 2046-1 has the same 93 % and 90 %."""


def pixel_of_point(
    points_m: ArrayLike,
    width: float,
    height: float,
    focal_length: float,
    *,
    width_px: int,
    height_px: int,
) -> Array:
    """Picture position (..., 2), pixels from the top left, of points (..., 3) in camera axes.

    `width`, `height`, `focal_length` in one unit. Points at or behind the lens give nan. A pixel's
    centre lies at its index + 0.5.
    """
    points = np.asarray(points_m, dtype=np.float64)
    depth = np.where(points[..., 2] < 0.0, -points[..., 2], np.nan)
    focal = positive("focal_length", focal_length)
    u = width_px * (0.5 + points[..., 0] / depth * focal / positive("width", width))
    v = height_px * (0.5 - points[..., 1] / depth * focal / positive("height", height))
    return np.stack((u, v), axis=-1)


def perspective_matrix(
    width: float, height: float, focal_length: float, near_m: float, far_m: float = math.inf
) -> Array:
    """Clip matrix (4, 4) for column vectors, as in glTF 2.0 and OpenGL; `far_m` may be infinite."""
    positive("near_m", near_m)
    if not far_m > near_m:
        raise ValueError(f"far_m {far_m!r} must be greater than near_m {near_m!r}")
    matrix = np.zeros((4, 4))
    matrix[0, 0] = 2.0 * positive("focal_length", focal_length) / positive("width", width)
    matrix[1, 1] = 2.0 * focal_length / positive("height", height)
    endless = math.isinf(far_m)
    matrix[2, 2] = -1.0 if endless else (far_m + near_m) / (near_m - far_m)
    matrix[2, 3] = -2.0 * near_m if endless else 2.0 * far_m * near_m / (near_m - far_m)
    matrix[3, 2] = -1.0
    return matrix


def safe_area_px(
    width_px: float, height_px: float, margin: float = ACTION_SAFE_MARGIN
) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the area inside `margin` (a share of each side's length)."""
    if not 0.0 <= margin < 0.5:
        raise ValueError(f"margin must lie from 0 to below 0.5, not {margin!r}")
    left, top = margin * width_px, margin * height_px
    return left, top, width_px - left, height_px - top
