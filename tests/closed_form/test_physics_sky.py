"""Sun and sky against integrals and against the full algorithm's clock."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np
import pytest
from oracles import sky as oracles
from scipy.integrate import dblquad
from scipy.interpolate import CubicSpline

from previz.physics import sky, sun, temperature


def test_overcast_factors_are_the_integrals():
    assert oracles.overcast_plane_factor() == pytest.approx(
        oracles.OVERCAST_HORIZONTAL_FACTOR, rel=5e-5
    )
    assert oracles.overcast_plane_factor(math.pi / 2) == pytest.approx(
        oracles.OVERCAST_VERTICAL_FACTOR, rel=5e-5
    )
    ratio = oracles.OVERCAST_VERTICAL_FACTOR / oracles.OVERCAST_HORIZONTAL_FACTOR
    assert ratio == pytest.approx(0.396177, abs=1e-6)


def test_uniform_sky_gives_half_on_a_wall():
    assert oracles.general_sky_plane_factor(5, 0.5) == pytest.approx(math.pi, rel=1e-4)
    assert oracles.general_sky_plane_factor(5, 0.5, math.pi / 2) == pytest.approx(
        math.pi / 2, rel=1e-4
    )


@pytest.mark.parametrize("kind", [1, 8, 12, 15])
def test_general_sky_on_a_wall(kind):
    sun_zenith, facing = math.radians(55), math.radians(40)

    def share(turn, zenith):
        cosine = math.sin(zenith) * math.cos(turn - facing)
        return float(sky.general_sky(kind, zenith, turn, sun_zenith)) * cosine * math.sin(zenith)

    integral, _ = dblquad(
        share, 0, math.pi / 2, facing - math.pi / 2, facing + math.pi / 2, epsabs=1e-6, epsrel=1e-6
    )
    assert oracles.general_sky_plane_factor(kind, sun_zenith, math.pi / 2, facing) == pytest.approx(
        integral, rel=2e-4
    )


@pytest.mark.parametrize("kind", sky.GENERAL_SKIES)
def test_every_general_sky_is_1_at_its_zenith(kind):
    assert float(sky.general_sky(kind, 0.0, 0.0, 0.7)) == pytest.approx(1.0, rel=1e-12)


# pvlib 0.16.1, sun_rise_set_transit_spa. The NREL worked example prints 17:20:19 for the set of
# its UTC day 2003-10-17, which is the evening of the 16th by local time.
DAYS = [
    (
        39.742476,
        -105.1786,
        (None, "2003-10-16T18:46:17", "2003-10-17T00:20:19"),
    ),
    (
        39.742476,
        -105.1786,
        ("2003-10-17T13:12:43", "2003-10-17T18:46:05", None),
    ),
    (
        52.1,
        5.1,
        ("2026-05-12T03:50:09", "2026-05-12T11:35:56", "2026-05-12T19:22:45"),
    ),
    (
        -33.87,
        151.21,
        ("2026-12-20T18:40:38", "2026-12-21T01:53:01", "2026-12-21T09:05:25"),
    ),
]


@pytest.mark.parametrize(("latitude", "longitude", "clock"), DAYS)
def test_the_sun_stands_where_it_rises_transits_and_sets(latitude, longitude, clock):
    """On the second: its centre at the horizon's -0.8333 degrees less a parallax of 0.0024, or due
    south (from the southern half: north). A second turns the sky by 0.0042 degrees.
    """
    rise, transit, down = clock
    for moment in (rise, down):
        if moment is not None:
            there = sun.sun_position(utc(moment), latitude, longitude)
            assert there.elevation_deg == pytest.approx(-0.8333 - 0.0024, abs=0.0045)
    noon = sun.sun_position(utc(transit), latitude, longitude)
    south = 180.0 if latitude > 0.0 else 0.0
    assert abs(math.remainder(noon.azimuth_deg - south, 360.0)) < 0.02


def utc(moment):
    return datetime.fromisoformat(moment).replace(tzinfo=UTC)


def test_no_zone_no_sun():
    with pytest.raises(ValueError, match="no time zone"):
        sun.sun_position(datetime(2026, 6, 21, 12), 52.1, 5.1)


def test_five_nanometre_sum_is_fine_enough():
    """The coarse sum against one with the functions interpolated to half a nanometre."""
    fine = np.arange(380.0, 780.25, 0.5)
    curves = CubicSpline(temperature.WAVELENGTHS_NM, temperature.COLOUR_MATCHING, axis=1)(fine)
    for cct in (1500.0, 2700.0, 5600.0, 12_000.0):
        power = fine**-5.0 / np.expm1(
            temperature.SECOND_RADIATION_CONSTANT_M_K / (fine * 1e-9 * cct)
        )
        tristimulus = curves @ power
        expected = tristimulus[:2] / tristimulus.sum()
        assert np.allclose(temperature.planckian_xy(cct), expected, atol=1e-4)
