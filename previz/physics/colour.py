"""Linear BT.709 and what surrounds it: chromaticity, transfer curves, L*a*b*.

RGB is linear BT.709 with D65 white unless a name says otherwise; arrays have the channel last.
Values may be negative where a colour lies outside BT.709's triangle (a candle does, below 1900 K).
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.temperature import Locus, Xy, cct_and_duv, locus_xy

Array = NDArray[np.float64]

D65_XY: Xy = (0.31270, 0.32900)
BT709_PRIMARIES_XY: tuple[Xy, Xy, Xy] = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
"""Red, green, blue of ITU-R BT.709-6, item 1.3 (item number from memory)."""


# --- chromaticity and tristimulus ------------------------------------------------------------


def xyz_from_xy(xy: ArrayLike, luminance: float = 1.0) -> Array:
    """XYZ (3,) of an (x, y) at luminance Y, by definition of both in CIE 15; y must be above 0."""
    x, y = np.asarray(xy, dtype=np.float64)
    if not y > 0.0:
        raise ValueError(f"y must be above 0, not {y!r}")
    return luminance * np.array([x / y, 1.0, (1.0 - x - y) / y])


def xy_from_xyz(xyz: ArrayLike) -> Xy:
    """(x, y) of an XYZ (3,), by definition in CIE 15; ValueError for black."""
    x, y, z = (float(value) for value in np.asarray(xyz, dtype=np.float64))
    if not x + y + z > 0.0:
        raise ValueError("black has no chromaticity")
    return x / (x + y + z), y / (x + y + z)


def matrix_from_primaries(primaries_xy: ArrayLike, white_xy: ArrayLike) -> Array:
    """RGB to XYZ, (3, 3), of primaries (3, 2) whose equal mix is `white_xy` at Y = 1 (SMPTE RP 177,
    number from memory).
    """
    columns = np.stack([xyz_from_xy(xy) for xy in np.asarray(primaries_xy)], axis=1)
    shares = np.linalg.solve(columns, xyz_from_xy(white_xy)).astype(np.float64)
    return columns * shares


RGB_TO_XYZ: Array = matrix_from_primaries(BT709_PRIMARIES_XY, D65_XY)
XYZ_TO_RGB: Array = np.asarray(np.linalg.inv(RGB_TO_XYZ), dtype=np.float64)
LUMINANCE_WEIGHTS: Array = RGB_TO_XYZ[1]
"""Y of linear RGB, 0.2126, 0.7152, 0.0722: ITU-R BT.709-6."""


def luminance(rgb: ArrayLike) -> Array:
    """Y of RGB (..., 3), in the unit of the values: ITU-R BT.709-6."""
    return np.asarray(np.asarray(rgb, dtype=np.float64) @ LUMINANCE_WEIGHTS)


def xyz_from_rgb(rgb: ArrayLike) -> Array:
    """XYZ of RGB, (..., 3) each: primaries and white of ITU-R BT.709-6."""
    return np.asarray(np.asarray(rgb, dtype=np.float64) @ RGB_TO_XYZ.T)


def rgb_from_xyz(xyz: ArrayLike) -> Array:
    """RGB of XYZ, (..., 3) each: primaries and white of ITU-R BT.709-6."""
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ XYZ_TO_RGB.T)


def rgb_from_xy(xy: ArrayLike) -> Array:
    """RGB (3,) with Y = 1 of a chromaticity, not adapted: D65 gives (1, 1, 1).

    Primaries and white of ITU-R BT.709-6; negative outside their triangle.
    """
    return rgb_from_xyz(xyz_from_xy(xy))


def rgb_from_cct(cct_k: float, duv: float = 0.0, locus: Locus = "planckian") -> Array:
    """RGB (3,) with Y = 1 of a light by colour temperature; ranges as in `temperature.locus_xy`.

    Primaries and white of ITU-R BT.709-6.
    """
    return rgb_from_xy(locus_xy(cct_k, duv, locus))


def xy_from_rgb(rgb: ArrayLike) -> Xy:
    """(x, y) of an RGB (3,): ITU-R BT.709-6. ValueError for black."""
    return xy_from_xyz(xyz_from_rgb(rgb))


def cct_and_duv_of_rgb(rgb: ArrayLike) -> tuple[float, float]:
    """Colour temperature, K, and Duv of an RGB (3,): the mix a colour meter reads at a card.

    Definitions and limits of `temperature.cct_and_duv`, CIE 15.
    """
    return cct_and_duv(xy_from_rgb(rgb))


# --- transfer curves -------------------------------------------------------------------------


def srgb_encode(linear: ArrayLike) -> Array:
    """Linear (0 to 1) to sRGB code values (0 to 1); negative values mirror. IEC 61966-2-1."""
    value = np.asarray(linear, dtype=np.float64)
    size = np.abs(value)
    curve = 1.055 * np.maximum(size, 0.0031308) ** (1.0 / 2.4) - 0.055
    return np.copysign(np.where(size <= 0.0031308, 12.92 * size, curve), value)


def srgb_decode(encoded: ArrayLike) -> Array:
    """sRGB code values (0 to 1) to linear; negative values mirror. IEC 61966-2-1."""
    value = np.asarray(encoded, dtype=np.float64)
    size = np.abs(value)
    curve = ((size + 0.055) / 1.055) ** 2.4
    return np.copysign(np.where(size <= 0.04045, size / 12.92, curve), value)


def linear_from_hex(colour: str) -> Array:
    """Linear RGB (3,) of an sRGB colour (IEC 61966-2-1) written `#rrggbb` or `rrggbb`."""
    found = re.fullmatch(r"#?([0-9a-fA-F]{6})", colour)
    if not found:
        raise ValueError(f"a colour is written #rrggbb, not {colour!r}")
    digits = found.group(1)
    codes = [int(digits[start : start + 2], 16) for start in (0, 2, 4)]
    return srgb_decode(np.array(codes) / 255.0)


# --- L*a*b* and skin -------------------------------------------------------------------------


def _xyz_from_lab(lab: ArrayLike, white_xy: ArrayLike = D65_XY) -> Array:
    """XYZ (..., 3), Y = 1 for the white, of L*, a*, b*. CIE 15, CIELAB 1976."""
    delta = 6.0 / 29.0
    value = np.asarray(lab, dtype=np.float64)
    f_y = (value[..., 0] + 16.0) / 116.0
    f = np.stack((f_y + value[..., 1] / 500.0, f_y, f_y - value[..., 2] / 200.0), axis=-1)
    ratio = np.where(f > delta, f**3, 3.0 * delta**2 * (f - 4.0 / 29.0))
    return np.asarray(ratio * xyz_from_xy(white_xy))


def rgb_from_lab(lab: ArrayLike) -> Array:
    """Linear RGB (..., 3) of L*, a*, b* (D65): CIE 15, CIELAB 1976, and ITU-R BT.709-6."""
    return rgb_from_xyz(_xyz_from_lab(lab))
