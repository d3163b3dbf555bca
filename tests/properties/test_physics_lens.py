"""Laws of lens and exposure that hold for every number, not only the published ones."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import lens as oracles

from previz.physics import exposure, focus, optics, projection

focal = st.floats(8, 400)
stop = st.floats(0.95, 32)
coc = st.floats(0.004, 0.05)
extent = st.floats(4, 60)
seldom = settings(max_examples=60, derandomize=True, deadline=None)


@seldom
@given(extent, focal)
def test_angle_and_focal_length_turn_round(size, length):
    angle = optics.angle_of_view_rad(size, length)
    assert oracles.focal_length_for_angle(size, angle) == pytest.approx(length, rel=1e-9)


@seldom
@given(extent, focal)
def test_the_angle_of_view_holds_the_field(size, length):
    """At any distance half the field lies within half the angle, and the distance comes back."""
    tangent = math.tan(optics.angle_of_view_rad(size, length) / 2)
    field = optics.field_size(size, length, 3.0)
    assert field == pytest.approx(2 * 3.0 * tangent, rel=1e-9)
    assert optics.distance_for_field(size, length, field) == pytest.approx(3.0, rel=1e-12)


@seldom
@given(extent, focal, st.floats(1.5, 1000))
def test_near_focus_narrows_the_view(size, length, ratio):
    assert optics.angle_of_view_focused_rad(
        size, length, ratio * length
    ) < optics.angle_of_view_rad(size, length)


@seldom
@given(focal, st.floats(1.001, 1e5))
def test_image_distance_is_its_own_inverse(length, ratio):
    image = optics.thin_lens_image_distance(length, ratio * length)
    assert optics.thin_lens_image_distance(length, image) == pytest.approx(ratio * length, rel=1e-6)


@seldom
@given(stop, st.floats(-8, 8))
def test_stops_add(number, stops):
    moved = optics.number_after_stops(number, stops)
    assert optics.stops_between(number, moved) == pytest.approx(stops, abs=1e-9)


@seldom
@given(focal, stop, st.floats(0.4, 2.5))
def test_adapter_keeps_the_pupil(length, number, factor):
    """Behind any adapter the entrance pupil, and so the blur in the world, stays the same."""
    lens = optics.adapted(length, number, factor)
    assert optics.entrance_pupil(lens.focal_length, lens.f_number) == pytest.approx(
        optics.entrance_pupil(length, number), rel=1e-12
    )
    back = optics.adapted(lens.focal_length, lens.f_number, 1 / factor)
    assert back.gain_stops == pytest.approx(-lens.gain_stops, abs=1e-9)


@seldom
@given(focal, stop, coc, st.floats(1.2, 1e4))
def test_limits_enclose_the_focus_and_blur_to_the_circle(length, number, circle, ratio):
    where = ratio * length
    depth = focus.depth_of_field(length, number, circle, where)
    assert 0 < depth.near < where < depth.far
    assert focus.blur_disc(length, number, where, depth.near) == pytest.approx(circle, rel=1e-6)
    if math.isfinite(depth.far):
        assert focus.blur_disc(length, number, where, depth.far) == pytest.approx(circle, rel=1e-6)
    else:
        assert focus.blur_at_infinity(length, number, where) <= circle * (1 + 1e-9)


@seldom
@given(focal, stop, coc)
def test_focused_at_the_hyperfocal_distance(length, number, circle):
    far = focus.hyperfocal(length, number, circle)
    assert focus.depth_of_field(length, number, circle, far).near == pytest.approx(far / 2)
    assert math.isinf(focus.depth_of_field(length, number, circle, far * (1 + 1e-9)).far)
    assert focus.blur_at_infinity(length, number, far) == pytest.approx(circle)


@seldom
@given(focal, stop, coc, st.floats(1.05, 0.98e2))
def test_depth_of_field_inverses(length, number, circle, ratio):
    where = length * ratio
    if where >= 0.98 * focus.hyperfocal(length, number, circle):
        return
    total = focus.depth_of_field(length, number, circle, where).total
    wide = oracles.f_number_for_depth(length, circle, where, total)
    assert wide == pytest.approx(number, rel=1e-6)
    assert focus.focus_for_depth(length, number, circle, total) == pytest.approx(where, rel=1e-5)


@seldom
@given(focal, stop, st.floats(1.2, 1e3), st.floats(0.2, 1e4))
def test_blur_inverse(length, number, near, far):
    disc = focus.blur_disc(length, number, near * length, far * length)
    if disc < 1e-9:
        return
    assert focus.f_number_for_blur(length, disc, near * length, far * length) == pytest.approx(
        number, rel=1e-9
    )


@seldom
@given(stop, st.floats(1e-4, 1), st.floats(50, 25_600), st.floats(0, 3), st.floats(0.02, 1))
def test_a_card_comes_out_as_its_reflectance(number, seconds, iso, density, reflectance):
    """Whatever the settings, in the light the meter asks for with them."""
    lux = exposure.illuminance_for_stop_lx(number, seconds, iso, density)
    value = reflectance * lux / math.pi * exposure.scene_linear_scale(number, seconds, iso, density)
    assert value == pytest.approx(reflectance, rel=1e-9)


@seldom
@given(st.floats(1, 1e5), stop, st.floats(1e-4, 1), st.floats(50, 25_600))
def test_the_meters_equation_solved_for_each_term(lux, number, seconds, iso):
    assert exposure.illuminance_for_stop_lx(
        exposure.stop_for_illuminance(lux, seconds, iso), seconds, iso
    ) == pytest.approx(lux)
    assert exposure.stop_for_illuminance(
        lux, exposure.shutter_for_illuminance_s(lux, number, iso), iso
    ) == pytest.approx(number)
    assert exposure.stop_for_illuminance(
        lux, seconds, exposure.iso_for_illuminance(lux, number, seconds)
    ) == pytest.approx(number)
    density = exposure.nd_for_illuminance(lux, number, seconds, iso)
    if density >= 0:
        assert exposure.stop_for_illuminance(lux, seconds, iso, density) == pytest.approx(number)


@seldom
@given(st.floats(0, 4), st.floats(0, 4))
def test_densities_add(first, second):
    both = exposure.nd_transmittance(first) * exposure.nd_transmittance(second)
    assert exposure.nd_transmittance(first + second) == pytest.approx(both, rel=1e-9)
    assert exposure.nd_density_for_stops(exposure.nd_stops(first)) == pytest.approx(first)


@seldom
@given(st.sampled_from([50.0, 60.0]), st.floats(1, 119))
def test_every_safe_shutter_is_safe_and_fits_the_frame(mains, fps):
    for seconds in exposure.flicker_safe_shutters_s(mains, fps):
        assert exposure.is_flicker_safe(seconds, mains)
        assert oracles.flicker_ripple(seconds, mains, 0.5) < 1e-9
        assert seconds <= 1 / fps + 1e-9


@seldom
@given(st.floats(-2, 2), st.floats(-2, 2), st.floats(0.2, 30), focal)
def test_pixel_and_matrix_agree(x, y, depth, length):
    point = np.array([x, y, -depth])
    pixel = projection.pixel_of_point(point, 36, 20.25, length, width_px=1920, height_px=1080)
    clip = oracles.perspective_matrix(36, 20.25, length, 0.1, 100) @ [*point, 1.0]
    ndc = clip[:3] / clip[3]
    assert pixel == pytest.approx([(1 + ndc[0]) * 960, (1 - ndc[1]) * 540], abs=1e-6)


def test_points_behind_the_lens_have_no_pixel():
    pixels = projection.pixel_of_point(
        [[0, 0, 1], [0, 0, 0], [0, 0, -1]], 36, 24, 50, width_px=300, height_px=200
    )
    assert np.isnan(pixels[:2]).all()
    assert pixels[2] == pytest.approx([150, 100])


@pytest.mark.parametrize(
    ("law", "inputs", "words"),
    [
        (optics.angle_of_view_rad, (36, 0), "focal_length must be"),
        (optics.angle_of_view_rad, (math.nan, 50), "extent must be"),
        (optics.thin_lens_image_distance, (50, 50), "greater than the focal length"),
        (optics.t_number, (2, 0.0), "transmittance must be"),
        (optics.field_size, (36, 50, 0), "distance must be above 0"),
        (optics.shutter_s, (400, 25), "shutter_deg must lie"),
        (optics.shutter_deg, (1 / 20, 25), "shutter_deg must lie"),
        (focus.depth_of_field, (50, 2, 0.025, 40), "greater than the focal length"),
        (focus.f_number_for_blur, (50, 0.1, 2000, 2000), "no blur at any stop"),
        (focus.blur_disc, (50, 2, 2000, -1), "distance must be above 0"),
        (exposure.nd_transmittance, (-0.3,), "density must be"),
        (exposure.stop_for_illuminance, (0, 0.02, 800), "illuminance_lx must be"),
    ],
)
def test_outside_its_domain_a_law_says_so(law, inputs, words):
    with pytest.raises(ValueError, match=words):
        law(*inputs)
