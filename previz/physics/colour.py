"""Linear BT.709 and what surrounds it: chromaticity, adaptation, transfer curves, L*a*b*, skin.

RGB is linear BT.709 with D65 white unless a name says otherwise; arrays have the channel last.
Values may be negative where a colour lies outside BT.709's triangle (a candle does, below 1900 K).
"""

from __future__ import annotations

import math
import re
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.temperature import Locus, Xy, cct_and_duv, locus_xy

Array = NDArray[np.float64]
Adaptation = Literal["bradford", "von_kries"]

D50_XY: Xy = (0.34570, 0.35850)
D65_XY: Xy = (0.31270, 0.32900)
ILLUMINANT_A_XY: Xy = (0.44758, 0.40745)
"""CIE 15."""
BT709_PRIMARIES_XY: tuple[Xy, Xy, Xy] = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
"""Red, green, blue of ITU-R BT.709-6, item 1.3 (item number from memory)."""

_CONE_MATRICES: dict[str, Array] = {
    # Lam 1985; digits as in the ICC profile specification's Bradford transform.
    "bradford": np.array(
        [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
    ),
    # Hunt-Pointer-Estevez primaries normalised to D65, the usual "von Kries" transform.
    "von_kries": np.array(
        [[0.40024, 0.70760, -0.08081], [-0.22630, 1.16532, 0.04570], [0.0, 0.0, 0.91822]]
    ),
}


# --- chromaticity and tristimulus ------------------------------------------------------------


def xyz_from_xy(xy: ArrayLike, luminance: float = 1.0) -> Array:
    """XYZ (3,) of an (x, y) at luminance Y; y must be above 0."""
    x, y = np.asarray(xy, dtype=np.float64)
    if not y > 0.0:
        raise ValueError(f"y must be above 0, not {y!r}")
    return luminance * np.array([x / y, 1.0, (1.0 - x - y) / y])


def xy_from_xyz(xyz: ArrayLike) -> Xy:
    """(x, y) of an XYZ (3,); ValueError for black."""
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
    """Y of RGB (..., 3), in the unit of the values."""
    return np.asarray(np.asarray(rgb, dtype=np.float64) @ LUMINANCE_WEIGHTS)


def xyz_from_rgb(rgb: ArrayLike) -> Array:
    """XYZ of RGB, (..., 3) each."""
    return np.asarray(np.asarray(rgb, dtype=np.float64) @ RGB_TO_XYZ.T)


def rgb_from_xyz(xyz: ArrayLike) -> Array:
    """RGB of XYZ, (..., 3) each."""
    return np.asarray(np.asarray(xyz, dtype=np.float64) @ XYZ_TO_RGB.T)


def rgb_from_xy(xy: ArrayLike) -> Array:
    """RGB (3,) with Y = 1 of a chromaticity, not adapted: D65 gives (1, 1, 1)."""
    return rgb_from_xyz(xyz_from_xy(xy))


def rgb_from_cct(cct_k: float, duv: float = 0.0, locus: Locus = "planckian") -> Array:
    """RGB (3,) with Y = 1 of a light by colour temperature; ranges as in `temperature.locus_xy`."""
    return rgb_from_xy(locus_xy(cct_k, duv, locus))


def xy_from_rgb(rgb: ArrayLike) -> Xy:
    """(x, y) of an RGB (3,)."""
    return xy_from_xyz(xyz_from_rgb(rgb))


def cct_and_duv_of_rgb(rgb: ArrayLike) -> tuple[float, float]:
    """Colour temperature, K, and Duv of an RGB (3,): the mix a colour meter reads at a card."""
    return cct_and_duv(xy_from_rgb(rgb))


# --- white balance ---------------------------------------------------------------------------


def white_balance_gains(white_rgb: ArrayLike) -> Array:
    """Gains (3,), green 1, that make `white_rgb` grey: the camera's own way of balancing."""
    white = np.asarray(white_rgb, dtype=np.float64)
    if white.shape != (3,) or not np.all(white > 0.0):
        raise ValueError(f"a white needs three values above 0, not {white_rgb!r}")
    return np.asarray(white[1] / white)


def adaptation_matrix(
    source_xy: ArrayLike, target_xy: ArrayLike, method: Adaptation = "bradford"
) -> Array:
    """XYZ to XYZ, (3, 3): what is white under `source_xy` becomes white under `target_xy`.

    Linear Bradford (as in the ICC specification) or von Kries.
    """
    cone = _CONE_MATRICES[method]
    ratio = (cone @ xyz_from_xy(target_xy)) / (cone @ xyz_from_xy(source_xy))
    return np.asarray(np.linalg.inv(cone) @ (ratio[:, None] * cone), dtype=np.float64)


def adaptation_matrix_709(
    source_xy: ArrayLike, target_xy: ArrayLike = D65_XY, method: Adaptation = "bradford"
) -> Array:
    """`adaptation_matrix` composed into RGB: multiply column vectors, or rows by its transpose."""
    adapt = adaptation_matrix(source_xy, target_xy, method)
    return np.asarray(XYZ_TO_RGB @ adapt @ RGB_TO_XYZ)


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
    """Linear RGB (3,) of an sRGB colour written `#rrggbb` or `rrggbb`."""
    found = re.fullmatch(r"#?([0-9a-fA-F]{6})", colour)
    if not found:
        raise ValueError(f"a colour is written #rrggbb, not {colour!r}")
    digits = found.group(1)
    codes = [int(digits[start : start + 2], 16) for start in (0, 2, 4)]
    return srgb_decode(np.array(codes) / 255.0)


def hex_from_linear(rgb: ArrayLike) -> str:
    """`#rrggbb` of a linear RGB (3,), clipped to 0..1 and rounded to 8 bits."""
    codes = np.rint(srgb_encode(np.clip(np.asarray(rgb, dtype=np.float64), 0.0, 1.0)) * 255.0)
    return "#" + "".join(f"{int(code):02x}" for code in codes)


def bt709_oetf(linear: ArrayLike) -> Array:
    """Scene light (0 to 1) to BT.709 signal (0 to 1). ITU-R BT.709-6, item 1.2."""
    value = np.asarray(linear, dtype=np.float64)
    return np.where(value < 0.018, 4.5 * value, 1.099 * np.maximum(value, 0.018) ** 0.45 - 0.099)


def bt1886_eotf(signal: ArrayLike, white_cd_m2: float = 100.0, black_cd_m2: float = 0.0) -> Array:
    """Signal (0 to 1) to screen luminance, cd/m2. ITU-R BT.1886 annex 1."""
    gamma = 2.4
    root_white, root_black = white_cd_m2 ** (1.0 / gamma), black_cd_m2 ** (1.0 / gamma)
    if not root_white > root_black >= 0.0:
        raise ValueError("white_cd_m2 must be above black_cd_m2, and that 0 or more")
    lift = root_black / (root_white - root_black)
    value = np.asarray(signal, dtype=np.float64)
    return np.asarray(((root_white - root_black) * np.maximum(value + lift, 0.0)) ** gamma)


# --- L*a*b* and skin -------------------------------------------------------------------------


def lab_from_xyz(xyz: ArrayLike, white_xy: ArrayLike = D65_XY) -> Array:
    """L*, a*, b* of XYZ (..., 3) with Y = 1 for the white. CIE 15, CIELAB 1976."""
    delta = 6.0 / 29.0
    ratio = np.asarray(xyz, dtype=np.float64) / xyz_from_xy(white_xy)
    f = np.where(ratio > delta**3, np.cbrt(ratio), ratio / (3.0 * delta**2) + 4.0 / 29.0)
    f_x, f_y, f_z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack((116.0 * f_y - 16.0, 500.0 * (f_x - f_y), 200.0 * (f_y - f_z)), axis=-1)


def xyz_from_lab(lab: ArrayLike, white_xy: ArrayLike = D65_XY) -> Array:
    """XYZ (..., 3), Y = 1 for the white, of L*, a*, b*."""
    delta = 6.0 / 29.0
    value = np.asarray(lab, dtype=np.float64)
    f_y = (value[..., 0] + 16.0) / 116.0
    f = np.stack((f_y + value[..., 1] / 500.0, f_y, f_y - value[..., 2] / 200.0), axis=-1)
    ratio = np.where(f > delta, f**3, 3.0 * delta**2 * (f - 4.0 / 29.0))
    return np.asarray(ratio * xyz_from_xy(white_xy))


def lab_from_rgb(rgb: ArrayLike) -> Array:
    """L*, a*, b* (D65) of linear RGB (..., 3)."""
    return lab_from_xyz(xyz_from_rgb(rgb))


def rgb_from_lab(lab: ArrayLike) -> Array:
    """Linear RGB (..., 3) of L*, a*, b* (D65)."""
    return rgb_from_xyz(xyz_from_lab(lab))


def ita_deg(lightness: float, b_star: float) -> float:
    """Individual typology angle of skin, degrees: atan2(L* - 50, b*).

    Source: Chardon, Cretois and Hourseau, "Skin colour typology and suntanning pathways",
    International Journal of Cosmetic Science 13, 1991. Measured with D65 and the 2 degree
    observer, or near it.
    """
    return math.degrees(math.atan2(lightness - 50.0, b_star))


ITA_CLASSES: tuple[tuple[float, str], ...] = (
    (55.0, "very_light"),
    (41.0, "light"),
    (28.0, "intermediate"),
    (10.0, "tan"),
    (-30.0, "brown"),
)
"""Lower bound, exclusive, of each class but the last, dark: Chardon, Cretois and Hourseau (see
`ita_deg`); brown and dark by Del Bino and Bernerd, "Variations in skin colour and the biological
consequences of ultraviolet radiation exposure", British Journal of Dermatology 169, 2013. The
bounds are from memory."""


def ita_class(ita_deg: float) -> str:
    """Skin class of an angle: very_light, light, intermediate, tan, brown or dark."""
    return next((name for bound, name in ITA_CLASSES if ita_deg > bound), "dark")
