"""Bodies against ANSUR II (Gordon et al. 2014, NATICK/TR-15/007; its public CSV data).

Measured by a ruler of the tests' own: cuts through the skin, and spheres laid through the eyes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from bodies import built
from numpy.typing import NDArray

from previz.catalog import Catalog
from previz.geometry.people import ANSUR_II_MM, Body, Figure, Pose, shoulders
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.faces import drawn
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.posture import pose_arms, pose_trunk
from previz.geometry.people.shape import RestBody, rest_body
from previz.geometry.people.skeleton import skin
from previz.stage.faces import as_face

PERCENTILES = (5, 50, 95)
SEAT_M = 0.40


Array = NDArray[np.float64]
Point = tuple[float, float, float]


def skin_of(body: RestBody) -> trimesh.Trimesh:
    """Skin at rest as triangles."""
    first, end = body.data.ranges["body"]
    quads = body.data.faces["body"] - first
    faces = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    whole = np.all(faces != np.roll(faces, 1, axis=1), axis=1)
    return trimesh.Trimesh(body.vertices[first:end], faces[whole], process=False)


def centre_of_ball(points: Array) -> Array:
    """Middle (3,) of the sphere nearest to points (n, 3), by least squares."""
    rows = np.column_stack([2.0 * points, np.ones(len(points))])
    return np.asarray(np.linalg.lstsq(rows, (points**2).sum(axis=1))[0][:3])


def eyes_of(body: RestBody) -> Array:
    """Middles of the eyeballs at rest, (2, 3)."""
    return np.array(
        [centre_of_ball(body.vertices[body.data.part(f"eye_{s}")]) for s in ("left", "right")]
    )


def cut_through(skin: trimesh.Trimesh, at: Point, normal: Point) -> Array:
    """Points (n, 3) where a plane cuts the skin."""
    return np.asarray(skin.section(plane_origin=at, plane_normal=normal).vertices)


def survey_of(body: RestBody, biacromial_mm: float) -> dict[str, float]:
    """Measures of a body at rest in millimetres, by the survey's names.

    `biacromial_mm` says how far apart the acromia are: their height is read there.
    """
    skin, eyes = skin_of(body), eyes_of(body)
    middle = eyes.mean(axis=0)
    low, top = skin.bounds[:, 2]

    def across(height: float) -> Array:
        return cut_through(skin, (0.0, 0.0, height), (0.0, 0.0, 1.0))

    def along(x: float) -> Array:
        return cut_through(skin, (x, 0.0, 0.0), (1.0, 0.0, 0.0))

    # The head is broadest over the ears.
    over_ears = [np.ptp(across(z)[:, 0]) for z in np.arange(middle[2] + 0.025, top - 0.01, 0.004)]
    halves = along(1e-5)
    head = halves[halves[:, 2] > middle[2] + 0.02]
    found = {
        "stature": top - low,
        "headbreadth": max(over_ears),
        "headlength": np.ptp(head[:, 1]),
        "bizygomaticbreadth": over_cheekbones(skin, middle),
        "interpupillarybreadth": np.linalg.norm(eyes[0] - eyes[1]),
        "acromialheight": along(biacromial_mm / 2000.0)[:, 2].max() - low,
        "mentonsellionlength": _face(skin, middle),
    }
    return {name: 1000.0 * float(value) for name, value in found.items()}


def over_cheekbones(skin: trimesh.Trimesh, eyes: Array) -> float:
    """Greatest breadth of the cheeks in front of the ears, 4 cm behind the eyes at most, metres."""
    found = []
    for height in np.arange(eyes[2] - 0.045, eyes[2] - 0.004, 0.004):
        cut = cut_through(skin, (0.0, 0.0, height), (0.0, 0.0, 1.0))
        found.append(np.ptp(cut[cut[:, 1] < eyes[1] + 0.04, 0]))
    return float(max(found))


def _face(skin: trimesh.Trimesh, eyes: Array) -> float:
    """From the hollow of the nose's root to the underside of the chin, along the profile."""
    heights = np.arange(eyes[2] - 0.15, eyes[2] + 0.03, 0.001)
    front = np.empty(len(heights))
    for number, height in enumerate(heights):
        cut = cut_through(skin, (0.0, 0.0, height), (0.0, 0.0, 1.0))
        front[number] = cut[np.abs(cut[:, 0]) < 0.004, 1].min()
    tip = int(np.argmin(np.where(heights > eyes[2] - 0.07, front, 9.0)))
    root = tip + int(np.argmax(front[tip:]))
    chin = (heights < heights[tip] - 0.05) & (heights > heights[tip] - 0.085)
    foremost = int(np.argmin(np.where(chin, front, 9.0)))
    # The chin ends where the profile has drawn back by 2 cm.
    under = int(np.flatnonzero(front[:foremost] > front[foremost] + 0.02).max()) + 1
    return float(np.hypot(front[root] - front[under], heights[root] - heights[under]))


