"""What a face gives off at its settings: output, gels, dimmer, colour, spread."""

from __future__ import annotations

import math

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.model.lights import Light
from previz.model.room import Opening
from previz.physics import beam
from previz.physics.colour import LUMINANCE_WEIGHTS, cct_and_duv_of_rgb, xy_from_rgb
from previz.physics.white import white_rgb
from previz.stage.emission import Emission, emission, window_light

DISC = EmitterShape("disc", np.eye(4), radius_m=0.075)
SQUARE = EmitterShape("rectangle", np.eye(4), width_m=0.9, height_m=0.9)


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return Catalog.load()


def light(fixture: str, **settings: object) -> Light:
    place = {"at_m": [0.0, 0.0], "height_m": 2.0}
    return Light.model_validate({"fixture": fixture, "place": place, **settings})


def given(catalog: Catalog, fixture: str, **settings: object) -> Emission:
    noun = light(fixture, **settings)
    face = DISC if catalog.fixture(fixture).form == "fresnel" else SQUARE
    gels = [catalog.gel(name) for name in noun.gels]
    return emission(catalog.fixture(fixture), noun, face, gels)


def flux_of(face: EmitterShape, out: Emission) -> float:
    mean = 1.0 if out.profile is None else beam.mean_of_table(out.profile)
    return math.pi * face.area_m2 * out.luminance_cd_m2 * mean


def test_a_matt_face_gives_its_flux(catalog):
    """L = flux / (pi A), of a face that shines by Lambert's law."""
    out = given(catalog, "softbox_90")
    assert out.profile is None
    assert out.luminance_cd_m2 == pytest.approx(10400.0 / (math.pi * 0.81), rel=1e-9)


@pytest.mark.parametrize("settings", [{"on": False}, {"dimmer_pct": 0.0}])
def test_a_light_that_is_off_is_a_face_without_light(catalog, settings):
    on, off = given(catalog, "fresnel_150"), given(catalog, "fresnel_150", **settings)
    assert off.luminance_cd_m2 == 0.0
    np.testing.assert_array_equal(off.rgb, on.rgb)
    np.testing.assert_array_equal(off.profile, on.profile)


def test_the_dimmer_is_per_cent_of_light(catalog):
    full, half = given(catalog, "softbox_90"), given(catalog, "softbox_90", dimmer_pct=50.0)
    assert half.luminance_cd_m2 == pytest.approx(0.5 * full.luminance_cd_m2, rel=1e-12)
    np.testing.assert_array_equal(half.rgb, full.rgb)


def test_nd_takes_light_and_nothing_else(catalog):
    clean, dark = given(catalog, "fresnel_150"), given(catalog, "fresnel_150", gels=["nd_0.6"])
    assert dark.luminance_cd_m2 / clean.luminance_cd_m2 == pytest.approx(0.2512, rel=1e-12)
    np.testing.assert_array_equal(dark.rgb, clean.rgb)
    np.testing.assert_array_equal(dark.profile, clean.profile)


@pytest.mark.parametrize(
    ("cct_k", "gels", "expected_k"),
    [
        # 10^6 / (10^6 / T + shift), summed for two: 65.3 and 34.2 mired, and -34.7.
        (5600.0, ["orange_full"], 3200.0),
        (3200.0, ["blue_full"], 5600.0),
        (6500.0, ["orange_for_skylight"], 3200.0),
        (5600.0, ["orange_half", "orange_quarter"], 3595.87),
        (6500.0, ["blue_quarter"], 8394.62),
    ],
)
def test_gels_shift_by_mired(catalog, cct_k, gels, expected_k):
    out = given(catalog, "softbox_90", cct_k=cct_k, gels=gels)
    by_hand = 1e6 / (1e6 / cct_k + sum(catalog.gel(name).shift_mired for name in gels))
    assert by_hand == pytest.approx(expected_k, abs=0.01)
    assert cct_and_duv_of_rgb(out.rgb)[0] == pytest.approx(expected_k, rel=0.005)
    bare = given(catalog, "softbox_90", cct_k=cct_k)
    share = math.prod(catalog.gel(name).transmittance_pct / 100.0 for name in gels)
    assert out.luminance_cd_m2 == pytest.approx(share * bare.luminance_cd_m2, rel=1e-12)
    assert float(out.rgb @ LUMINANCE_WEIGHTS) == pytest.approx(1.0, abs=1e-9)


def test_no_gel_makes_light_negative_or_undefined(catalog):
    for cct_k, gels in ((2700.0, ["orange_full"] * 4), (6500.0, ["blue_full"] * 4)):
        rgb = given(catalog, "softbox_90", cct_k=cct_k, gels=gels).rgb
        assert np.all(rgb >= 0.0)
        assert float(rgb @ LUMINANCE_WEIGHTS) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("duv", [-0.01, 0.006])
@pytest.mark.parametrize("cct_k", [3200.0, 4500.0, 5600.0])
def test_duv_is_the_distance_from_the_white_locus(catalog, cct_k, duv):
    base = cct_and_duv_of_rgb(given(catalog, "softbox_90", cct_k=cct_k).rgb)[1]
    moved = cct_and_duv_of_rgb(given(catalog, "softbox_90", cct_k=cct_k, duv=duv).rgb)[1]
    assert moved - base == pytest.approx(duv, abs=1e-4)


