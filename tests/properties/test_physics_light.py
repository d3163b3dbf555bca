"""Laws of light and colour that hold for every number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import photometry as oracles
from oracles.colour import lab_from_rgb

from previz.physics import (
    beam,
    colour,
    dimmer,
    emitters,
    photometry,
    power,
    sky,
    storage,
    sun,
    temperature,
)

length = st.floats(0.05, 5)
seldom = settings(max_examples=60, derandomize=True, deadline=None)


@seldom
@given(st.lists(st.tuples(length, length, length), min_size=3, max_size=3), st.integers(0, 10_000))
def test_polygon_does_not_care_where_the_world_stands(corners, seed):
    """Turned and moved together, emitter and receiver keep their form factor, from 0 to 1."""
    rng = np.random.default_rng(seed)
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    shift, receiver, normal = rng.normal(size=(3, 3))
    points = np.array(corners)
    here = photometry.form_factor_polygon(points, receiver, normal, two_sided=True)
    there = photometry.form_factor_polygon(
        points @ turn.T + shift, turn @ receiver + shift, turn @ normal, two_sided=True
    )
    assert 0.0 <= here <= 1.0
    assert there == pytest.approx(here, abs=1e-9)


@seldom
@given(length, length, length, st.floats(-3, 3), st.floats(-3, 3))
def test_one_sided_emitters_shine_one_way(width, height, distance, x, y):
    corners = [
        (0, 0, distance),
        (0, height, distance),
        (width, height, distance),
        (width, 0, distance),
    ]
    front = photometry.form_factor_polygon(corners, (x, y, 0), (0, 0, 1))
    back = photometry.form_factor_polygon(corners[::-1], (x, y, 0), (0, 0, 1))
    both = photometry.form_factor_polygon(corners, (x, y, 0), (0, 0, 1), two_sided=True)
    assert back == 0.0
    assert front == both
    assert front == pytest.approx(
        oracles.form_factor_rectangle(width, height, distance, x - width / 2, y - height / 2),
        rel=1e-6,
        abs=1e-12,
    )


@seldom
@given(length, length, st.floats(0, 10))
def test_disc_is_brightest_on_its_axis(radius, distance, offset):
    axis = oracles.form_factor_disc(radius, distance)
    assert axis == pytest.approx(radius**2 / (radius**2 + distance**2), rel=1e-12)
    assert oracles.form_factor_disc(radius, distance, offset) <= axis * (1 + 1e-12)


@seldom
@given(st.floats(0.05, 0.9), st.floats(0, math.pi))
def test_sphere_is_continuous_at_its_horizon_and_never_negative(radius, tilt):
    here = oracles.form_factor_sphere(radius, 1.0, tilt)
    assert 0.0 <= here + 1e-12 <= radius**2 + 1e-9
    assert oracles.form_factor_sphere(radius, 1.0, tilt + 1e-7) == pytest.approx(here, abs=1e-6)


@seldom
@given(st.floats(3, 170))
def test_cosine_power_meets_its_beam_angle(angle):
    profile = beam.cosine_power_from_beam(angle)
    assert math.degrees(oracles.full_angle_rad(profile, 0.5)) == pytest.approx(angle, abs=1e-6)


@seldom
@given(st.floats(3, 100), st.floats(1.05, 2.5))
def test_gaussian_like_meets_both_angles_and_falls(angle, ratio):
    field = angle * ratio
    if field >= 178:
        return
    profile = beam.gaussian_like(angle, field)
    assert profile(np.radians([angle, field]) / 2) == pytest.approx([0.5, 0.1], rel=1e-9)
    values = profile(np.linspace(0, math.pi / 2, 200))
    assert values[0] == pytest.approx(1.0)
    assert np.all(np.diff(values) <= 0)
    assert np.all(profile([1.6, 3.0]) == 0)


shapes = st.one_of(
    st.builds(emitters.Rectangle, st.floats(0.05, 2), st.floats(0.05, 2)),
    st.builds(emitters.Disc, st.floats(0.05, 2)),
    st.builds(emitters.Sphere, st.floats(0.05, 1)),
    st.builds(emitters.Cylinder, st.floats(0.02, 0.2), st.floats(0.3, 2)),
)


@seldom
@given(shapes, st.floats(0.8, 10), st.floats(10, 10_000))
def test_lux_and_luminance_turn_round_and_fall_with_distance(shape, distance, lux):
    luminance = emitters.luminance_from_lux_cd_m2(shape, lux, distance)
    assert emitters.axis_illuminance_lx(shape, luminance, distance) == pytest.approx(lux)
    assert emitters.axis_illuminance_lx(shape, luminance, distance * 1.1) < lux
    factor = math.pi * shape.area_m2  # of a Lambertian surface
    flux = luminance * factor
    assert emitters.luminance_from_flux_cd_m2(shape, flux) == pytest.approx(luminance)


def test_a_lantern_takes_no_beam():
    with pytest.raises(ValueError, match="takes no beam profile"):
        emitters.luminance_from_flux_cd_m2(emitters.Sphere(0.5), 1000, beam.cosine_power(5))
    with pytest.raises(ValueError, match="greater than the radius"):
        emitters.axis_illuminance_lx(emitters.Sphere(0.5), 1000, 0.2)


@seldom
@given(st.floats(0, 1), st.sampled_from(dimmer.CURVES))
def test_dimmer_curves_rise_from_0_to_1_and_turn_round(level, curve):
    share = oracles.output_share(level, curve)
    assert 0 <= share <= 1
    assert oracles.output_share(dimmer.level_for_share(share, curve), curve) == pytest.approx(
        share, abs=1e-12
    )
    assert (oracles.output_share(0, curve), oracles.output_share(1, curve)) == (0, 1)
    assert dimmer.level_for_share(0.0, curve) == pytest.approx(0.0, abs=1e-12)
    assert dimmer.level_for_share(1.0, curve) == pytest.approx(1.0, abs=1e-12)


@seldom
@given(st.floats(1100, 25_000), st.floats(-0.04, 0.04))
def test_colour_temperature_turns_round(cct, duv):
    found = temperature.cct_and_duv(temperature.locus_xy(cct, duv))
    # Beyond the locus's centre of curvature (cool and far off it) another point lies nearer.
    if abs(duv) < 0.02 or cct < 6000:
        assert 1e6 / found[0] == pytest.approx(1e6 / cct, abs=0.05)
        assert found[1] == pytest.approx(duv, abs=1e-6)


@seldom
@given(st.floats(4000, 25_000))
def test_daylight_is_a_little_greener_than_a_black_body(cct):
    found, duv = temperature.cct_and_duv(temperature.daylight_xy(cct))
    assert found == pytest.approx(cct, rel=0.01)
    assert 0.0005 < duv < 0.005


@seldom
@given(st.floats(1000, 40_000), st.floats(-0.02, 0.02))
def test_light_of_any_temperature_has_luminance_1(cct, duv):
    rgb = colour.rgb_from_cct(cct, duv)
    assert float(colour.luminance(rgb)) == pytest.approx(1.0)


@seldom
@given(st.lists(st.floats(-0.5, 4), min_size=3, max_size=3))
def test_colour_conversions_turn_round(values):
    rgb = np.array(values)
    assert colour.rgb_from_xyz(colour.xyz_from_rgb(rgb)) == pytest.approx(rgb, abs=1e-9)
    assert colour.srgb_decode(colour.srgb_encode(rgb)) == pytest.approx(rgb, rel=1e-6, abs=1e-8)
    if (rgb > 0).all():
        assert colour.rgb_from_lab(lab_from_rgb(rgb)) == pytest.approx(rgb, abs=1e-9)


@seldom
@given(st.floats(0, 90), st.floats(0, 90))
def test_sun_is_dimmer_lower_down(one, other):
    low, high = sorted((one, other))
    assert sun.direct_normal_illuminance_lx(low) <= sun.direct_normal_illuminance_lx(high)
    assert sun.direct_normal_illuminance_lx(high) < sun.EXTRATERRESTRIAL_LX


@seldom
@given(st.sampled_from(sorted(sky.GENERAL_SKIES)), st.floats(0, 1.5), st.floats(0, 1.57), length)
def test_general_sky_is_positive_and_the_same_left_and_right(kind, sun_zenith, zenith, azimuth):
    left = float(sky.general_sky(kind, zenith, azimuth, sun_zenith))
    assert left > 0
    assert left == pytest.approx(float(sky.general_sky(kind, zenith, -azimuth, sun_zenith)))


@seldom
@given(st.floats(1, 5000), st.floats(100, 250), st.floats(0.5, 1))
def test_power_and_current_turn_round(watts, volts, factor):
    amps = power.current_a(watts, volts, factor)
    assert amps * volts * factor == pytest.approx(watts)


@pytest.mark.parametrize(
    ("law", "inputs", "words"),
    [
        (photometry.form_factor_polygon, ([(0, 0, 0)] * 2, (0, 0, 1), (0, 0, 1)), "n of 3 or more"),
        (photometry.form_factor_polygon, (np.eye(3), (0, 0, 1), (0, 0, 0)), "a direction must be"),
        (beam.gaussian_like, (30, 20), "must be greater than beam_deg"),
        (beam.cosine_power_from_beam, (180,), "between 0 and 180"),
        (dimmer.level_for_share, (1.2,), "share must lie"),
        (dimmer.level_for_share, (0.5, "cubic"), "curve must be one of even, fine_when_dim"),
        (temperature.planckian_xy, (500,), "cct_k must lie between 1000"),
        (temperature.daylight_xy, (3200,), "cct_k must lie between 4000"),
        (temperature.locus_xy, (5600, 0.0, "blue"), "planckian or daylight"),
        (temperature.cct_and_duv, ((0.15, 0.06),), "Planckian locus"),
        (temperature.cct_and_duv, ((0.30, 0.60),), "too far from white"),
        (colour.linear_from_hex, ("#12345",), "written #rrggbb"),
        (colour.xy_from_xyz, ((0, 0, 0),), "black has no chromaticity"),
        (sky.general_sky, (16, 0.0, 0.0, 0.5), "type from 1 to 15"),
        (sky.general_sky, (1, 0.0, 0.0, 2.0), "sun_zenith_rad must lie"),
        (sky.horizontal_illuminance_lx, ("foggy", 0.5), "clear, partly_cloudy or cloudy"),
        (sun.air_mass, (-1,), "elevation_deg must lie"),
        (power.rule, ("moon",), "a circuit is one of us_15a"),
        (power.current_a, (100, 230, 0), "power_factor must lie"),
        (storage.gb_per_hour, (-1,), "rate_mbit_s must be"),
        (temperature.cct_from_mired_k, (0,), "mired must be"),
    ],
)
def test_outside_its_domain_a_law_says_so(law, inputs, words):
    with pytest.raises(ValueError, match=words):
        law(*inputs)