WITHIN_MM = {
    "stature": 2,
    "headbreadth": 4,
    "headlength": 2,
    "bizygomaticbreadth": 6,
    "interpupillarybreadth": 1,
    "acromialheight": 6,
    "mentonsellionlength": 4,
}
"""Largest error of a body against the survey. Cuts lie 4 mm apart on a head (1 mm on the profile),
and no cut knows where the skin ends and the root of the ear begins, which is worth 3 mm."""


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_body_at_rest_has_the_measures_of_its_percentile(sex: str, column: int) -> None:
    figure = Figure(sex=sex, stature_percentile=column)  # type: ignore[arg-type]
    body = rest_body(load_archive(default_archive()), figure)
    wanted = {name: of[PERCENTILES.index(column)] for name, of in ANSUR_II_MM[sex].items()}
    found = survey_of(body, wanted["biacromialbreadth"])
    for name, within in WITHIN_MM.items():
        assert found[name] == pytest.approx(wanted[name], abs=within), name
        assert 1000.0 * body.achieved[name] == pytest.approx(found[name], abs=within), name


def _faces() -> Iterator[Figure]:
    """Everybody of the catalogue, and ten whom chance draws."""
    catalog = Catalog.load()
    for number, name in enumerate(catalog.names("faces")):
        record = catalog.face(name)
        yield Figure(sex=record.sex, face=as_face(record, number))
    for seed in range(5):
        for sex in ("female", "male"):
            yield Figure(sex=sex, face=drawn(seed, 30.0, scored=False))  # type: ignore[arg-type]


def test_cheekbones_are_found_by_the_search_where_a_cut_finds_them() -> None:
    """Whatever the ears: the two rulers have nothing in common but the survey's words."""
    data = load_archive(default_archive())
    for figure in _faces():
        body = rest_body(data, figure)
        breadth = over_cheekbones(skin_of(body), eyes_of(body).mean(axis=0))
        assert body.achieved["bizygomaticbreadth"] == pytest.approx(breadth, abs=0.002), figure
        assert breadth == pytest.approx(body.wanted["bizygomaticbreadth"], abs=0.006), figure


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_the_search_finds_the_measures_that_only_a_seated_body_has(sex: str, column: int) -> None:
    """By the search's own ruler: a cut cannot take them from a body that stands."""
    figure = Figure(sex=sex, stature_percentile=column)  # type: ignore[arg-type]
    body = rest_body(load_archive(default_archive()), figure)
    for name in ("bideltoidbreadth", "poplitealheight", "kneeheightsitting", "buttockkneelength"):
        wanted = ANSUR_II_MM[sex][name][PERCENTILES.index(column)]
        assert body.achieved[name] * 1000 == pytest.approx(wanted, abs=10), name


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_seated_eyes_and_head_top_stand_over_the_seat(sex: str, column: int) -> None:
    body = _seated(Figure(sex=sex, stature_percentile=column, hair="bald"))  # type: ignore[arg-type]
    at = PERCENTILES.index(column)
    skin = {piece.name: piece.mesh for piece in body.pieces}
    top = skin["skin"].bounds[1, 2]
    assert (top - SEAT_M) * 1000 == pytest.approx(ANSUR_II_MM[sex]["sittingheight"][at], abs=10)
    assert body.landmarks["head_top"][2] == pytest.approx(top, abs=0.002)
    for side in ("left", "right"):
        eye = centre_of_ball(skin[f"eye_{side}_white"].vertices)
        over_seat = (eye[2] - SEAT_M) * 1000
        assert over_seat == pytest.approx(ANSUR_II_MM[sex]["eyeheightsitting"][at], abs=10)
        assert np.linalg.norm(body.landmarks[f"eye_{side}"] - eye) < 0.015


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("column", PERCENTILES)
def test_standing_head_top_is_the_stature(sex: str, column: int) -> None:
    figure = Figure(sex=sex, stature_percentile=column, hair="bald")  # type: ignore[arg-type]
    body = built(figure, Pose(posture="standing"))
    skin = next(piece.mesh for piece in body.pieces if piece.name == "skin")
    top = skin.bounds[1, 2] * 1000
    assert top == pytest.approx(ANSUR_II_MM[sex]["stature"][PERCENTILES.index(column)], abs=10)


