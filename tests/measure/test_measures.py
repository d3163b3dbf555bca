"""Numbers of the report against closed forms, on sets simple enough to know the answer."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.measure.report import Report, measure_set
from previz.model.rules import ShotSizes
from previz.scenefile import read_scene
from previz.stage.build import build_stage
from previz.telling.report_json import report_json
from previz.telling.report_text import report_lines

pytestmark = pytest.mark.usefixtures("mannequins")

CATALOG = Catalog.load()
SCENE = """\
previz: 1
title: Plain room
room: {width_m: 6, depth_m: 8, height_m: 3}
people:
  guest: {at_m: [0, 0], seat: stool, turn_deg: 0, stature_cm: 165}
cameras:
  A:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 50
    f_number: 4
    place: {at_m: [0, -2.5], height: eye}
    aim: guest
    aim_from_top_pct: 50
"""


def report_on(folder: Path, *changes: tuple[str, str]) -> Report:
    text = SCENE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None and not draft.problems, draft.problems
    stage, _ = build_stage(draft.scene, CATALOG, folder, "", draft.places)
    return measure_set(stage, draft.scene.rules, draft.scene.targets)


def camera(report: Report, name: str = "A") -> dict[str, object]:
    return report_json(report)["cameras"][name]


def _words(text: str) -> list[str]:
    return text.split()


def rules(report: Report) -> set[str]:
    return {finding.rule for finding in report.findings}


def test_lens_numbers_follow_the_thin_lens(tmp_path: Path) -> None:
    found = camera(report_on(tmp_path))
    assert found["horizontal_angle_deg"] == pytest.approx(39.598, abs=0.001)
    assert found["vertical_angle_deg"] == pytest.approx(22.895, abs=0.001)
    coc = math.hypot(36.0, 20.25) / 1500.0
    assert found["circle_of_confusion_mm"] == pytest.approx(coc, abs=1e-4)
    assert found["hyperfocal_m"] == pytest.approx((2500.0 / (4.0 * coc) + 50.0) / 1000.0, rel=1e-4)
    # The wall behind is 4 m north of the middle, the lens 2.5 m south of it.
    assert found["background_distance_m"] == pytest.approx(6.5, abs=1e-3)
    focus, wall = 1000.0 * float(str(found["focus_distance_m"])), 6500.0
    blur = 50.0 / 4.0 * 50.0 / (focus - 50.0) * (wall - focus) / wall
    assert found["background_blur_mm"] == pytest.approx(blur, abs=1e-3)
    assert found["background_blur_pct_width"] == pytest.approx(100 * blur / 36.0, abs=0.01)
    assert found["background_width_m"] == pytest.approx(36.0 * 6.5 / 50.0, abs=0.01)


@pytest.mark.parametrize(
    ("rule", "expected"), [("cine", 0.025), ("pixel", 36.0 / 1280.0), ("diagonal_1500", 0.0275)]
)
def test_the_circle_of_confusion_is_the_one_chosen(
    tmp_path: Path, rule: str, expected: float
) -> None:
    change = ("    aim: guest\n", f"    aim: guest\n    circle_of_confusion: {rule}\n")
    found = camera(report_on(tmp_path, change))
    assert found["circle_of_confusion_mm"] == pytest.approx(expected, abs=1e-4)


def test_a_reducer_gives_the_wider_view_and_about_a_stop(tmp_path: Path) -> None:
    change = ("    f_number: 4\n", "    f_number: 4\n    adapter: reducer_0.71\n")
    report = report_on(tmp_path, change)
    found = camera(report)
    assert found["focal_length_mm"] == pytest.approx(35.5)
    assert found["f_number"] == pytest.approx(2.84)
    assert found["stops"]["adapter"] == pytest.approx(0.988, abs=1e-3)  # type: ignore[index]
    assert "image_circle" in rules(report)


@pytest.mark.parametrize(("x", "yaw", "side"), [(0.8, -17.7, "left"), (-0.8, 17.7, "right")])
def test_eyeline_and_look_room_count_from_the_picture(
    tmp_path: Path, x: float, yaw: float, side: str
) -> None:
    change = ("at_m: [0, -2.5]", f"at_m: [{x}, -2.5]")
    off_centre = ("50\n    f_", "50\n    aim_from_left_pct: 40\n    f_")
    found = camera(report_on(tmp_path, change, off_centre))
    # The guest looks south; a camera to the east sees them look past it to its left.
    assert found["looks_to"] == side
    assert found["eyeline_yaw_deg"] == pytest.approx(yaw, abs=1.5)
    assert found["eyeline_pitch_deg"] == pytest.approx(0.0, abs=1e-3)
    assert found["look_room_pct"] == pytest.approx(40.0 if side == "left" else 60.0, abs=0.01)
    assert found["eye_height_pct"] == pytest.approx(50.0, abs=0.01)


def test_the_line_holds_for_any_pair_of_cameras(tmp_path: Path) -> None:
    report = report_on(tmp_path)
    assert report_json(report)["continuity"] == {"line": None, "pairs": []}


def test_a_wall_behind_the_camera_is_not_its_background(tmp_path: Path) -> None:
    report = report_on(tmp_path, ("at_m: [0, 0]", "at_m: [0, 3]"))
    assert camera(report)["background_distance_m"] == pytest.approx(6.5, abs=1e-3)


def test_hd_out_of_uhd_leaves_half_the_width_to_move(tmp_path: Path) -> None:
    crop = camera(report_on(tmp_path))["crops"]["hd"]  # type: ignore[index]
    assert (crop["spare_across_px"], crop["spare_down_px"]) == (1920, 1080)
    assert crop["right_pct"] - crop["left_pct"] == pytest.approx(50.0)


def test_storage_is_decimal_and_for_all_cameras(tmp_path: Path) -> None:
    report = report_on(
        tmp_path, ("people:\n", "recording: {rate_mbit_s: 100, hours: 3}\npeople:\n")
    )
    assert report_json(report)["storage"] == {"gb_per_hour": 45.0, "gb_total": 135.0}


def test_the_json_has_the_names_that_others_rely_on(tmp_path: Path) -> None:
    promised = _words("""horizontal_angle_deg vertical_angle_deg focal_length_mm f_number t_number
        subject_distance_m near_limit_m far_limit_m hyperfocal_m circle_of_confusion_mm
        background_distance_m background_blur_mm background_blur_pct_width shot_size headroom_pct
        eye_height_pct look_room_pct subject_height_pct eyeline_yaw_deg eyeline_pitch_deg
        position_m aim_m""")
    report = report_on(tmp_path)
    assert set(promised) <= set(camera(report))
    assert set(report_json(report)["people"]["guest"]) == {"eye_height_m", "head_top_m"}
    for finding in report_json(report)["findings"]:
        assert set(finding) == set(_words("rule severity about message value limit unit source"))
    assert any(line.startswith("Camera A") for line in report_lines(report))


def test_sizes_are_named_by_the_head_and_their_limits_can_be_moved() -> None:
    sizes = ShotSizes()
    named = [sizes.name_of(pct) for pct in (130, 90, 57, 38, 24, 16, 9, 4)]
    assert named == [*(name for name, _ in sizes.limits()), "extreme_wide_shot"]
    assert ShotSizes(close_up_pct=35.0).name_of(38) == "close_up"
    with pytest.raises(ValueError, match="fall"):
        ShotSizes(close_up_pct=20.0)


def test_position_and_aim_give_the_axis_back(tmp_path: Path) -> None:
    report = report_on(tmp_path, ("aim_from_top_pct: 50", "aim_from_top_pct: 30"))
    found = camera(report)
    axis = np.subtract(found["aim_m"], found["position_m"])  # type: ignore[arg-type]
    axis /= np.linalg.norm(axis)
    tilt_deg = math.degrees(math.asin(axis[2]))
    assert tilt_deg == pytest.approx(float(str(found["tilt_deg"])), abs=0.01)
