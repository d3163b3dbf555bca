"""Light of whole skies on planes, by summing what `previz.physics.sky` says of directions."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from previz.physics.sky import general_sky, overcast

Array = NDArray[np.float64]
Distribution = Callable[[Array, Array], Array]
"""Relative luminance of zenith angles and azimuths (counted from the sun), radians."""


OVERCAST_HORIZONTAL_FACTOR = 7.0 * math.pi / 9.0
"""E_h / L_z of the traditional overcast sky (ISO 15469:2004, type 16) on open ground."""
OVERCAST_VERTICAL_FACTOR = math.pi / 6.0 + 4.0 / 9.0
"""E_v / L_z of the same sky (ISO 15469:2004) on a vertical plane, without the ground."""


def plane_factor(
    distribution: Distribution, tilt_rad: float = 0.0, facing_rad: float = 0.0
) -> float:
    """Illuminance on a plane over zenith luminance, E / L_z, by summing the sky.

    tilt_rad    0 lies flat facing up, pi / 2 stands
    facing_rad  azimuth of the plane's outward side, from the sun's

    256 x 512 midpoints: 1e-4 for the skies here.
    """
    zenith = (np.arange(256) + 0.5) * (math.pi / 2.0 / 256)
    azimuth = (np.arange(512) + 0.5) * (2.0 * math.pi / 512)
    z, around = np.meshgrid(zenith, azimuth, indexing="ij")
    cosine = np.cos(z) * math.cos(tilt_rad) + np.sin(z) * math.sin(tilt_rad) * np.cos(
        around - facing_rad
    )
    cell = math.pi / 2.0 / 256 * (2.0 * math.pi / 512)
    return float((distribution(z, around) * np.maximum(cosine, 0.0) * np.sin(z)).sum() * cell)


def overcast_plane_factor(tilt_rad: float = 0.0) -> float:
    """`plane_factor` of the CIE overcast sky."""
    return plane_factor(lambda zenith, _azimuth: overcast(zenith), tilt_rad)


def general_sky_plane_factor(
    kind: int, sun_zenith_rad: float, tilt_rad: float = 0.0, facing_rad: float = 0.0
) -> float:
    """`plane_factor` of a CIE general sky."""
    return plane_factor(
        lambda zenith, azimuth: general_sky(kind, zenith, azimuth, sun_zenith_rad),
        tilt_rad,
        facing_rad,
    )
