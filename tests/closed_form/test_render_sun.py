"""The sun through a window, as a back end renders it, against geometry on paper.

The window hangs alone in the dark: 1 m by 1.5 m, its middle 2 m over the floor, the plane x = 2,
light coming in towards -x. Its glass lets 0.6 through.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from previz.geometry.gear.emitter import EmitterShape
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.contract import Ability, RenderSettings
from previz.stage.environment import Environment, Sun
from previz.stage.placing import looking
from previz.stage.stage import Emitter

SHARE, NORMAL_LX, RADIUS = 0.6, 80000.0, math.radians(0.5332 / 2.0)
UP = np.array([0.0, 0.0, 1.0])


def _sun(azimuth_deg: float, elevation_deg: float) -> Sun:
    """`azimuth_deg` counts from +x towards +y."""
    a, e = math.radians(azimuth_deg), math.radians(elevation_deg)
    towards = np.array([math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)])
    return Sun(towards, NORMAL_LX, np.array([1.2, 0.97, 0.7]), RADIUS)


def _window(name: str, centre: tuple[float, float, float], inward: tuple[float, float, float]):
    pose = looking(centre, tuple(np.add(centre, inward)))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    shape = EmitterShape("rectangle", pose, width_m=1.0, height_m=1.5)
    return Emitter(name, f"openings.{name}", shape, SHARE, np.ones(3), window=True)


def _dark(sun: Sun | None, level: float = 0.0) -> Environment:
    return Environment(np.full((32, 64, 3), level, np.float32), sun)


def _on_the_floor(sun: Sun, y_m: float = 0.0, z_m: float = 2.0) -> np.ndarray:
    """Where the ray through a point of the window's plane meets the floor."""
    return np.array([2.0, y_m, z_m]) - sun.direction * z_m / sun.direction[2]


def _lux(back_end, stage, points, facing=UP, samples=4096, layer="window"):
    read = back_end.load(stage).meter(
        np.asarray(points, float), np.tile(facing, (len(points), 1)), samples
    )
    return read[layer] @ LUMINANCE_WEIGHTS


@pytest.mark.needs(Ability.METER, Ability.SUN)
@pytest.mark.parametrize(("azimuth", "elevation"), [(0.0, 30.0), (25.0, 40.0), (-60.0, 15.0)])
def test_in_the_patch_a_meter_reads_the_sun_by_its_cosine(
    back_end, make_stage, kit, azimuth, elevation
):
    """E = E_normal x transmission x sin(elevation), over what the sky gives without the sun."""
    sun = _sun(azimuth, elevation)
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    place = [_on_the_floor(sun)]
    lit, dark = (
        _lux(
            back_end,
            make_stage([], [window], kit.camera(), environment=_dark(shining, 500.0)),
            place,
        )
        for shining in (sun, None)
    )
    expected = NORMAL_LX * float(sun.rgb @ LUMINANCE_WEIGHTS) * SHARE * sun.direction[2]
    assert lit - dark == pytest.approx([expected], rel=0.003)


@pytest.mark.needs(Ability.METER, Ability.SUN)
def test_the_patch_ends_where_geometry_says_with_a_penumbra_of_the_disc(back_end, make_stage, kit):
    """Across the upper edge, on a receptor that faces the sun, from 10 % to 90 % of the light.

    An even disc of angle w, cut by a straight edge at distance d, darkens from full to none
    over w d (0.0093 d) and from 90 % to 10 % over 0.687 of that (half the chords' area).
    """
    sun = _sun(0.0, 35.0)
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    stage = make_stage([], [window], kit.camera(), environment=_dark(sun))
    edge = _on_the_floor(sun, z_m=2.75)
    distance = 2.75 / math.sin(math.radians(35.0))
    across = np.cross(sun.direction, [0.0, 1.0, 0.0])
    steps = np.linspace(-0.7, 0.7, 57) * 2.0 * RADIUS * distance
    read = _lux(back_end, stage, edge + steps[:, None] * across, sun.direction, 8192)
    share = read / read.max()
    order = np.argsort(share)
    low, middle, high = np.interp([0.1, 0.5, 0.9], share[order], steps[order])
    assert middle == pytest.approx(0.0, abs=0.02 * 2.0 * RADIUS * distance)
    assert abs(high - low) == pytest.approx(0.687 * 2.0 * RADIUS * distance, rel=0.03)
    assert share.max() == 1.0
    assert share.min() == 0.0
    touched = np.ptp(steps[(share > 0.001) & (share < 0.999)])
    assert touched == pytest.approx(0.0093 * distance, rel=0.1)


@pytest.mark.needs(Ability.METER, Ability.SUN)
def test_bars_and_whatever_stands_in_the_room_cast_shadows(back_end, make_stage, kit):
    sun = _sun(10.0, 40.0)
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    bar = kit.box("bar", (0.03, 0.08, 1.5), (1.97, 0.0, 2.0))
    outside_bar = kit.box("reveal", (0.03, 0.08, 1.5), (2.3, 0.3, 2.2))
    stage = make_stage([bar, outside_bar], [window], kit.camera(), environment=_dark(sun))
    behind = np.array([1.97, 0.0, 2.0]) - sun.direction * 1.97 / sun.direction[2] * 0.999
    shadow_outside = np.array([2.3, 0.3, 2.2]) - sun.direction * 2.2 / sun.direction[2] * 0.999
    free = _on_the_floor(sun, 0.15)
    read = _lux(back_end, stage, [behind, shadow_outside, free])
    assert read[:2] == pytest.approx([0.0, 0.0], abs=1.0)
    assert read[2] > 20000.0


