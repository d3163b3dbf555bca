"""The hour strip: one loaded set, its frames, the sheet, the table, and what the command says."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from datetime import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from previz import api
from previz.cli.root import root
from previz.deliver.frames import read_png
from previz.deliver.hours import sheet_of
from previz.solve.hours import HoursRequest
from previz.telling.hours import hours_lines

SCENE = """\
previz: 1
title: A window to the east
room: {width_m: 4, depth_m: 4, height_m: 2.6}
openings:
  window: {wall: east, along_m: 1.2, width_m: 1.6, sill_m: 0.9, height_m: 1.2}
daylight: {place: {latitude_deg: 52.1, longitude_deg: 5.1}, at: 2026-05-12T08:00+02:00,
  sky: clear, view: plain}
people:
  guest: {at_m: [0.2, 0.4], seat: stool}
cameras:
  A: {sensor: full_frame, lens: prime_50_f1.4, f_number: 8, place: {at_m: [0.2, -1.4], height: eye},
    aim: guest}
lights:
  key: {fixture: panel_60x40, place: {at_m: [-1, -1], height_m: 2}, aim: guest}
"""

pytestmark = pytest.mark.usefixtures("mannequins")
Run = Callable[..., Result]


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE)
    return path


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(root, [str(w) for w in words], prog_name="previz")


def test_strip_of_a_morning_and_a_night(scene: Path, tmp_path: Path) -> None:
    options = api.RenderOptions(out=tmp_path / "out", samples=4, width_px=64)
    made, strip = api.render_hours(scene, HoursRequest(time(8), time(22), 420), options)
    names = {file.name for file in made.files}
    assert names == {
        "frame_A_0800.png", "frame_A_1500.png", "frame_A_2200.png", "hours_A.png", "hours_A.pdf",
    }  # fmt: skip
    pictures = {n: read_png(made.folder / f"frame_{n}.png") for n in strip.windows}
    assert pictures["A_0800"].mean() > pictures["A_1500"].mean() > pictures["A_2200"].mean()
    with Image.open(made.folder / "hours_A.png") as image:
        image.verify()

    own, later, night = (strip.drifts(hour)["window"] for hour in strip.hours)
    # The first hour is the scene's own: read anew, on other samples of the same light.
    assert own.face_stops == pytest.approx(0.0, abs=0.06)
    assert own.luminance_stops == pytest.approx(0.0, abs=1e-6)
    assert later.face_stops is not None
    assert later.face_stops < -0.5  # the sun has left the east
    assert night.face_stops is not None
    assert night.face_stops < -6.0

    sheet = sheet_of(strip, pictures, "t", "f", ("Mind the cables.",))
    assert sheet.cautions == ("Mind the cables.",)
    cell = sheet.groups[0].cells[0]
    assert cell.label == "08:00, the scene's time"
    assert dict(cell.rows)["window, on the face"] == "0.0 stop"
    assert dict(sheet.groups[0].cells[2].rows)["sky"] == "dusk"
    assert len(hours_lines(strip)) == 5


def test_json_of_the_table(scene: Path, tmp_path: Path) -> None:
    result = run(
        "hours", scene, "--from", "09:00", "--to", "10:00", "--every", "60", "--out",
        tmp_path / "o", "--samples", "1", "--width", "32", "--json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    assert told["own"]["at"] == "2026-05-12T08:00:00+02:00"
    first, second = told["hours"]
    assert first["at"] == "2026-05-12T09:00:00+02:00"
    assert first["sun_elevation_deg"] < second["sun_elevation_deg"]
    window = first["windows"]["window"]
    assert window["luminance_stops"] == pytest.approx(
        math.log2(window["luminance_cd_m2"] / told["own"]["windows"]["window"]["luminance_cd_m2"]),
        abs=0.002,
    )


@pytest.mark.parametrize(
    ("words", "old", "new", "said"),
    [
        (("09:00", "12:00"), "place: {latitude_deg: 52.1, longitude_deg: 5.1}, "
         "at: 2026-05-12T08:00+02:00,", "", "hours: give daylight a place and a time, such as"),
        (("12:00", "09:00"), "", "", "hours: 09:00 lies before 12:00"),
        (("9 am", "12:00"), "", "", "9 am is not a time of day such as 09:30"),
    ],
)  # fmt: skip
def test_one_plain_line_for_what_makes_no_strip(
    scene: Path, words: tuple[str, str], old: str, new: str, said: str
) -> None:
    scene.write_text(SCENE.replace(old, new) if old else SCENE)
    result = run("hours", scene, "--from", words[0], "--to", words[1])
    assert result.exit_code == 2
    assert said in result.stderr


def test_white_balance_by_card_stays_that_of_the_scenes_own_time(
    scene: Path, tmp_path: Path
) -> None:
    scene.write_text(SCENE + "exposure: {white_balance: {card: guest}}\n")
    options = api.RenderOptions(out=tmp_path / "out", samples=1, width_px=32)
    made, _ = api.render_hours(scene, HoursRequest(time(8), time(17), 540), options)
    frames = json.loads(made.manifest.read_text())["frames"]
    whites = np.array([frame["white_xy"] for frame in frames.values()])
    assert len(whites) == 2
    assert (whites[0] == whites[1]).all()
