"""What counts as white light of a colour temperature.

Warm lamps lie on the Planckian locus, daylight and lamps that imitate it on the daylight
locus a little to the green side. The change-over is that of the reference illuminant of
ANSI/IES TM-30 and CIE 224: Planckian up to 4000 K, daylight from 5000 K, mixed between
(limits from memory, not confirmed).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.physics.colour import rgb_from_xy
from previz.physics.temperature import locus_xy

PLANCKIAN_UP_TO_K = 4000.0
DAYLIGHT_FROM_K = 5000.0
WARMEST_K = 1000.0
COOLEST_K = 25_000.0

Array = NDArray[np.float64]


def white_xy(cct_k: float, duv: float = 0.0) -> tuple[float, float]:
    """CIE 1931 x, y of white light at `cct_k`, 1000 to 25000 K.

    Loci by ANSI/IES TM-30 (limits from memory, see the module).
    `duv` moves it off the locus, at right angles in CIE 1960 (u, v): greener above 0, pinker
    below.
    """
    if cct_k <= PLANCKIAN_UP_TO_K:
        return locus_xy(cct_k, duv, "planckian")
    if cct_k >= DAYLIGHT_FROM_K:
        return locus_xy(cct_k, duv, "daylight")
    share = (cct_k - PLANCKIAN_UP_TO_K) / (DAYLIGHT_FROM_K - PLANCKIAN_UP_TO_K)
    warm = np.array(locus_xy(cct_k, duv, "planckian"))
    x, y = (1.0 - share) * warm + share * np.array(locus_xy(cct_k, duv, "daylight"))
    return float(x), float(y)


def white_rgb(cct_k: float, duv: float = 0.0) -> Array:
    """White light at `cct_k`, `duv` off the locus, as linear RGB (3,) with Y = 1.

    White as in `white_xy`; primaries of ITU-R BT.709-6.
    """
    return np.asarray(rgb_from_xy(white_xy(cct_k, duv)), float)


def neutral_gains(white: tuple[float, float]) -> Array:
    """Gains (3,) on linear BT.709 that show light of chromaticity `white` as a neutral grey.

    The inverse of the white's own RGB, by definition. A grey card keeps its luminance. Gains on R,
    G and B are what a camera does, and they are exact here: light falls on surfaces channel by
    channel, so a surface comes out as it would under D65. A chromatic adaptation (Bradford) of the
    product would oversaturate it.
    """
    return np.asarray(1.0 / rgb_from_xy(white), float)
