"""The sun over a scene: where it stands, what it gives, what it does in a room."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.model.room import Daylight
from previz.physics.colour import LUMINANCE_WEIGHTS, cct_and_duv_of_rgb
from previz.physics.sunlight import sun_cct_k
from previz.render.backends import open_back_end
from previz.scenefile import read_scene
from previz.stage.backdrop import build_environment, sky_planes
from previz.stage.build import build_stage
from previz.stage.daylight import daylight_problems, environment_of
from previz.stage.stage import Stage
from previz.stage.sun import levels, sun_of, sun_stands

LONDON = {"latitude_deg": 51.5074, "longitude_deg": -0.1278}
MARCH = "2024-03-20T09:00Z"
"""Reference 6.3: azimuth 126.105, true elevation 25.218 degrees; the air lifts it by 0.035."""

SCENE = """\
previz: 1
title: Morning
room: {{width_m: 5, depth_m: 6, height_m: 2.8, north_bearing_deg: {north}}}
openings:
  left: {{wall: east, along_m: 1, width_m: 1.6, sill_m: 0.8, height_m: 1.6, panes_across: 2,
    panes_up: 1{covering}}}
  right: {{wall: east, along_m: 4, width_m: 1.4, sill_m: 0.8, height_m: 1.6, gel_nd: 0.3}}
daylight: {{{daylight}}}
people:
  guest: {{at_m: [-1.6, -1.5], seat: side_chair}}
cameras:
  A: {{sensor: full_frame, lens: prime_85_f1.4, f_number: 4,
    place: {{at_m: [-1.6, -2.8], height: eye}}, aim: guest}}
