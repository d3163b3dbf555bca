"""Gaps before doors, what holds a stand, who decides; which light is key; light in the eyes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from oracles.lens import mirrored_size_m

from previz.geometry.gear.emitter import EmitterShape
from previz.measure.gear.stands import widest_gap_m
from previz.measure.light.catchlights import face_points
from previz.measure.report import Report
from previz.measure.rules.cautions import DECIDE, SENTENCES
from previz.physics.rays import blocked
from previz.telling.report_json import report_json

Measure = Callable[[str], Report]


def rules(report: Report) -> set[str]:
    return {finding.rule for finding in report.findings}


def light(x: float, y: float, z: float, fixture: str = "softbox_90", more: str = "") -> str:
    place = f"place: {{at_m: [{x}, {y}], height_m: {z}}}"
    return f"{{fixture: {fixture}, aim: guest, {place}{more}}}"


@pytest.mark.parametrize(
    ("spans", "gap"), [([], 0.9), ([(0.2, 0.5)], 0.4), ([(0.5, 0.9), (0.0, 0.1)], 0.4)]
)
def test_the_widest_gap(spans: list[tuple[float, float]], gap: float) -> None:
    assert widest_gap_m(spans, 0.9) == pytest.approx(gap)


def test_every_stand_is_weighed_down_by_the_moment_that_would_tip_it(measure: Measure) -> None:
    """Statics by hand: 13.5 kg over 0.3 m (half of legs of 0.6 m) against 2.2 m of height."""
    key, board = light(1.5, -1.5, 2.2, "softbox_150"), light(-1.5, -1.5, 1.0, "bounce_board_60x90")
    report = measure(f"lights: {{key: {key}, board: {board}}}\n")
    finding = next(f for f in report.findings if f.rule == "stand_weight")
    pushes = {
        "key": (10.5 + 3.0) * 9.80665 * 0.3 / 2.2,
        "board": (0.5 + 3.0) * 9.80665 * 0.25 / 1.0,
    }
    weakest = min(pushes, key=lambda name: pushes[name])
    assert finding.about == f"lights.{weakest}" and finding.unit == "N"
    assert finding.value == pytest.approx(pushes[weakest]) and finding.limit == 20.0
    # 20 N at 2.2 m are 44 Nm, 14.96 kg over 0.3 m; 13.5 are there, so one bag of 5 kg.
    assert "key 5 kg" in finding.message and "board 5 kg" in finding.message
    # The wind on the largest face, 2.25 m2, that pushes with 20 N.
    wind = np.sqrt(2.0 * 20.0 / (1.225 * 1.17 * 2.25))
    assert f"key stands a wind of {wind:.0f} m/s" in finding.message


def test_every_caution_ends_with_who_decides(measure: Measure) -> None:
    hot = light(1.5, -1.5, 2.6, "fresnel_tungsten_650", ", stand: boom_arm")
    report = measure(f"lights: {{key: {hot}}}\n")
    cautions = [f for f in report.findings if f.rule in {*SENTENCES, "hot_too_near"}]
    assert len(cautions) >= 3
    assert all(f.message.endswith(DECIDE) for f in cautions)


# The guest looks south; A is straight before them, B to their left (the picture's right).
CAMERA_B = """
  B:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 70
    f_number: 4
    place: {at_m: [1.5, -1.9], height: eye}
    aim: guest
"""


def test_without_a_light_called_key_the_strongest_before_the_face_is_it(measure: Measure) -> None:
    weak, strong = light(-1.2, -1.2, 2.0, "panel_40", ", dimmer_pct: 5"), light(1.2, -1.2, 2.0)
    behind = light(-1.0, 1.5, 2.0, "fresnel_150")
    lamps = f"lights:\n  one: {weak}\n  two: {strong}\n  three: {behind}\n"
    report = measure(CAMERA_B + lamps)
    assert [f.about for f in report.findings if f.rule == "key_side"] == ["lights.two"]


def test_a_light_45_degrees_round_is_mirrored_on_its_side_of_the_pupil(measure: Measure) -> None:
    # At eye height: half of 45 degrees round a cornea of 7.8 mm, so 2.98 mm.
    eye_m = report_json(measure(""))["people"]["guest"]["eye_height_m"]
    at = 1.6 * np.sqrt(0.5)
    report = measure(f"lights: {{key: {light(at, -0.12 - at, eye_m)}}}\n")
    found = report_json(report)["cameras"]["A"]["catchlights"]
    assert [(c["light"], c["eye"], c["visible"]) for c in found] == [
        ("key", "left", True),
        ("key", "right", True),
    ]
    for one in found:
        assert one["clock_h"] == pytest.approx(3.0, abs=0.1)
        assert one["from_centre_mm"] == pytest.approx(7.8 * np.sin(np.radians(22.5)), abs=0.2)


def test_a_light_straight_before_the_eyes_has_the_size_of_the_mirror_equation(
    measure: Measure,
) -> None:
    eye_m = report_json(measure(""))["people"]["guest"]["eye_height_m"]
    report = measure(f"lights: {{eyes: {light(0.0, -2.2, eye_m, 'panel_60x40')}}}\n")
    front_m = 0.121 * 1.65 / 1.63 + 0.0134  # of the mannequin's cornea, from the seat's middle
    for one in report_json(report)["cameras"]["A"]["catchlights"]:
        for size_m, key in ((0.6, "width_mm"), (0.4, "height_mm")):
            expected = 1000.0 * mirrored_size_m(size_m, 2.2 - front_m)
            assert one[key] == pytest.approx(expected, rel=0.01)


def test_eyes_without_any_light_in_them_are_noted(measure: Measure) -> None:
    report = measure(f"lights: {{hair: {light(0.8, 2.0, 2.2)}}}\n")
    assert "no_catchlight" in rules(report)
    found = report_json(report)["cameras"]["A"]["catchlights"]
    assert {c["hidden"] for c in found} == {"off_cornea"}
    assert "no_catchlight" not in rules(measure("")), "a scene without light is not judged"


def test_a_face_turned_away_is_not_mirrored_and_a_ball_always_is() -> None:
    pose = np.eye(4)
    pose[:3, 3] = [0.0, 0.0, 2.0]
    eye = np.zeros(3)
    assert len(face_points(EmitterShape("disc", pose, radius_m=0.1), eye)) == 0
    ball = face_points(EmitterShape("sphere", pose, radius_m=0.1), np.array([1.0, 0.0, 1.0]))
    away = np.linalg.norm(ball - pose[:3, 3], axis=1)
    assert len(ball) == 25 and away.max() == pytest.approx(0.1)


def test_rays_hit_triangles_before_them_only() -> None:
    triangle = np.array([[[-1.0, -1.0, 1.0], [1.0, -1.0, 1.0], [0.0, 1.0, 1.0]]])
    up = np.array([0.0, 0.0, 1.0])
    assert blocked(np.zeros(3), up, np.inf, triangle)
    assert not blocked(np.zeros(3), -up, np.inf, triangle)
    assert not blocked(np.array([2.0, 0.0, 0.0]), up, np.inf, triangle)
