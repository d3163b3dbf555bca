"""Colour of the sun's light by its height, from what the air takes off each wavelength.

A model of a clear day, not a measurement: the sun as a black body, scattering by air, and haze
that brings the light lost at 555 nm to what `sun.EXTINCTION` says. Ozone and water take a little
more from the yellow and the red, which is left out.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.physics.cie1931 import COLOUR_MATCHING, WAVELENGTHS_NM
from previz.physics.sun import EXTINCTION, air_mass
from previz.physics.temperature import SECOND_RADIATION_CONSTANT_M_K, cct_and_duv

SUN_K = 5772.0
"""Effective temperature of the sun (IAU 2015 resolution B3, number from memory)."""
HAZE_EXPONENT = 1.3
"""Angstrom's exponent of ordinary haze (from memory)."""


def sun_xyz(elevation_deg: float, extinction: float = EXTINCTION["clear"]) -> NDArray[np.float64]:
    """XYZ (3,) with Y = 1 of the sun at an apparent elevation from 0 to 90 degrees.

    Optical depth of air per air mass 0.008735 / um^4.08 (Leckner 1978, from memory).
    """
    um = WAVELENGTHS_NM / 1000.0
    air = 0.008735 * um**-4.08
    haze = max(extinction - 0.008735 * 0.555**-4.08, 0.0) * (um / 0.555) ** -HAZE_EXPONENT
    beyond = 1.0 / (um**5 * np.expm1(SECOND_RADIATION_CONSTANT_M_K / (um * 1e-6 * SUN_K)))
    here = beyond * np.exp(-air_mass(max(elevation_deg, 0.0)) * (air + haze))
    xyz = COLOUR_MATCHING @ here
    return np.asarray(xyz / xyz[1], np.float64)


def sun_cct_k(elevation_deg: float) -> float:
    """Correlated colour temperature, K, of the sun on a clear day; NaN where it is too red for one.

    By the module's model of the air (constants from memory), and CIE 15.
    """
    x, y, z = sun_xyz(elevation_deg)
    total = x + y + z
    try:
        return cct_and_duv((x / total, y / total))[0]
    except ValueError:
        return math.nan