def test_a_dimmed_filament_is_warmer(catalog):
    """CCT with light^0.1235: at half the light 3200 K becomes 2937 K."""
    out = given(catalog, "fresnel_tungsten_650", dimmer_pct=50.0)
    assert cct_and_duv_of_rgb(out.rgb)[0] == pytest.approx(3200.0 * 0.5 ** (0.42 / 3.4), rel=2e-3)


def test_diffusion_spreads_and_takes_its_share_of_flux(catalog):
    clean = given(catalog, "fresnel_150", beam_deg=30.0)
    soft = given(catalog, "fresnel_150", beam_deg=30.0, gels=["diffusion_half"])
    flux = flux_of(DISC, soft) / flux_of(DISC, clean)
    assert flux == pytest.approx(0.65, rel=1e-3)
    half = math.degrees(beam.half_value_of_table_rad(soft.profile))
    assert 2.0 * half == pytest.approx(math.hypot(30.0, 60.0), rel=1e-3)
    assert soft.luminance_cd_m2 < 0.25 * clean.luminance_cd_m2


def test_matt_faces_stay_matt_behind_diffusion(catalog):
    out = given(catalog, "softbox_90", gels=["diffusion_full"])
    assert out.profile is None


def test_an_egg_crate_leaves_the_axis_and_cuts_at_its_angle(catalog):
    bare, gridded = given(catalog, "softbox_90"), given(catalog, "softbox_90", grid_deg=60.0)
    assert gridded.luminance_cd_m2 == bare.luminance_cd_m2
    angle = np.degrees(beam.profile_angles_rad())
    assert gridded.profile[0] == pytest.approx(1.0)
    assert np.all(gridded.profile[angle > 30.01] == 0.0)
    assert np.all(gridded.profile[angle < 29.0] > 0.0)
    assert flux_of(SQUARE, gridded) < 0.15 * flux_of(SQUARE, bare)


@pytest.mark.parametrize("beam_deg", [10.0, 20.0, 50.0])
def test_a_fresnel_gives_the_lux_of_its_record(catalog, beam_deg):
    """On the axis at 3 m, from the disc's ring integral, by the table that a renderer reads."""
    fixture = catalog.fixture("fresnel_tungsten_650")
    out = given(catalog, "fresnel_tungsten_650", beam_deg=beam_deg)
    ends = [(e.beam_deg, e.illuminance_lx) for e in fixture.lux_at]
    share = math.log(beam_deg / ends[0][0]) / math.log(ends[1][0] / ends[0][0])
    expected = ends[0][1] ** (1.0 - share) * ends[1][1] ** share
    angle = np.linspace(0.0, math.atan(DISC.radius_m / 3.0), 4001)
    table = np.interp(angle, beam.profile_angles_rad(), out.profile)
    luminance = out.luminance_cd_m2 * table * np.cos(angle)
    lux = 2.0 * math.pi * np.trapezoid(luminance * np.sin(angle), angle)
    assert lux == pytest.approx(expected, rel=2e-3)


def test_a_board_has_no_emission(catalog):
    with pytest.raises(ValueError, match="no light of its own"):
        emission(catalog.fixture("bounce_board_120"), light("bounce_board_120"), SQUARE)


def test_a_window_gel_turns_daylight_warmer_and_takes_its_share(catalog):
    opening = Opening.model_validate(
        {"kind": "window", "wall": "north", "along_m": 1.0, "width_m": 1.0, "height_m": 1.0,
         "transmittance_pct": 80.0, "gel_nd": 0.3}
    )  # fmt: skip
    share, tint = window_light(opening, [catalog.gel("orange_full"), catalog.gel("nd_0.3")], 6500.0)
    assert share == pytest.approx(0.8 * 10**-0.3 * 0.6 * 0.5012, rel=1e-9)
    inside = white_rgb(6500.0) * tint
    assert float(inside @ LUMINANCE_WEIGHTS) == pytest.approx(1.0, abs=1e-9)
    # 10^6 / (153.846 + 134) = 3474 K.
    assert cct_and_duv_of_rgb(inside)[0] == pytest.approx(3474.0, rel=0.005)
    clear, none = window_light(opening, [], 6500.0)
    assert clear == pytest.approx(0.8 * 10**-0.3, rel=1e-9)
    np.testing.assert_allclose(none, 1.0)


def test_full_correction_ends_at_the_published_colours(catalog):
    """134 mired turn 5600 K into a black body of 3200 K and 3200 K into CIE daylight of 5600 K:
    colour-science 0.4.7 (sd_blackbody, CCT_to_xy_CIE_D). Both land within 3 K of it."""
    warm = given(catalog, "softbox_90", cct_k=5600.0, gels=["orange_full"]).rgb
    np.testing.assert_allclose(warm, (1.6798, 0.8659, 0.3258), atol=2e-3)
    cool = given(catalog, "softbox_90", cct_k=3200.0, gels=["blue_full"]).rgb
    np.testing.assert_allclose(xy_from_rgb(cool), (0.33016, 0.34555), atol=2e-4)


def test_two_gels_in_either_order_are_the_same_light(catalog):
    first = given(catalog, "fresnel_150", gels=["orange_half", "diffusion_light", "nd_0.3"])
    second = given(catalog, "fresnel_150", gels=["nd_0.3", "orange_half", "diffusion_light"])
    assert first.luminance_cd_m2 == pytest.approx(second.luminance_cd_m2, rel=1e-12)
    np.testing.assert_allclose(first.rgb, second.rgb, rtol=1e-12)
