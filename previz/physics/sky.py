"""The sky's light: CIE overcast and CIE general sky, and absolute levels.

Angles in radians; `zenith_rad` counts from the zenith (0) to the horizon (pi / 2). Luminances are
relative to the zenith's unless a name says cd/m2. Nothing here knows a horizon line of buildings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import within

Array = NDArray[np.float64]
Cover = Literal["clear", "partly_cloudy", "cloudy"]


# --- distributions ---------------------------------------------------------------------------


def overcast(zenith_rad: ArrayLike) -> Array:
    """CIE overcast sky (Moon & Spencer), (1 + 2 sin elevation) / 3: zenith three times the horizon.

    Source: ISO 15469:2004 / CIE S 011.
    """
    return np.asarray((1.0 + 2.0 * np.cos(np.asarray(zenith_rad, dtype=np.float64))) / 3.0)


@dataclass(frozen=True)
class SkyType:
    """One of the fifteen: gradation a, b; indicatrix c, d, e."""

    a: float
    b: float
    c: float
    d: float
    e: float
    description: str


_GRADATIONS = ((4.0, -0.70), (1.1, -0.80), (0.0, -1.0), (-1.0, -0.55), (-1.0, -0.32), (-1.0, -0.15))
_INDICATRICES = (
    (0.0, -1.0, 0.0),
    (2.0, -1.5, 0.15),
    (5.0, -2.5, 0.30),
    (10.0, -3.0, 0.45),
    (16.0, -3.0, 0.30),
    (24.0, -2.8, 0.15),
)
_PAIRS = (
    (1, 1, "overcast, steep gradation, alike all round"),
    (1, 2, "overcast, steep gradation, slightly brighter towards the sun"),
    (2, 1, "overcast, moderate gradation, alike all round"),
    (2, 2, "overcast, moderate gradation, slightly brighter towards the sun"),
    (3, 1, "uniform"),
    (3, 2, "partly cloudy, no gradation, slightly brighter towards the sun"),
    (3, 3, "partly cloudy, no gradation, brighter round the sun"),
    (3, 4, "partly cloudy, no gradation, distinct corona"),
    (4, 2, "partly cloudy, sun hidden"),
    (4, 3, "partly cloudy, brighter round the sun"),
    (4, 4, "white-blue, distinct corona"),
    (5, 4, "clear, clean air"),
    (5, 5, "clear, hazy air"),
    (6, 5, "cloudless, turbid, broad corona"),
    (6, 6, "white-blue, turbid, broad corona"),
)
GENERAL_SKIES: dict[int, SkyType] = {
    number: SkyType(*_GRADATIONS[gradation - 1], *_INDICATRICES[indicatrix - 1], description)
    for number, (gradation, indicatrix, description) in enumerate(_PAIRS, start=1)
}
"""The CIE general sky, types 1 to 15: ISO 15469:2004 / CIE S 011 as tabulated by Darula and
Kittler, "CIE General Sky standard defining luminance distributions", 2002."""


def gradation(zenith_rad: ArrayLike, kind: SkyType) -> Array:
    """phi = 1 + a exp(b / cos Z), ISO 15469:2004; 1 at the horizon (b is below 0)."""
    cosine = np.maximum(np.cos(np.asarray(zenith_rad, dtype=np.float64)), 1e-9)
    return np.asarray(1.0 + kind.a * np.exp(kind.b / cosine))


def _indicatrix(angle_rad: ArrayLike, kind: SkyType) -> Array:
    """f = 1 + c (exp(d chi) - exp(d pi / 2)) + e cos^2 chi, chi the angle to the sun.

    ISO 15469:2004.
    """
    chi = np.asarray(angle_rad, dtype=np.float64)
    glow = np.exp(kind.d * chi) - math.exp(kind.d * math.pi / 2.0)
    return np.asarray(1.0 + kind.c * glow + kind.e * np.cos(chi) ** 2)


def general_sky(
    kind: int, zenith_rad: ArrayLike, azimuth_rad: ArrayLike, sun_zenith_rad: float
) -> Array:
    """CIE general sky of type `kind` (1 to 15) at directions (broadcast), over its zenith.

    ISO 15469:2004, a mean of skies of one type: a true one has clouds and gaps. `azimuth_rad`
    counts from the sun's. The sun's own disc is not in it. ValueError for a sun below the horizon
    or an unknown type.
    """
    if kind not in GENERAL_SKIES:
        raise ValueError(f"a general sky has a type from 1 to 15, not {kind!r}")
    within("sun_zenith_rad", sun_zenith_rad, 0.0, math.pi / 2.0)
    sky = GENERAL_SKIES[kind]
    zenith = np.asarray(zenith_rad, dtype=np.float64)
    cosine = math.cos(sun_zenith_rad) * np.cos(zenith) + math.sin(sun_zenith_rad) * np.sin(
        zenith
    ) * np.cos(np.asarray(azimuth_rad, dtype=np.float64))
    from_sun = np.arccos(np.clip(cosine, -1.0, 1.0))
    here = gradation(zenith, sky) * _indicatrix(from_sun, sky)
    return np.asarray(here / (gradation(0.0, sky) * _indicatrix(sun_zenith_rad, sky)))


# --- how bright ------------------------------------------------------------------------------

_IES_HORIZONTAL_KLX: dict[Cover, tuple[float, float, float]] = {
    "clear": (0.8, 15.5, 0.5),
    "partly_cloudy": (0.3, 45.0, 1.0),
    "cloudy": (0.3, 21.0, 1.0),
}
"""A, B and C of `horizontal_illuminance_lx`: Gillette, Pierpoint and Treado, "A general illuminance
model for daylight availability", Journal of the IES 13, 1984; the constants are from memory."""


def horizontal_illuminance_lx(cover: Cover, sun_elevation_rad: float) -> float:
    """Light of the sky alone, without the sun, on open ground: A + B sin^C(elevation), klx.

    Gillette, Pierpoint and Treado, "A general illuminance model for daylight availability", 1984;
    constants from memory. With the sun at 30 degrees they agree within 4 % with the
    half-sky formulas of the 1984 recommended practice, both halves added. A mean: single days lie
    a factor of two either way. 0 when the sun is down, which leaves out twilight.
    """
    if cover not in _IES_HORIZONTAL_KLX:
        raise ValueError(f"cover must be clear, partly_cloudy or cloudy, not {cover!r}")
    if sun_elevation_rad <= 0.0:
        return 0.0
    a, b, c = _IES_HORIZONTAL_KLX[cover]
    return 1000.0 * (a + b * math.pow(math.sin(sun_elevation_rad), c))
