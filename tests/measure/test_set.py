"""Stands that reach and fit, doors kept clear, cautions; the key's side; light in the eyes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from previz.geometry.gear.emitter import EmitterShape
from previz.measure.gear.stands import widest_gap_m
from previz.measure.light.catchlights import face_points
from previz.measure.report import Report
from previz.measure.rules.cautions import DECIDE, SENTENCES
from previz.physics.catchlight import mirrored_size_m
from previz.physics.rays import blocked
from previz.telling.report_json import report_json

Measure = Callable[[str], Report]


def rules(report: Report) -> set[str]:
    return {finding.rule for finding in report.findings}


def light(x: float, y: float, z: float, fixture: str = "softbox_90", more: str = "") -> str:
    place = f"place: {{at_m: [{x}, {y}], height_m: {z}}}"
    return f"{{fixture: {fixture}, aim: guest, {place}{more}}}"


@pytest.mark.parametrize(
    ("height_m", "stand", "said"),
    [
        (2.75, "", None),
        (2.9, "", "no higher than 2.80 m"),
        (0.5, "", "no lower than 1.10 m"),
        (2.9, ", stand: none", None),
    ],
)
def test_a_stand_reaches_as_high_as_its_record_says(
    measure: Measure, height_m: float, stand: str, said: str | None
) -> None:
    report = measure(f"lights: {{hair: {light(1.5, -1.5, height_m, 'fresnel_150', stand)}}}\n")
    messages = [f.message for f in report.findings if f.rule == "stand_reach"]
    assert len(messages) == (said is not None)
    assert said is None or said in messages[0]


def test_a_head_through_ceiling_or_wall_is_a_fault(measure: Measure) -> None:
    through = measure(f"lights: {{key: {light(1.5, -1.5, 2.7)}}}\n")
    assert "light_in_ceiling" in rules(through) and through.has_fault
    assert "light_in_wall" in rules(measure(f"lights: {{key: {light(2.7, -1.5, 1.8)}}}\n"))
    fits = rules(measure(f"lights: {{key: {light(1.5, -1.5, 2.0)}}}\n"))
    assert not fits & {"light_in_ceiling", "light_in_wall"}


def test_two_stands_in_one_place_are_named_and_neighbours_are_not(measure: Measure) -> None:
    def pair(x: float) -> set[str]:
        one, two = light(1.5, -1.5, 2.0), light(x, -1.5, 1.8, "panel_40")
        return rules(measure(f"lights:\n  key: {one}\n  fill: {two}\n"))

    assert "stand_in_stand" in pair(1.75)
    assert "stand_in_stand" not in pair(2.3)


def test_a_stand_before_a_door_leaves_too_little_to_pass(measure: Measure) -> None:
    # South wall, seen from inside from its east end: the door is from x = 2.0 to 1.1.
    door = "openings: {door: {kind: door, wall: south, along_m: 1.0, width_m: 0.9, height_m: 2}}\n"
    blocked = measure(f"{door}lights: {{key: {light(1.5, -3.2, 2.0, 'panel_40')}}}\n")
    finding = next(f for f in blocked.findings if f.rule == "doorway")
    assert (finding.about, finding.limit) == ("openings.door", 0.6)
    assert finding.value is not None and finding.value < 0.6
    clear = measure(f"{door}lights: {{key: {light(-0.5, -3.2, 2.0, 'panel_40')}}}\n")
    assert "doorway" not in rules(clear)
    assert {"cables"} <= rules(clear) & rules(blocked)


@pytest.mark.parametrize(
    ("spans", "gap"), [([], 0.9), ([(0.2, 0.5)], 0.4), ([(0.5, 0.9), (0.0, 0.1)], 0.4)]
)
def test_the_widest_gap(spans: list[tuple[float, float]], gap: float) -> None:
    assert widest_gap_m(spans, 0.9) == pytest.approx(gap)


def test_what_hangs_over_a_person_gets_one_caution(measure: Measure) -> None:
    over = measure(f"lights: {{top: {light(0.0, -0.1, 2.4, 'panel_40', ', stand: boom_arm')}}}\n")
    cautions = [f for f in over.findings if f.rule == "overhead"]
    assert len(cautions) == 1 and "light top over guest" in cautions[0].message
    beside = light(1.5, -1.5, 2.4, "panel_40", ", stand: boom_arm")
    assert "overhead" not in rules(measure(f"lights: {{top: {beside}}}\n"))
    hung = light(1.5, -1.5, 2.4, "panel_40", ", stand: none")
    assert "overhead" in rules(measure(f"lights: {{top: {hung}}}\n"))


def test_two_people_lift_what_is_heavy(measure: Measure) -> None:
    report = measure(f"lights: {{key: {light(1.5, -1.5, 2.2, 'softbox_150')}}}\n")
    assert "two_people" in rules(report)
    assert "two_people" not in rules(measure(f"lights: {{key: {light(1.5, -1.5, 2.0)}}}\n"))


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


def test_a_hot_lamp_too_near_is_a_warning_with_its_distance(measure: Measure) -> None:
    plant = "furniture: {plant: {piece: plant_tall, at_m: [1.5, -2.4]}}\n"
    hot, cool = "fresnel_tungsten_650", "fresnel_150"
    near = measure(f"{plant}lights: {{key: {light(1.5, -1.9, 1.3, hot)}}}\n")
    found = [f for f in near.findings if f.rule == "hot_too_near"]
    assert [f.about for f in found] == ["lights.key"] and found[0].severity == "warning"
    assert found[0].value is not None and found[0].value < 0.5 and found[0].limit == 1.0
    assert "plant is" in found[0].message and "estimate" in found[0].source
    far = measure(f"{plant}lights: {{key: {light(-1.5, -1.0, 1.6, hot)}}}\n")
    assert "hot_too_near" not in rules(far) and "hot_lamp" in rules(far)
    assert not rules(measure(f"{plant}lights: {{key: {light(1.5, -1.9, 1.3, cool)}}}\n")) & {
        "hot_too_near",
        "hot_lamp",
    }


def test_the_ceiling_over_a_hot_lamp_counts_by_the_straight_distance(measure: Measure) -> None:
    report = measure(f"lights: {{key: {light(1.5, -1.5, 2.6, 'fresnel_tungsten_300')}}}\n")
    ceiling = next(f for f in report.findings if f.rule == "hot_too_near")
    assert ceiling.value == pytest.approx(0.4, abs=1e-6) and "the ceiling" in ceiling.message


def test_film_out_of_reach_and_doors_have_their_cautions(measure: Measure) -> None:
    window = "{wall: west, along_m: 2, width_m: 1.2, sill_m: 0.9, height_m: %s, gel_nd: %s}"
    door = "door: {kind: door, wall: south, along_m: 1.0, width_m: 0.9, height_m: 2}"
    high = measure(f"openings: {{window: {window % (1.5, 0.9)}, {door}}}\n")
    assert {"ladder", "dark_film", "exits"} <= rules(high) and "cables" not in rules(high)
    low = rules(measure(f"openings: {{window: {window % (1.0, 0.3)}}}\n"))
    assert not low & {"ladder", "dark_film", "exits"}


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


@pytest.mark.parametrize(
    ("x", "rule", "wrong"),
    [
        (-1.2, "", False),
        (1.2, "", True),
        (0.1, "", False),
        (1.2, "rules: {key_side: any}\n", False),
    ],
)
def test_the_key_belongs_across_from_b_unless_the_scene_says_otherwise(
    measure: Measure, x: float, rule: str, wrong: bool
) -> None:
    report = measure(f"{CAMERA_B}lights: {{key: {light(x, -1.2, 2.0)}}}\n{rule}")
    messages = [f.message for f in report.findings if f.rule == "key_side"]
    assert len(messages) == wrong
    assert not wrong or "guest's left, where camera B stands" in messages[0]


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
