"""The numbers of light, from readings whose answers are known."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.measure.light.in_frame import Region
from previz.measure.light.light import light_numbers, meter_light
from previz.measure.light.receptors import receptors
from previz.measure.light.windows import nd_to_hold
from previz.measure.report import Report, measure_set
from previz.physics.white import white_rgb
from previz.render.contract import LightLayers
from previz.render.metering import Reading
from previz.render.readings import Readings
from previz.telling.report_json import report_json

pytestmark = pytest.mark.usefixtures("mannequins")
SETUPS = Path(__file__).parent / "bad_setups"
FILL = (
    "lights.fill={fixture: panel_40, aim: guest, place: {side: camera_left, azimuth_deg: 40, "
    "elevation_deg: 10, distance_m: 2}}"
)


@pytest.fixture
def opened():
    return api.open_scene(SETUPS / "base.yaml", (FILL,))


def black(stage, name: str, lights: list[str]) -> LightLayers:
    width, height = stage.cameras[name].picture_size(32)
    dark = np.zeros((height, width, 3), np.float32)
    far = np.full((height, width), 5.0, np.float32)
    return LightLayers(
        dict.fromkeys(lights, dark), dark, dark, far, np.zeros((height, width), np.uint16), 1
    )


def report_on(opened, readings: Readings) -> Report:
    return measure_set(opened.stage, opened.scene.rules, opened.scene.targets, readings)


def readings_of(opened, **lux: float) -> Readings:
    """Every receptor reads the same: so many lux of white light by light."""
    held = receptors(opened.stage)
    by_light = {name: value * white_rgb(5600.0) for name, value in lux.items()}
    points = {name: Reading(by_light, 0.0) for name in held}
    return Readings(points, {n: black(opened.stage, n, list(lux)) for n in opened.stage.cameras})


def test_receptors_face_the_cameras_the_sides_and_what_the_meters_name(opened):
    held = receptors(opened.stage)
    guest = opened.stage.people["guest"]
    for camera in ("A", "B"):
        receptor = held[f"face/guest/{camera}"]
        toward = opened.stage.cameras[camera].position_m - receptor.point_m
        assert receptor.facing == pytest.approx(toward / np.linalg.norm(toward))
        assert np.linalg.norm(receptor.point_m - guest.landmarks["nose_tip"]) < 0.021
    left, right = held["side/guest/left"].facing, held["side/guest/right"].facing
    assert float(left @ right) == pytest.approx(math.cos(math.radians(120.0)), abs=1e-6)
    ears = guest.landmarks["ear_left"] - guest.landmarks["ear_right"]
    assert float(left @ ears) > 0.0 > float(right @ ears)
    assert "face/interviewer" in held and "face/interviewer/A" not in held


def test_both_ratios_of_key_and_fill(opened):
    light = light_numbers(opened.stage, readings_of(opened, key=400.0, fill=100.0))
    face = light.faces["guest"]
    assert face.key_to_fill == pytest.approx(4.0)
    assert face.lighting_ratio == pytest.approx(5.0)
    assert face.toward.total_lx == pytest.approx(500.0)
    assert face.contrast == pytest.approx(1.0)
    assert face.toward.cct_k == pytest.approx(5600.0, abs=15.0)


def test_the_face_against_the_cameras_settings(opened):
    """f/2.8 and T3.1 at 1/50 s, ISO 800 need 250 T^2 / (800 / 50) lx; twice that is a stop over."""
    camera = opened.stage.cameras["A"]
    right = 250.0 * camera.t_number**2 * 50.0 / 800.0
    light = light_numbers(opened.stage, readings_of(opened, key=2.0 * right))
    assert light.cameras["A"].set_for_lx == pytest.approx(right)
    assert light.cameras["A"].face_stops_over_grey == pytest.approx(1.0)


def test_the_mix_of_two_whites_lies_between_them():
    reading = Reading({"a": 100.0 * white_rgb(3200.0), "b": 100.0 * white_rgb(5600.0)}, 0.0)
    mixed = meter_light(reading)
    assert mixed.total_lx == pytest.approx(200.0)
    assert mixed.cct_k is not None and 3900.0 < mixed.cct_k < 4500.0


def test_darkness_has_no_colour_and_no_ratio(opened):
    light = light_numbers(opened.stage, readings_of(opened, key=0.0))
    face = light.faces["guest"]
    assert face.ahead.cct_k is None and face.key_to_fill is None and face.contrast is None
    assert light.cameras["A"].face_stops_over_grey is None


@pytest.mark.parametrize(
    ("over", "wanted", "density"),
    [(1.0, 1.0, 0.0), (2.0, 1.0, 0.3), (4.0, 2.0, 0.6), (3.2, 1.0, 0.9), (-2.0, 0.0, 0.0)],
)
def test_nd_to_hold_comes_in_sheets_of_a_stop(over: float, wanted: float, density: float):
    assert nd_to_hold(over, wanted) == density


def test_relit_readings_are_the_readings_times_the_gains(opened):
    readings = readings_of(opened, key=100.0, fill=50.0)
    half = readings.relit({"key": np.full(3, 0.5), "fill": np.ones(3)})
    assert meter_light(half.points["face/guest"]).illuminance_lx == pytest.approx(
        {"key": 50.0, "fill": 50.0, "total": 100.0}
    )


def test_a_region_knows_how_much_of_it_clips():
    region = Region(10.0, {"a": 1.0}, 0.0, 7.0, (-1.0, 2.0, 6.0, 7.0))
    assert region.clipped_pct(6.0) == 50.0


def test_exposure_counts_nd_and_ev_does_not_and_neither_counts_extension(opened):
    """A lens at close focus is set for the same light; ND of 0.3 needs twice as much."""
    path = SETUPS / "base.yaml"
    readings = readings_of(opened, key=400.0)
    found = {}
    for name, setting in (("plain", "A.iso=800"), ("nd", "A.nd_density=0.3"),
                          ("near", "A.focus_distance_m=0.8")):  # fmt: skip
        changed = api.open_scene(path, (FILL, setting))
        found[name] = report_json(report_on(changed, readings))
    lux = {name: one["exposure"]["A"]["set_for_lx"] for name, one in found.items()}
    assert lux["nd"] / lux["plain"] == pytest.approx(10**0.3, rel=1e-3)
    assert lux["near"] == lux["plain"]
    evs = {one["exposure"]["A"]["ev100"] for one in found.values()}
    assert len(evs) == 1
    said = found["nd"]["exposure"]["A"]
    assert "ND" in said["set_for_definition"] and "left out" in said["ev100_definition"]
    optics = {name: one["cameras"]["A"] for name, one in found.items()}
    assert optics["near"]["near_focus_loss_stops"] > optics["plain"]["near_focus_loss_stops"] > 0.0
    assert not {"extension", "close_focus"} & set(optics["near"]["stops"])


def test_cameras_on_nobody_have_no_face_to_match(opened):
    """A stop apart, and each at a point of the room."""
    apart = (
        "{aim: null, aim_m: [0, 0, 1.2], focus_distance_m: 2, place: {height_m: 1.2, height: null}"
    )
    on_nobody = tuple(
        f"cameras.{name}={apart}, iso: {iso}}}" for name, iso in (("A", 800), ("B", 1600))
    )
    changed = api.open_scene(SETUPS / "base.yaml", on_nobody)
    found = report_on(changed, readings_of(changed, key=400.0)).findings
    assert not [finding for finding in found if finding.rule == "exposure_match"]
    also = api.open_scene(SETUPS / "base.yaml", ("B.iso=1600",))
    found = report_on(also, readings_of(also, key=400.0)).findings
    [finding] = [finding for finding in found if finding.rule == "exposure_match"]
    assert finding.value is not None and finding.value > 0.35 and "face of guest" in finding.message
