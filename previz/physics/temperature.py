"""Colour temperature: the Planckian and daylight loci, offsets from them, and the way back.

Chromaticities are CIE 1931 (x, y); the search for a colour temperature and the distance Duv live
in CIE 1960 (u, v), as their definitions do.
"""

from __future__ import annotations

import functools
import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import positive, within
from previz.physics.cie1931 import COLOUR_MATCHING, WAVELENGTHS_NM

Array = NDArray[np.float64]
Xy = tuple[float, float]
Locus = Literal["planckian", "daylight"]

SECOND_RADIATION_CONSTANT_M_K = 1.438776877e-2
"""c2 of Planck's law, CODATA 2018 (exact in the SI)."""
LOWEST_CCT_K = 1000.0
HIGHEST_CCT_K = 100_000.0
FARTHEST_DUV = 0.05


# --- loci ------------------------------------------------------------------------------------


def planckian_xy(cct_k: float) -> Xy:
    """(x, y) of a black body at `cct_k` (1000 to 100 000 K).

    Planck's law summed with the CIE 1931 functions at 5 nm; within 1e-4 of a 1 nm sum up to
    40 000 K, 1e-5 at 3000 K.
    """
    within("cct_k", cct_k, LOWEST_CCT_K, HIGHEST_CCT_K)
    x, y = _planckian_xy_many(np.array([cct_k]))
    return float(x[0]), float(y[0])


def daylight_xy(cct_k: float) -> Xy:
    """(x, y) of CIE daylight at `cct_k` (4000 to 25 000 K), by the CIE's polynomials (CIE 15).

    The nominal D50, D55, D65 of the standard need cct_k x 1.4388 / 1.4380 (D65: 6504 K).
    """
    within("cct_k", cct_k, 4000.0, 25_000.0)
    t = 1000.0 / cct_k
    if cct_k <= 7000.0:
        x = 0.244063 + t * (0.09911 + t * (2.9678 - t * 4.6070))
    else:
        x = 0.237040 + t * (0.24748 + t * (1.9018 - t * 2.0064))
    return x, -3.0 * x * x + 2.87 * x - 0.275


def locus_xy(cct_k: float, duv: float = 0.0, locus: Locus = "planckian") -> Xy:
    """(x, y) at `cct_k` on a locus, moved by `duv` at right angles to the Planckian locus.

    Duv as ANSI C78.377 defines it, in CIE 1960 (u, v) (number from memory).
    Positive `duv` is greener, negative pinker. With "daylight" the shift starts from the daylight
    locus, which itself lies about +0.003 above the Planckian one.
    """
    if locus == "planckian":
        base = planckian_xy(cct_k)
    elif locus == "daylight":
        base = daylight_xy(cct_k)
    else:
        raise ValueError(f"locus must be planckian or daylight, not {locus!r}")
    if duv == 0.0:
        return base
    across = _normal_uv(cct_k)
    u, v = _uv_from_xy(base)
    return _xy_from_uv((u + duv * across[0], v + duv * across[1]))


def _planckian_xy_many(cct_k: Array) -> tuple[Array, Array]:
    wavelength_m = WAVELENGTHS_NM * 1e-9
    exponent = SECOND_RADIATION_CONSTANT_M_K / (wavelength_m * cct_k[:, None])
    # Scaled by its value at 560 nm so that a cool body does not underflow.
    reference = SECOND_RADIATION_CONSTANT_M_K / (560e-9 * cct_k[:, None])
    power = (560e-9 / wavelength_m) ** 5 * np.expm1(reference) / np.expm1(exponent)
    tristimulus = power @ COLOUR_MATCHING.T
    total = tristimulus.sum(axis=1)
    return tristimulus[:, 0] / total, tristimulus[:, 1] / total


def _planckian_uv_many(cct_k: Array) -> Array:
    x, y = _planckian_xy_many(cct_k)
    below = -2.0 * x + 12.0 * y + 3.0
    return np.stack((4.0 * x / below, 6.0 * y / below), axis=1)


