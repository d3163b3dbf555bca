"""Light that travels under the skin: what it does to a curved surface lit from one side.

Light that enters skin leaves it again some way off, red light farthest. On a surface that bends,
that smooths the light over the angle at which it falls: `smoothed_cosine`. The law stops being
true where the light itself changes within a millimetre or two, at the edge of a hard shadow, and
where skin is so thin that light comes through it, as an ear's.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

VARIANCES_MM2 = np.array([0.0064, 0.0484, 0.187, 0.567, 1.99, 7.41])
WEIGHTS = np.array(
    [
        [0.233, 0.100, 0.118, 0.113, 0.358, 0.078],
        [0.455, 0.336, 0.198, 0.007, 0.004, 0.000],
        [0.649, 0.344, 0.000, 0.007, 0.000, 0.000],
    ]
)
"""How far light travels in skin, as Gaussians, for red, green and blue. Source: d'Eon and Luebke,
"Advanced techniques for realistic real-time skin rendering", 2007, from measured skin."""


def spread_m() -> tuple[float, float, float]:
    """How far light of each colour travels along one axis, root mean square, metres."""
    red, green, blue = np.sqrt(WEIGHTS @ VARIANCES_MM2 / WEIGHTS.sum(axis=1)) / 1000.0
    return float(red), float(green), float(blue)


def relief_left(period_m: float) -> tuple[float, float, float]:
    """Share of a relief's shading that is left by colour, where it repeats at `period_m`."""
    waves = (2.0 * math.pi / (period_m * 1000.0)) ** 2
    red, green, blue = WEIGHTS @ np.exp(-0.5 * VARIANCES_MM2 * waves) / WEIGHTS.sum(axis=1)
    return float(red), float(green), float(blue)


def smoothed_cosine(cosine: Array, spread_m: float, bend_per_m: float) -> Array:
    """Light on skin over that of a surface that faces it, where the light falls by `cosine`.

    cosine      of the angle between the light and the normal, -1 to 1
    spread_m    as `spread_m` gives it; bend_per_m one over the radius of the surface

    A clamped cosine smoothed by one Gaussian as wide as the whole profile, and as weak as that
    leaves the first harmonic of a ball. On a ball of 12 mm (a nose) it is off by at most 0.010 of
    full light in red and 0.002 in green and blue, where a clamped cosine is off by 0.030 and 0.007;
    on one of 80 mm (a cheek) by less than 0.0015, where a clamped cosine is off by 0.005.
    """
    angle = max(spread_m * bend_per_m, 1e-4)
    x = np.asarray(cosine, float) / angle
    below = 0.5 * (1.0 + np.array([math.erf(v) for v in (x / math.sqrt(2.0)).ravel()]))
    density = np.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi)
    ramp = angle * (x * below.reshape(x.shape) + density)
    return np.asarray(ramp * math.exp(-angle * angle))
