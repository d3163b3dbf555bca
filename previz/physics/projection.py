"""From a camera's own axes to its picture. The camera looks along -Z, +Y up, +X right."""

from __future__ import annotations

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

    Geometry of a pinhole. `width`, `height`, `focal_length` in one unit. Points at or behind the
    lens give nan. A pixel's centre lies at its index + 0.5.
    """
    points = np.asarray(points_m, dtype=np.float64)
    depth = np.where(points[..., 2] < 0.0, -points[..., 2], np.nan)
    focal = positive("focal_length", focal_length)
    u = width_px * (0.5 + points[..., 0] / depth * focal / positive("width", width))
    v = height_px * (0.5 - points[..., 1] / depth * focal / positive("height", height))
    return np.stack((u, v), axis=-1)