"""


def scene_text(daylight: str, north: float = 0.0, covering: str = "") -> str:
    return SCENE.format(daylight=daylight, north=north, covering=covering)


def by_place(sky: str = "clear", at: str = MARCH, **more: object) -> Daylight:
    return Daylight.model_validate({"place": LONDON, "at": at, "sky": sky, **more})


def test_the_sun_stands_where_the_almanac_has_it() -> None:
    stands = sun_stands(by_place())
    assert stands is not None
    assert stands.bearing_deg == pytest.approx(126.105, abs=0.01)
    assert stands.elevation_deg == pytest.approx(25.218 + 0.035, abs=0.01)


@pytest.mark.parametrize("north", [0.0, 90.0, 36.105])
def test_its_direction_counts_from_plan_north(north: float) -> None:
    """With plan north pointing east by the compass, a sun in the east stands over +y."""
    sun = sun_of(by_place(), north)
    assert sun is not None
    round_ = math.radians(126.105 - north)
    flat = sun.direction[:2] / math.hypot(*sun.direction[:2])
    assert flat == pytest.approx([math.sin(round_), math.cos(round_)], abs=3e-4)
    assert math.degrees(math.asin(sun.direction[2])) == pytest.approx(25.253, abs=0.01)


@pytest.mark.parametrize("given", [None, 30000.0])
@pytest.mark.parametrize("height", [12.0, 35.0, 62.0])
def test_sky_and_sun_share_what_falls_on_level_ground(height: float, given: float | None) -> None:
    """The sky's picture, summed, and the sun's part make the whole."""
    numbers = {"bearing_deg": 200.0, "elevation_deg": height}
    daylight = Daylight.model_validate({"sky": "clear", "sun": numbers, "horizontal_lx": given})
    sun, light = sun_of(daylight, 0.0), levels(daylight)
    assert sun is not None
    whole = given or light.sky_lx + sun.horizontal_lx
    planes = sky_planes("clear", light.sky_lx, 12000.0, (256, 512), 3, sun).astype(float)
    polar = (np.arange(256) + 0.5) / 256 * math.pi
    cell = np.cos(polar) * np.sin(polar) * (math.pi / 256) * (2 * math.pi / 512)
    summed = float(LUMINANCE_WEIGHTS @ (planes[:, :128].sum(axis=2) @ cell[:128]))
    assert summed == pytest.approx(whole - sun.horizontal_lx, rel=0.01)
    # The sun alone takes most of a clear day's light but near the horizon.
    assert sun.horizontal_lx / whole == pytest.approx(
        {12.0: 0.553, 35.0: 0.80, 62.0: 0.855}[height], abs=0.01
    )


def test_the_sky_is_brightest_round_the_sun_and_dark_across_from_it() -> None:
    daylight = Daylight.model_validate(
        {"sky": "clear", "sun": {"bearing_deg": 90.0, "elevation_deg": 30.0}}
    )
    planes = sky_planes("clear", 12000.0, 12000.0, (360, 720), 3, sun_of(daylight, 0.0))
    seen = np.einsum("c,chw->hw", LUMINANCE_WEIGHTS, planes)
    row, column = np.unravel_index(seen.argmax(), seen.shape)
    # Columns run south, east, north, west by half degrees; rows down from the zenith.
    assert column / 2.0 == pytest.approx(90.0, abs=4.0)
    assert 90.0 - row / 2.0 == pytest.approx(30.0, abs=6.0)
    # Reference 6.8: CIE type 12, sun at zenith angle 30, 45 degrees up across from it.
    high = Daylight.model_validate(
        {"sky": "clear", "sun": {"bearing_deg": 90.0, "elevation_deg": 60.0}}
    )
    planes = sky_planes("clear", 12000.0, 12000.0, (360, 720), 3, sun_of(high, 0.0))
    seen = np.einsum("c,chw->hw", LUMINANCE_WEIGHTS, planes)
    across, zenith = seen[88:93, 530:551].mean(), seen[:3].mean()
    assert across / zenith == pytest.approx(0.4544524, rel=0.06)  # clouds move it a little


def test_what_faces_the_sun_is_lit_and_what_stands_against_it_is_not() -> None:
    daylight = Daylight.model_validate(
        {"sky": "clear", "sun": {"bearing_deg": 90.0, "elevation_deg": 25.0}, "view": "street"}
    )
    sun, light = sun_of(daylight, 0.0), levels(daylight)
    assert sun is not None
    picture = build_environment("clear", light.sky_lx, 12000.0, "street", 4, sun).panorama
    y = picture @ LUMINANCE_WEIGHTS.astype(np.float32)
    fronts = y[470:515]
    west, east = fronts[:, 1408:1664], fronts[:, 384:640]
    assert np.median(west) > 3.0 * np.median(east)
    # A pale front in the sun: rho E cos / pi with rho up to 0.7; nothing is brighter.
    most = 0.72 * (sun.normal_lx * math.cos(math.radians(25.0)) + light.sky_lx) / math.pi
    assert 0.4 * most < np.quantile(west, 0.95) < most


def test_the_ground_throws_back_sun_and_sky() -> None:
    daylight = Daylight.model_validate(
        {"sky": "clear", "sun": {"bearing_deg": 10.0, "elevation_deg": 40.0}, "view": "plain"}
    )
    sun, light = sun_of(daylight, 0.0), levels(daylight)
    assert sun is not None
    picture = build_environment("clear", light.sky_lx, 12000.0, "plain", 4, sun).panorama
    seen = float((picture[900:] @ LUMINANCE_WEIGHTS).mean())
    field = 0.17 * 0.2126 + 0.17 * 0.7152 + 0.10 * 0.0722
    # Its yellow field throws back a little more of the sun than of the blue sky.
    assert seen == pytest.approx(field * (light.sky_lx + sun.horizontal_lx) / math.pi, rel=0.03)


def test_the_sun_is_yellower_lower_down() -> None:
    """CIE illuminant B, direct sunlight at noon, is 4874 K (from memory)."""
    assert sun_cct_k(50.0) == pytest.approx(4874.0, rel=0.01)
    heights = [sun_cct_k(height) for height in (60.0, 30.0, 10.0, 3.0)]
    assert heights == sorted(heights, reverse=True)
    assert 3000.0 < sun_cct_k(10.0) < 3800.0
    sun = sun_of(by_place(), 0.0)
    assert sun is not None
    assert cct_and_duv_of_rgb(sun.rgb)[0] == pytest.approx(sun_cct_k(25.25), rel=0.01)


@pytest.mark.parametrize("sky", ["overcast", "dusk", "night"])
def test_only_a_clear_sky_lets_the_sun_through(sky: str) -> None:
    assert sun_of(by_place(sky), 0.0) is None


def test_light_follows_the_height_of_the_sun() -> None:
    morning, noon = levels(by_place("overcast")), levels(by_place("overcast", "2024-06-20T12:00Z"))
    assert morning.sky_lx < 0.6 * noon.sky_lx
    assert levels(by_place("overcast", horizontal_lx=9000.0)).sky_lx == 9000.0
    sunset, later = (levels(by_place("dusk", f"2024-03-20T18:{m}Z")).sky_lx for m in (14, 40))
    assert 250.0 < sunset <= 400.0
    assert 3.0 < later < 20.0


def read(tmp_path: Path, text: str):
    path = tmp_path / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, Catalog.load())
    assert draft.scene is not None, [str(problem) for problem in draft.problems]
    return draft


PLACE = "place: {latitude_deg: 51.5074, longitude_deg: -0.1278}"


@pytest.mark.parametrize(
    ("daylight", "line"),
    [
        (
            f"{PLACE}, at: 2024-03-20T21:00Z, sky: clear",
            "daylight.sky: clear, but by daylight.at the sun stands 24.9 deg below the horizon; "
            "there the sky is night",
        ),
        (
            f"{PLACE}, at: 2024-03-20T09:00Z, sky: night",
            "daylight.sky: night, but by daylight.at the sun stands 25.3 deg over the horizon; "
            "there the sky is clear or overcast",
        ),
        (
            "sun: {bearing_deg: 280, elevation_deg: -4}, sky: overcast",
            "daylight.sky: overcast, but by daylight.sun the sun stands 4.0 deg below the "
            "horizon; there the sky is dusk",
        ),
        (
            "sun: {bearing_deg: 280, elevation_deg: 20}, sky: dusk",
            "daylight.sky: dusk, but by daylight.sun the sun stands 20.0 deg over the horizon; "
            "there the sky is clear or overcast",
        ),
    ],
)
def test_words_that_the_sun_contradicts(tmp_path: Path, daylight: str, line: str) -> None:
    draft = read(tmp_path, scene_text(daylight))
    problems = list(daylight_problems(draft.scene, draft.places))
    assert [problem.message for problem in problems] == [line]
    assert problems[0].place.line == 8
    environment_of(draft.scene)  # and it can be built all the same, for other problems to be found


@pytest.mark.parametrize(
    "daylight",
    [
        "sky: clear",
        f"{PLACE}, at: {MARCH}, sky: clear",
        f"{PLACE}, at: 2024-03-20T18:30Z, sky: dusk",
    ],
)
def test_words_that_hold(tmp_path: Path, daylight: str) -> None:
    draft = read(tmp_path, scene_text(daylight))
    assert list(daylight_problems(draft.scene, draft.places)) == []


def built(tmp_path: Path, daylight: str, north: float = 0.0, covering: str = "") -> Stage:
    draft = read(tmp_path, scene_text(daylight, north, covering))
    stage, problems = build_stage(draft.scene, Catalog.load(), tmp_path, "d", draft.places)
    assert problems == []
    return stage


def floor_lux(stage: Stage, points: np.ndarray) -> dict[str, np.ndarray]:
    up = np.tile([0.0, 0.0, 1.0], (len(points), 1))
    read = open_back_end("llvm_ad_rgb").load(stage).meter(points, up, 1024)
    return {name: values @ LUMINANCE_WEIGHTS for name, values in read.items()}


@pytest.mark.usefixtures("mannequins")
def test_the_patch_of_each_window_lies_where_the_almanac_puts_it(tmp_path: Path) -> None:
    """London, 20 March, 9:00: from a pane's middle the sun falls z / tan h away from its bearing.

    The room is turned by 36.1 degrees, so that the sun comes straight through the east wall.
    """
    north = 36.105
    stage = built(tmp_path, f"{PLACE}, at: {MARCH}, sky: clear", north)
    assert stage.environment is not None
    sun = stage.environment.sun
    assert sun is not None
    bearing, height = math.radians(126.105 - north), math.radians(25.253)
    panes = np.array([[2.5, 1.6, 1.6], [2.5, 0.8, 1.6], [2.5, 1.2, 1.6], [2.5, -1.35, 1.6]])
    # Left window: along the east wall from its left, seen from inside, which is its north end.
    reach = panes[:, 2] / math.tan(height)
    floor = panes[:, :2] - reach[:, None] * [math.sin(bearing), math.cos(bearing)]
    points = np.column_stack([floor, np.full(len(floor), 0.001)])
    read = floor_lux(stage, points)
    direct = sun.normal_lx * 0.8 * math.sin(height)
    for pane in (0, 1):
        assert direct < read["left"][pane] < 1.35 * direct
    assert read["left"][2] < 0.4 * direct  # behind the bar in the middle
    assert read["left"][3] < 0.4 * direct
    assert 0.5 * direct < read["right"][3] < 0.75 * direct  # one stop of gel
    assert read["right"][:3] == pytest.approx(np.zeros(3), abs=0.2 * direct)


@pytest.mark.usefixtures("mannequins")
def test_a_venetian_blind_throws_stripes(tmp_path: Path) -> None:
    stage = built(
        tmp_path,
        f"{PLACE}, at: {MARCH}, sky: clear",
        36.105,
        ", covering: {kind: venetian_blind, open_pct: 100}",
    )
    assert stage.environment is not None
    assert stage.environment.sun is not None
    height = math.radians(25.253)
    direct = stage.environment.sun.normal_lx * 0.8 * math.sin(height)
    # Half a metre from the slats: from the far side of the room the disc blurs them.
    x = np.linspace(1.8, 2.1, 101)
    read = floor_lux(stage, np.column_stack([x, np.full(101, 1.6), np.full(101, 0.9)]))["left"]
    assert read.max() > 0.9 * direct
    assert read.min() < 0.35 * direct
    bright = read > 0.5 * (read.max() + read.min())
    # Slats 42.5 mm one over another throw stripes 42.5 mm / tan h = 90 mm apart on a level plane.
    starts = x[1:][np.diff(bright.astype(int)) == 1]
    assert len(starts) >= 3
    assert np.diff(starts) == pytest.approx(0.0425 / math.tan(height), abs=0.007)


@pytest.mark.usefixtures("mannequins")
@pytest.mark.parametrize(
    ("daylight", "said"),
    [
        (f"{PLACE}, at: {MARCH}, sky: clear", "it shines in by left, right"),
        (f"{PLACE}, at: 2024-03-20T16:00Z, sky: clear", "it shines in by no window"),
        # 89 degrees off the wall's normal: the reveal keeps all of it out.
        ("sun: {bearing_deg: 1, elevation_deg: 20}, sky: clear", "it shines in by no window"),
        ("sun: {bearing_deg: 60, elevation_deg: 20}, sky: clear", "it shines in by left, right"),
        (f"{PLACE}, at: {MARCH}, sky: overcast", "overcast sky, 9,259 lx outdoors"),
    ],
)
def test_a_sentence_says_where_the_sun_stands(tmp_path: Path, daylight: str, said: str) -> None:
    notes = [note for note in built(tmp_path, daylight).notes if note.startswith("sun: ")]
    assert len(notes) == 1
    assert notes[0].endswith(said)
    if "09:00" in daylight:
        assert notes[0].startswith("sun: 25.3 deg high at bearing 126; ")
