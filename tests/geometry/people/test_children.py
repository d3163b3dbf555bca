"""Children against the CDC growth charts (2000) and, from memory, Snyder et al. 1977."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from previz.geometry.people import Body, Figure, Pose, build_person
from previz.geometry.people.anthropometry import ANSUR_II_MM, stature_at_m
from previz.geometry.people.archive import Array, Index, default_archive, load_archive
from previz.geometry.people.shape import RestBody, rest_body
from previz.model.growth import statures_cm

SEXES = ("female", "male")
SEAT_M = 0.45
# Stature in cm at the 5th, 50th and 95th percentile; statage.csv, its rows for these ages.
CHART_CM = {
    ("male", 6): (107.31, 115.66, 123.93),
    ("male", 10): (128.16, 138.82, 149.91),
    ("male", 15): (156.66, 170.14, 182.44),
    ("female", 6): (106.87, 115.01, 123.91),
    ("female", 10): (127.45, 138.21, 149.60),
    ("female", 15): (151.26, 161.90, 172.61),
}


@cache
def rest(sex: str, age_years: float, percentile: float = 50.0) -> RestBody:
    figure = Figure(sex=sex, age_years=age_years, stature_percentile=percentile)  # type: ignore[arg-type]
    return rest_body(load_archive(default_archive()), figure)


@cache
def seated(sex: str, age_years: float) -> Body:
    figure = Figure(sex=sex, age_years=age_years, clothes="t_shirt")  # type: ignore[arg-type]
    return build_person(figure, Pose(seat_height_m=SEAT_M))


@pytest.mark.parametrize(("sex", "age_years"), list(CHART_CM))
def test_children_are_as_tall_as_the_chart_says(sex: str, age_years: int) -> None:
    for percentile, wanted_cm in zip((5, 50, 95), CHART_CM[sex, age_years], strict=True):
        body = rest(sex, age_years, percentile)
        assert 100.0 * body.achieved["stature"] == pytest.approx(wanted_cm, abs=0.5)


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize("age_years", [6, 8, 10, 15])
def test_the_search_finds_a_childs_measures(sex: str, age_years: int) -> None:
    body = rest(sex, age_years)
    for name in ("sittingheight", "eyeheightsitting", "headbreadth", "headlength"):
        assert body.achieved[name] == pytest.approx(body.wanted[name], abs=0.003), name
    breadth = "bizygomaticbreadth"
    assert body.achieved[breadth] == pytest.approx(body.wanted[breadth], abs=0.002)
    for name in ("poplitealheight", "kneeheightsitting", "buttockkneelength", "bideltoidbreadth"):
        assert body.achieved[name] == pytest.approx(body.wanted[name], abs=0.010), name


@pytest.mark.parametrize("sex", SEXES)
def test_proportions_are_a_childs_and_end_at_the_grown_up(sex: str) -> None:
    heads = [rest(sex, age).achieved["headlength"] / rest(sex, age).achieved["stature"]
             for age in (6, 8, 10, 12, 15)]  # fmt: skip
    assert np.all(np.diff(heads) < 0.0)
    assert heads[0] > 1.25 * heads[-1]
    # At 6 one sits at 55 % of one's stature, less when the legs have grown: Snyder et al. 1977.
    sits = rest(sex, 6).achieved
    assert sits["sittingheight"] / sits["stature"] == pytest.approx(0.548, abs=0.004)
    nearly, grown = rest(sex, 17.99), rest(sex, 18)
    for name, value in grown.wanted.items():
        assert nearly.wanted[name] == pytest.approx(value, rel=0.006), name
    assert ANSUR_II_MM[sex]["stature"][1] / 1000.0 == pytest.approx(
        grown.achieved["stature"], abs=0.002
    )


@pytest.mark.parametrize("sex", SEXES)
def test_eyes_of_children_who_sit_follow_their_age(sex: str) -> None:
    eyes_m = [rest(sex, age).achieved["eyeheightsitting"] for age in range(6, 19)]
    assert np.diff(eyes_m).min() > -0.003  # the chart and the survey of grown-ups meet at 18
    assert np.diff(eyes_m[:9]).min() > 0.005


@pytest.mark.parametrize("sex", SEXES)
def test_the_range_of_statures_is_three_and_a_half_scores(sex: str) -> None:
    for age_years in (6.0, 11.5, 17.0):
        low_cm, high_cm = statures_cm(sex, age_years)
        assert low_cm == pytest.approx(100.0 * stature_at_m(sex, age_years, -3.5), abs=0.6)
        assert high_cm == pytest.approx(100.0 * stature_at_m(sex, age_years, 3.5), abs=0.6)


@pytest.mark.parametrize(("sex", "age_years"), [("male", 6), ("female", 10)])
def test_a_child_sits_with_a_head_over_its_shoulders_and_feet_where_they_reach(
    sex: str, age_years: float
) -> None:
    body, marks = seated(sex, age_years), seated(sex, age_years).landmarks
    at_rest = rest(sex, age_years)
    assert marks["chin"][2] > marks["shoulder_left"][2] + 0.03
    assert marks["eyes"][2] - SEAT_M == pytest.approx(
        at_rest.achieved["eyeheightsitting"], abs=0.02
    )
    sole = min(float(p.mesh.bounds[0, 2]) for p in body.pieces if p.name.startswith("shoe"))
    # A chair for grown-ups is too high: feet hang, but thighs and toes reach down for the floor.
    assert 0.02 < sole < SEAT_M - at_rest.achieved["poplitealheight"]


@pytest.mark.parametrize(("sex", "age_years"), [("male", 6), ("female", 10)])
def test_clothes_of_a_child_fit(sex: str, age_years: float) -> None:
    body, at_rest = seated(sex, age_years), rest(sex, age_years)
    shirt = next(piece for piece in body.pieces if piece.name == "t_shirt").mesh
    waist = body.landmarks["waist"]
    level = np.abs(shirt.vertices[:, 2] - waist[2]) < 0.02
    middle = level & (np.abs(shirt.vertices[:, 0]) < 0.5 * at_rest.achieved["bideltoidbreadth"])
    # No bell of cloth: at the waist a shirt is no broader than the shoulders.
    assert np.ptp(shirt.vertices[middle, 0]) < 1.05 * at_rest.achieved["bideltoidbreadth"]


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize("age_years", [6, 10, 15])
def test_no_triangle_of_a_childs_skin_turns_over(sex: str, age_years: float) -> None:
    """Against the grown-up of the archive, whose skin is sound."""
    data, body = load_archive(default_archive()), rest(sex, age_years)
    quads = data.faces["body"]
    turned = [_normals(points, quads) for points in (data.base, body.vertices)]
    along = (turned[0] * turned[1]).sum(axis=1)
    assert (along < -0.2).mean() < 0.004


def _normals(points: Array, quads: Index) -> Array:
    across = np.cross(
        points[quads[:, 2]] - points[quads[:, 0]], points[quads[:, 3]] - points[quads[:, 1]]
    )
    return np.asarray(across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-12))