def _normal_uv(cct_k: float) -> Xy:
    """Unit vector across the Planckian locus in (u, v), towards greater v (green)."""
    near = _planckian_uv_many(np.array([cct_k * 0.9995, cct_k * 1.0005]))
    du, dv = near[0] - near[1]
    length = math.hypot(du, dv)
    return -dv / length, du / length


# --- back from a chromaticity ----------------------------------------------------------------


def cct_and_duv(xy: ArrayLike) -> tuple[float, float]:
    """Correlated colour temperature, K, and Duv of an (x, y): the nearest point of the
    Planckian locus in CIE 1960 (u, v), and the signed distance to it (positive: greener).

    Looks from 1000 to 100 000 K and refines to about 0.01 K at 5600 K. ValueError beyond
    abs(Duv) 0.05, where CIE 15 ends the notion, and at the ends of the range.
    """
    x, y = np.asarray(xy, dtype=np.float64)
    target = np.array(_uv_from_xy((float(x), float(y))))
    low, high = 1e6 / HIGHEST_CCT_K, 1e6 / LOWEST_CCT_K
    grid, locus = _locus_grid()
    best = int(np.argmin(np.linalg.norm(locus - target, axis=1)))
    if best in (0, len(grid) - 1):
        raise ValueError(f"({x:.4f}, {y:.4f}) is nearest to an end of the Planckian locus")
    span = float(grid[1] - grid[0])
    centre = float(grid[best])
    for _ in range(4):
        fine = np.clip(np.linspace(centre - span, centre + span, 21), low, high)
        offsets = np.linalg.norm(_planckian_uv_many(1e6 / fine) - target, axis=1)
        centre, span = float(fine[int(np.argmin(offsets))]), span / 10.0
    cct_k = 1e6 / centre
    away = target - _planckian_uv_many(np.array([cct_k]))[0]
    distance = float(np.linalg.norm(away))
    if distance > FARTHEST_DUV:
        raise ValueError(f"({x:.4f}, {y:.4f}) is too far from white to have a colour temperature")
    return cct_k, math.copysign(distance, float(away @ np.array(_normal_uv(cct_k))))


@functools.cache
def _locus_grid() -> tuple[Array, Array]:
    """Mired from 10 to 1000 in steps of 2, and the locus there in (u, v)."""
    grid = np.arange(1e6 / HIGHEST_CCT_K, 1e6 / LOWEST_CCT_K + 1.0, 2.0)
    return grid, _planckian_uv_many(1e6 / grid)


# --- small conversions -----------------------------------------------------------------------


def _uv_from_xy(xy: Xy) -> Xy:
    """CIE 1960 (u, v) of an (x, y)."""
    x, y = xy
    below = -2.0 * x + 12.0 * y + 3.0
    return 4.0 * x / below, 6.0 * y / below


def _xy_from_uv(uv: Xy) -> Xy:
    """(x, y) of a CIE 1960 (u, v)."""
    u, v = uv
    below = 2.0 * u - 8.0 * v + 4.0
    return 3.0 * u / below, 2.0 * v / below


def mired(cct_k: float) -> float:
    """Micro reciprocal degrees of a colour temperature, by definition: 10^6 / T."""
    return 1e6 / positive("cct_k", cct_k)


def cct_from_mired_k(mired: float) -> float:
    """Colour temperature of so many mired, by definition: 10^6 / mired, which is above 0."""
    return 1e6 / positive("mired", mired)


def mired_shift(from_k: float, to_k: float) -> float:
    """Shift of a gel that turns one colour temperature into another; positive is warmer.

    By definition the difference of both in mired. That a gel shifts every light by as much is
    true of black bodies (Wien's law) and fair for daylight; not for lamps of few lines.
    """
    return mired(to_k) - mired(from_k)
