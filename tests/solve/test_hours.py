"""Other hours of a scene's day: which moments, what sky, how bright, and what is said."""

from __future__ import annotations

import math
from datetime import time
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.model.scene import Scene
from previz.scenefile import read_scene
from previz.solve.hours import Hour, WindowLight, drift, hours_of
from previz.stage.sun import levels

SCENE = """\
previz: 1
title: A day
room: {width_m: 5, depth_m: 6, height_m: 2.8}
openings:
  hole: {kind: KIND, wall: east, along_m: 1, width_m: 1.6, sill_m: 0.8, height_m: 1.6}
DAYLIGHT
people:
  guest: {at_m: [0, 0], seat: side_chair}
cameras:
  A: {sensor: full_frame, lens: prime_85_f1.4, f_number: 4,
    place: {at_m: [0, -2], height: eye}, aim: guest}
"""
HERE = "place: {latitude_deg: 52.1, longitude_deg: 5.1}, at: 2026-05-12T10:30+02:00"


def scene(tmp_path: Path, daylight: str, kind: str = "window") -> Scene:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE.replace("KIND", kind).replace("DAYLIGHT", f"daylight: {{{daylight}}}"))
    draft = read_scene(path, Catalog.load())
    assert draft.scene is not None
    return draft.scene


def strip(of: Scene, start: tuple[int, int], end: tuple[int, int], every: int = 30) -> list[Hour]:
    return hours_of(of, "A", time(*start), time(*end), every)


def test_moments_keep_date_and_clock_and_include_both_ends(tmp_path: Path) -> None:
    found = strip(scene(tmp_path, f"{HERE}, sky: overcast"), (9, 0), (12, 0))
    assert [hour.label for hour in found] == [
        "09:00", "09:30", "10:00", "10:30", "11:00", "11:30", "12:00",
    ]  # fmt: skip
    assert found[3].at.isoformat() == "2026-05-12T10:30:00+02:00"
    assert [hour.camera for hour in found[:2]] == ["A_0900", "A_0930"]
    heights = [hour.stands.elevation_deg for hour in found]
    assert heights == sorted(heights)


def test_weather_stays_and_night_falls_with_the_sun(tmp_path: Path) -> None:
    found = strip(scene(tmp_path, f"{HERE}, sky: clear"), (19, 50), (23, 50), 60)
    assert [hour.scene.daylight.sky for hour in found] == [
        "clear", "clear", "dusk", "dusk", "night",
    ]  # fmt: skip
    light = [levels(hour.scene.daylight).sky_lx for hour in found]
    assert light == sorted(light, reverse=True)
    dull = strip(scene(tmp_path, f"{HERE}, sky: overcast"), (10, 0), (12, 0), 60)
    assert {hour.scene.daylight.sky for hour in dull} == {"overcast"}


def test_a_dull_day_is_dull_at_every_hour(tmp_path: Path) -> None:
    """Half the light that is usual at the scene's own time stays half of it."""
    usual = strip(scene(tmp_path, f"{HERE}, sky: overcast"), (8, 0), (14, 0), 60)
    own = levels(scene(tmp_path, f"{HERE}, sky: overcast").daylight).sky_lx
    dull = strip(
        scene(tmp_path, f"{HERE}, sky: overcast, horizontal_lx: {own / 2}"), (8, 0), (14, 0), 60
    )
    ratios = [
        levels(d.scene.daylight).sky_lx / levels(u.scene.daylight).sky_lx
        for d, u in zip(dull, usual, strict=True)
    ]
    assert ratios == pytest.approx([0.5] * 7)


@pytest.mark.parametrize(
    ("daylight", "kind", "start", "end", "every", "said"),
    [
        ("sky: clear", "window", (9, 0), (12, 0), 30, "give daylight a place and a time"),
        (f"{HERE}", "door", (9, 0), (12, 0), 30, "no window, so nothing changes"),
        (f"{HERE}", "window", (12, 0), (9, 0), 30, "09:00 lies before 12:00"),
        (f"{HERE}", "window", (6, 0), (20, 0), 5, "169 frames; 48 at most"),
    ],
)
def test_what_makes_no_strip(
    tmp_path: Path,
    daylight: str,
    kind: str,
    start: tuple[int, int],
    end: tuple[int, int],
    every: int,
    said: str,
) -> None:
    with pytest.raises(ValueError, match=said):
        strip(scene(tmp_path, daylight, kind), start, end, every)


def test_drift_is_in_stops_and_dark_has_none() -> None:
    found = drift(WindowLight(400.0, 0.0), WindowLight(100.0, 50.0))
    assert found.face_stops == pytest.approx(2.0)
    assert found.luminance_stops is None
    assert np.isclose(drift(WindowLight(1.0, 3.0), WindowLight(1.0, 2.0)).luminance_stops or 0.0,
                      math.log2(1.5))  # fmt: skip