def test_stature_in_metres_is_kept() -> None:
    figure = Figure(sex="male", stature_m=1.82, hair="bald")
    body = built(figure, Pose(posture="standing"))
    assert body.landmarks["head_top"][2] == pytest.approx(1.82, abs=0.010)


STATURES_M = (1.35, 1.45, 1.55, 1.65, 1.75, 1.85, 1.95, 2.05, 2.15, 2.20)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_eye_height_follows_stature_over_the_whole_range(sex: str) -> None:
    """No stature is held at another's: 10 cm more raise seated eyes by 3 to 5.5 cm."""
    data, eyes_m = load_archive(default_archive()), []
    for stature_m in STATURES_M:
        body = rest_body(data, Figure(sex=sex, stature_m=stature_m))  # type: ignore[arg-type]
        assert body.achieved["stature"] == pytest.approx(stature_m, abs=0.005)
        eyes_m.append(body.achieved["eyeheightsitting"])
        assert eyes_m[-1] == pytest.approx(body.wanted["eyeheightsitting"], abs=0.005)
        # A head differs less than a body does.
        head = body.achieved["headlength"] / (ANSUR_II_MM[sex]["headlength"][1] / 1000)
        assert 0.85 < head < 1.16
    rise = np.diff(eyes_m) / np.diff(STATURES_M)
    assert rise.min() > 0.30 and rise.max() < 0.55


LIMITS = [("female", 1.35), ("female", 2.20), ("male", 1.35), ("male", 2.20)]


@pytest.mark.parametrize(("sex", "stature_m"), LIMITS)
def test_the_shortest_and_the_tallest_sit_as_high_as_they_should(
    sex: str, stature_m: float
) -> None:
    figure = Figure(sex=sex, stature_m=stature_m)  # type: ignore[arg-type]
    body = rest_body(load_archive(default_archive()), figure)
    seated = _seated(figure).landmarks
    eyes_m = body.achieved["eyeheightsitting"]
    assert seated["eyes"][2] - SEAT_M == pytest.approx(eyes_m, abs=0.012)
    # A head sunk between the shoulders has its chin no higher than them.
    assert seated["chin"][2] > seated["shoulder_left"][2] + 0.03


@pytest.mark.parametrize(
    ("age_years", "stature_m", "range_m"),
    [(40.0, 1.34, "1.35 and 2.20"), (18.0, 2.21, "1.35 and 2.20"), (6.0, 1.40, "0.98 and 1.34")],
)
def test_bodies_farther_out_are_refused_with_the_range(
    age_years: float, stature_m: float, range_m: str
) -> None:
    figure = Figure(sex="female", age_years=age_years, stature_m=stature_m)
    with pytest.raises(ValueError, match=rf"stature must lie between {range_m} m"):
        rest_body(load_archive(default_archive()), figure)


def _seated(figure: Figure) -> Body:
    return built(replace(figure, hair="bald"), Pose(seat_height_m=SEAT_M))


def _acromia(figure: Figure) -> tuple[Array, Array]:
    """The tips of both shoulders of somebody seated, whom nobody has dressed yet."""
    data, pose = load_archive(default_archive()), Pose(seat_height_m=SEAT_M)
    rest = rest_body(data, figure)
    posed = pose_arms(rest, pose_trunk(rest, figure, pose), pose)
    moved = skin(rest.vertices, data.weight_joints, data.weights, posed.transforms)
    settled = shoulders.settle(rest, posed, moved)
    left, right = find_landmarks(data).acromion
    return settled[left], settled[right]


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


@pytest.mark.parametrize(("sex", "build", "column"), BUILDS)
def test_hanging_arms_leave_the_shoulders_as_broad_as_the_survey(
    sex: str, build: str, column: int
) -> None:
    # The survey takes biacromial breadth seated, with the arms at the sides.
    figure = Figure(sex=sex, build=build, stature_percentile=column)  # type: ignore[arg-type]
    left, right = _acromia(figure)
    breadth = np.linalg.norm(left - right) * 1000
    wanted = ANSUR_II_MM[sex]["biacromialbreadth"][PERCENTILES.index(column)]
    assert breadth == pytest.approx(wanted, abs=10)
