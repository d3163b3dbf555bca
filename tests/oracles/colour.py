"""CIELAB of light, the inverse of what `previz.physics.colour` has."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.colour import D65_XY, xyz_from_rgb, xyz_from_xy

Array = NDArray[np.float64]


def lab_from_xyz(xyz: ArrayLike, white_xy: ArrayLike = D65_XY) -> Array:
    """L*, a*, b* of XYZ (..., 3) with Y = 1 for the white. CIE 15, CIELAB 1976."""
    delta = 6.0 / 29.0
    ratio = np.asarray(xyz, dtype=np.float64) / xyz_from_xy(white_xy)
    f = np.where(ratio > delta**3, np.cbrt(ratio), ratio / (3.0 * delta**2) + 4.0 / 29.0)
    f_x, f_y, f_z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack((116.0 * f_y - 16.0, 500.0 * (f_x - f_y), 200.0 * (f_y - f_z)), axis=-1)


def lab_from_rgb(rgb: ArrayLike) -> Array:
    """L*, a*, b* (D65) of linear RGB (..., 3)."""
    return lab_from_xyz(xyz_from_rgb(rgb))