@pytest.mark.needs(Ability.METER, Ability.SUN)
def test_each_window_keeps_its_own_sun(back_end, make_stage, kit):
    sun = _sun(0.0, 30.0)
    windows = [
        _window("left", (2.0, -1.0, 2.0), (-1.0, 0.0, 0.0)),
        _window("right", (2.0, 1.0, 2.0), (-1.0, 0.0, 0.0)),
        _window("back", (-2.0, 0.0, 2.0), (1.0, 0.0, 0.0)),
    ]
    stage = make_stage([], windows, kit.camera(), environment=_dark(sun))
    places = [_on_the_floor(sun, -1.0), _on_the_floor(sun, 1.0)]
    left, right, back = (
        _lux(back_end, stage, places, layer=name) for name in ("left", "right", "back")
    )
    expected = NORMAL_LX * float(sun.rgb @ LUMINANCE_WEIGHTS) * SHARE * 0.5
    assert left == pytest.approx([expected, 0.0], rel=0.003)
    assert right == pytest.approx([0.0, expected], rel=0.003)
    assert back == pytest.approx([0.0, 0.0])


@pytest.mark.needs(Ability.BOUNCES, Ability.SUN)
def test_a_lit_floor_is_seen_as_bright_as_the_sun_makes_it(back_end, make_stage, kit):
    """L = rho E / pi on a matt floor, by the picture; nothing counts twice."""
    sun = _sun(0.0, 30.0)
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    place = _on_the_floor(sun)
    floor = kit.box("floor", (20.0, 20.0, 0.1), (0.0, 0.0, -0.05))
    view = kit.camera(
        (float(place[0]), -1.0, 1.0), tuple(place), focal_length_m=0.4, f_number=400.0
    )
    stage = make_stage([floor], [window], view, environment=_dark(sun))
    exposing = back_end.load(stage).expose("A", RenderSettings(32, 18, 64, -1))
    exposing.advance(64)
    seen = float((exposing.light().beauty @ LUMINANCE_WEIGHTS).mean())
    lux = NORMAL_LX * float(sun.rgb @ LUMINANCE_WEIGHTS) * SHARE * 0.5
    assert seen == pytest.approx(0.5 * lux / math.pi, rel=0.003)


@pytest.mark.needs(Ability.SUN)
def test_who_looks_into_the_sun_sees_its_disc(back_end, make_stage, kit):
    sun = _sun(0.0, 20.0)
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    eye = np.array([2.0, 0.0, 2.0]) - 3.0 * sun.direction
    view = kit.camera(tuple(eye), (2.0, 0.0, 2.0), focal_length_m=0.5, f_number=5000.0)
    floor = kit.box("floor", (0.1, 0.1, 0.1), (0.0, 0.0, -5.0))
    stage = make_stage([floor], [window], view, environment=_dark(sun))
    exposing = back_end.load(stage).expose("A", RenderSettings(256, 144, 8, 4))
    exposing.advance(8)
    picture = exposing.light().beauty @ LUMINANCE_WEIGHTS
    level = NORMAL_LX * float(sun.rgb @ LUMINANCE_WEIGHTS) * SHARE / (math.pi * RADIUS**2)
    assert picture.max() == pytest.approx(level, rel=0.01)
    pixel = (0.036 / 0.5 / 256) ** 2
    assert picture.sum() / level * pixel == pytest.approx(math.pi * RADIUS**2, rel=0.02)


@pytest.mark.needs(Ability.ENVIRONMENT, Ability.SUN)
def test_without_a_sun_no_number_is_drawn_for_it(back_end, make_stage, kit):
    """A window away from the sun renders the very picture that it renders without one."""
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    floor = kit.box("floor", (8.0, 8.0, 0.1), (0.0, 0.0, -0.05))
    pictures = []
    for sun in (None, _sun(180.0, 30.0)):
        stage = make_stage([floor], [window], kit.camera((0, -3, 1)), environment=_dark(sun, 300.0))
        exposing = back_end.load(stage).expose("A", RenderSettings(32, 18, 8))
        exposing.advance(8)
        pictures.append(exposing.light().beauty)
    _same(*pictures)


@pytest.mark.needs(Ability.METER, Ability.ENVIRONMENT, Ability.SUN)
def test_a_loaded_stage_under_another_sky_is_as_if_loaded_anew(back_end, make_stage, kit):
    window = _window("window", (2.0, 0.0, 2.0), (-1.0, 0.0, 0.0))
    floor = kit.box("floor", (8.0, 8.0, 0.1), (0.0, 0.0, -0.05))
    view = kit.camera((0, -3, 1), (0.0, 0.0, 0.0))
    before, after = _dark(None, 300.0), _dark(_sun(0.0, 35.0), 900.0)
    loaded = back_end.load(make_stage([floor], [window], view, environment=before))
    anew = back_end.load(make_stage([floor], [window], view, environment=after))
    first = _picture(loaded)
    _same(_picture(loaded.under(after)), _picture(anew))
    _same(_picture(loaded), first)


def _same(one, other):
    """Sample for sample; a graphics card adds samples up in another order each time."""
    np.testing.assert_allclose(one, other, rtol=1e-5, atol=1e-6)


def _picture(renderer):
    exposing = renderer.expose("A", RenderSettings(32, 18, 8))
    exposing.advance(8)
    return exposing.light().beauty
