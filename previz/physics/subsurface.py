"""Light that travels under the skin: what it does to a curved surface lit from one side.

Light that enters skin leaves it again some way off, red light farthest. On a surface that bends,
that smooths the light over the angle at which it falls, by these lengths. The law stops being
true where the light itself changes within a millimetre or two, at the edge of a hard shadow, and
where skin is so thin that light comes through it, as an ear's.
"""

from __future__ import annotations

import math

import numpy as np

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
    """How far light of each colour travels along one axis, root mean square, metres.

    By definition the root of the second moment of `WEIGHTS` and `VARIANCES_MM2`.
    """
    red, green, blue = np.sqrt(WEIGHTS @ VARIANCES_MM2 / WEIGHTS.sum(axis=1)) / 1000.0
    return float(red), float(green), float(blue)


def relief_left(period_m: float) -> tuple[float, float, float]:
    """Share of a relief's shading that is left by colour, where it repeats at `period_m`, metres.

    By definition the Fourier transform of `WEIGHTS` and `VARIANCES_MM2`.
    """
    waves = (2.0 * math.pi / (period_m * 1000.0)) ** 2
    red, green, blue = WEIGHTS @ np.exp(-0.5 * VARIANCES_MM2 * waves) / WEIGHTS.sum(axis=1)
    return float(red), float(green), float(blue)
