"""The drift of the windows over the hours, told without a render."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.scenefile import read_scene
from previz.solve.hours import Strip, WindowLight, hours_of
from previz.telling.hours import drift, hour_rows, hours_json, hours_lines, sun_text

SCENE = """\
previz: 1
title: A day
room: {width_m: 5, depth_m: 6, height_m: 2.8}
openings:
  east: {wall: east, along_m: 1, width_m: 1.6, sill_m: 0.8, height_m: 1.6}
daylight: {place: {latitude_deg: 52.1, longitude_deg: 5.1}, at: 2026-05-12T10:00+02:00}
people:
  guest: {at_m: [0, 0], seat: side_chair}
cameras:
  A: {sensor: full_frame, lens: prime_85_f1.4, f_number: 4,
    place: {at_m: [0, -2], height: eye}, aim: guest}
"""


@pytest.fixture
def strip(tmp_path: Path) -> Strip:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE)
    scene = read_scene(path, Catalog.load()).scene
    assert scene is not None
    hours = hours_of(scene, "A", time(10), time(22), 360)
    own = WindowLight(400.0, 1234.567)
    light = [own, WindowLight(200.0, 617.2835), WindowLight(0.0, 0.0)]
    windows = {hour.camera: {"east": one} for hour, one in zip(hours, light, strict=True)}
    own_at = datetime.fromisoformat("2026-05-12T10:00+02:00")
    return Strip("A", "guest", own_at, {"east": own}, tuple(hours), windows)


def test_the_table_says_stops_and_dark(strip: Strip) -> None:
    first, second, *lines = hours_lines(strip)
    assert first.startswith("Stops against 10:00: light by each window on guest's face")
    assert second.split() == ["time", "sun", "east"]
    ends = [line.rsplit("  ", 1)[-1].strip() for line in lines]
    assert ends == ["0.0, 0.0", "-1.0, -1.0", "dark, dark"]


def test_rows_under_a_frame(strip: Strip) -> None:
    rows = dict(hour_rows(strip, strip.hours[1]))
    assert rows["east, on the face"] == "-1.0 stop" and rows["east, as seen"] == "-1.0 stop"
    assert dict(hour_rows(strip, strip.hours[2]))["east, as seen"] == "dark"


def test_json_has_the_light_and_its_drift(strip: Strip) -> None:
    found = hours_json(strip)
    assert found["own"] == {
        "at": "2026-05-12T10:00:00+02:00",
        "windows": {"east": {"face_lx": 400.0, "luminance_cd_m2": 1234.57}},
    }
    own, half, night = (hour["windows"]["east"] for hour in found["hours"])
    assert (half["face_lx"], half["face_stops"], half["luminance_stops"]) == (200.0, -1.0, -1.0)
    assert str(own["face_stops"]) == "0.0" and night["face_stops"] is None


def test_the_sun_is_high_or_down(strip: Strip) -> None:
    hour = strip.hours[0]
    up = replace(hour, stands=replace(hour.stands, elevation_deg=30.4, bearing_deg=120.6))
    assert sun_text(up) == "30 deg high, bearing 121"
    down = replace(hour, stands=replace(hour.stands, elevation_deg=-7.6, bearing_deg=310.0))
    assert sun_text(down) == "8 deg down, bearing 310"


@pytest.mark.parametrize(("value", "words"), [(None, "dark"), (-0.04, "0.0"), (0.26, "+0.3")])
def test_a_drift_too_small_to_tell_is_none(value: float | None, words: str) -> None:
    assert drift(value) == words
