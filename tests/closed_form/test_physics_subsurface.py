"""Light under the skin of a ball lit from one side, against its profile spread over the ball."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.polynomial import legendre
from oracles.subsurface import smoothed_cosine

from previz.physics import subsurface as law

DEGREES = 160


def _spread_over_ball(angle_rad: np.ndarray, radius_m: float, channel: int) -> np.ndarray:
    """A clamped cosine spread by every Gaussian of the profile, by harmonics of the ball.

    Source: heat on a sphere fades harmonic l by exp(-l (l + 1) v / 2); any textbook of harmonics.
    """
    nodes, weights = legendre.leggauss(4 * DEGREES)
    x, w = 0.5 * (nodes + 1.0), 0.5 * weights  # the lit half
    order = np.arange(DEGREES)
    values = legendre.legvander(x, DEGREES - 1)
    clamped = (2.0 * order + 1.0) / 2.0 * ((w * x) @ values)
    variance = law.VARIANCES_MM2 * 1e-6 / radius_m**2
    faded = np.exp(-0.5 * np.outer(variance, order * (order + 1.0)))
    share = law.WEIGHTS[channel] / law.WEIGHTS[channel].sum()
    return np.asarray(legendre.legval(np.cos(angle_rad), clamped * (share @ faded)))


MOST = [(0.012, (0.0105, 0.0025, 0.0015)), (0.08, (0.0015, 0.0015, 0.0015))]


@pytest.mark.parametrize(("radius_m", "most"), MOST)
def test_a_ball_of_skin_is_lit_as_its_profile_says(
    radius_m: float, most: tuple[float, float, float]
) -> None:
    angle = np.linspace(0.0, np.pi, 721)
    for channel, spread in enumerate(law.spread_m()):
        right = _spread_over_ball(angle, radius_m, channel)
        ours = smoothed_cosine(np.cos(angle), spread, 1.0 / radius_m)
        plain = np.maximum(np.cos(angle), 0.0)
        off = np.abs(ours - right).max()
        assert off < most[channel]
        assert off < 0.65 * np.abs(plain - right).max()


def test_red_light_travels_farthest_and_blurs_relief_most() -> None:
    red, green, blue = law.spread_m()
    assert red > 3.0 * green > 3.0 * blue
    left = law.relief_left(0.0015)
    assert left[0] < left[1] < left[2] < 1.0
    # Folds of centimetres keep their shading.
    assert min(law.relief_left(0.05)) > 0.95
