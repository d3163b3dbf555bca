"""Faces of the catalogue: unlike each other, within the survey, whole in every expression."""

from __future__ import annotations

import hashlib
import re
from functools import cache
from itertools import combinations
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray

from previz.catalog import Catalog
from previz.geometry.people import ANSUR_II_MM, Figure
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.expression import CLOSED, RECIPES, SPEAKING, express
from previz.geometry.people.faces import AGED, MANLY, SPREAD, drawn
from previz.geometry.people.features import unknown
from previz.geometry.people.figure import Expression
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.lids import Opening
from previz.geometry.people.shape import RestBody, rest_body
from previz.geometry.people.sockets import socket
from previz.stage.faces import as_face

Array = NDArray[np.float64]
CATALOG = Catalog.load()
NAMES = CATALOG.names("faces")
DATA = load_archive(default_archive())
LANDMARKS = find_landmarks(DATA)
HEAD = ("headbreadth", "headlength", "mentonsellionlength", "bizygomaticbreadth")
Z_OF_99_PCT, Z_OF_95_PCT = 2.3263, 1.6449  # of the normal distribution


@cache
def figure_of(name: str, age_years: float = 40.0, percentile: float = 50.0) -> Figure:
    record = CATALOG.face(name)
    return Figure(
        sex=record.sex,
        age_years=age_years,
        stature_percentile=percentile,
        skin=record.skins[0],
        face=as_face(record, NAMES.index(name)),
    )


@cache
def body_of(name: str, age_years: float = 40.0, percentile: float = 50.0) -> RestBody:
    return rest_body(DATA, figure_of(name, age_years, percentile))


def _region(name: str) -> Array:
    """Vertices of a masked region."""
    first, end = DATA.ranges["body"]
    return np.flatnonzero(DATA.masks[name][first:end] > 0.5)


LIPS, EARS = _region("lips"), _region("ears")


def proportions(body: RestBody) -> Array:
    """Distances between landmarks as shares of the face's length, (n,)."""
    v = body.vertices
    eyes = np.array([socket(DATA, v, side).centre for side in ("left", "right")])
    chin, root, tip = v[LANDMARKS.chin], v[LANDMARKS.nose_root], v[LANDMARKS.nose_tip]
    upper, lower = v[LANDMARKS.mouth_upper], v[LANDMARKS.mouth_lower]
    mouth, lips, face = 0.5 * (upper + lower), v[LIPS], v[LANDMARKS.face]
    beside = face[np.abs(face[:, 2] - mouth[2]) < 0.012]
    left = v[EARS[v[EARS, 0] > 0.0]]
    jaw = v[LANDMARKS.face][:, 0] if not len(beside) else beside[:, 0]
    measures = [
        np.linalg.norm(eyes[0] - eyes[1]),
        np.ptp(face[:, 0]),
        np.ptp(jaw),
        np.ptp(lips[:, 0]),
        np.ptp(lips[:, 2]),
        root[2] - tip[2],
        root[1] - tip[1],
        tip[2] - mouth[2],
        mouth[2] - chin[2],
        mouth[1] - chin[1],
        eyes[:, 2].mean() - tip[2],
        eyes[:, 1].mean() - root[1],
        np.ptp(left[:, 2]),
        np.ptp(left[:, 0]),
        v[LANDMARKS.head_top][2] - eyes[:, 2].mean(),
    ]
    return np.array(measures) / np.linalg.norm(root - chin)


def test_there_are_faces_of_both_sexes_and_every_skin() -> None:
    records = {name: CATALOG.face(name) for name in NAMES}
    for sex in ("female", "male"):
        mine = [record for record in records.values() if record.sex == sex]
        assert len(mine) >= 8
        for skin in ("very_light", "light", "intermediate", "tan", "brown", "dark"):
            assert sum(skin in record.skins for record in mine) >= 2, (sex, skin)


def test_every_feature_that_is_named_is_one() -> None:
    named = {word for name in NAMES for word in CATALOG.face(name).features}
    assert unknown(DATA, sorted({*named, *SPREAD, *AGED, *MANLY})) == ()


LEAST_UNLIKE = 0.05
"""Root of the sum of squares over all proportions, each a share of the face's length: two faces
that differ by less look like brothers. The nearest two are apart by more than half as much again
as one face is from itself at 40 and at 50 years."""


def test_no_two_faces_are_twins() -> None:
    found = {name: proportions(body_of(name)) for name in NAMES}
    for one, two in combinations(NAMES, 2):
        assert np.linalg.norm(found[one] - found[two]) > LEAST_UNLIKE, (one, two)


@pytest.mark.parametrize("percentile", [5.0, 50.0, 95.0])
def test_heads_lie_within_the_survey(percentile: float) -> None:
    """Within the 1st and 99th percentile of ANSUR II (Gordon et al. 2014, NATICK/TR-15/007)."""
    for name in NAMES:
        body = body_of(name, 40.0, percentile)
        for measure in (*HEAD, "interpupillarybreadth"):
            low, middle, high = ANSUR_II_MM[figure_of(name).sex][measure]
            found = 1000.0 * body.achieved[measure]
            reach = Z_OF_99_PCT / Z_OF_95_PCT
            assert middle - reach * (middle - low) < found, (name, measure)
            assert found < middle + reach * (high - middle), (name, measure)


@cache
def _mirrored() -> Array:
    """The vertex of the base head that lies opposite each, (n,)."""
    skin = DATA.base[DATA.part("body")]
    near = LANDMARKS.face
    at = skin[near] * np.array([-1.0, 1.0, 1.0])
    apart = ((at[:, None] - skin[near][None]) ** 2).sum(axis=2)
    assert np.sqrt(apart.min(axis=1)).max() < 1e-4, "the base head is even"
    return near[apart.argmin(axis=1)]


@pytest.mark.parametrize("name", NAMES)
def test_left_and_right_differ_mildly(name: str) -> None:
    v = body_of(name).vertices
    opposite = v[_mirrored()] * np.array([-1.0, 1.0, 1.0])
    apart = np.linalg.norm(v[LANDMARKS.face] - opposite, axis=1)
    assert 0.0002 < np.sqrt((apart**2).mean()) < 0.004
    assert apart.max() < 0.010


def _turned_over(name: str, expression: str, age_years: float) -> float:
    """Share of the skin's area of the head whose side has turned round from the base head's."""
    body = body_of(name, age_years)
    scale = body.achieved["headlength"] / 0.199
    moved = express(DATA, body.vertices, expression, 0.0, scale, Opening())
    quads = DATA.faces["body"]
    inside = DATA.masks["mouth_inside"] > 0.3
    on_head = (DATA.base[quads][:, :, 2] > DATA.base[LANDMARKS.chin, 2]).all(axis=1)
    quads = quads[on_head & ~inside[quads].any(axis=1)]
    sides = []
    for points in (body.data.base, moved):
        a, b, c, d = (points[quads[:, i]] for i in range(4))
        sides.append(np.cross(c - a, d - b))
    over = (sides[0] * sides[1]).sum(axis=1) < 0.0
    area = np.linalg.norm(sides[1], axis=1)
    return float(area[over].sum() / area.sum())


@pytest.mark.parametrize("name", NAMES)
def test_no_expression_turns_skin_inside_out(name: str) -> None:
    for expression in RECIPES:
        for age_years in (25.0, 80.0):
            assert _turned_over(name, expression, age_years) < 0.002, (expression, age_years)


def test_lips_part_in_speaking_and_nowhere_else() -> None:
    body = body_of(NAMES[0])
    for name in RECIPES:
        moved = express(DATA, body.vertices, name, 0.0, 1.0, Opening())
        gap = moved[LANDMARKS.mouth_upper, 2] - moved[LANDMARKS.mouth_lower, 2]
        rest = body.vertices[LANDMARKS.mouth_upper, 2] - body.vertices[LANDMARKS.mouth_lower, 2]
        # A closed mouth may press its lips together, not open; teeth show from 2 to 12 mm.
        assert (gap - rest > 0.0015) == (name in SPEAKING), name
        assert gap - rest < 0.014, name


def test_every_expression_of_a_scene_has_a_recipe() -> None:
    assert set(get_args(Expression)) == set(RECIPES) == {*SPEAKING, *CLOSED}


def test_years_lengthen_ears_and_nose_and_thin_lips() -> None:
    for name in NAMES:
        young, old = (body_of(name, years).vertices for years in (25.0, 80.0))
        # An ear grows by about 0.2 mm a year (Heathcote, "Why do old men have big ears?", 1995).
        grown = np.ptp(old[EARS, 2]) - np.ptp(young[EARS, 2])
        assert 0.001 < grown < 0.015, name
        assert np.ptp(old[LIPS, 2]) < np.ptp(young[LIPS, 2]), name


def test_a_drawn_face_repeats_by_its_number_and_differs_by_it() -> None:
    assert drawn(7, 30.0) == drawn(7, 30.0)
    one, two = (rest_body(DATA, Figure(face=drawn(n, 30.0))) for n in (7, 8))
    assert np.linalg.norm(proportions(one) - proportions(two)) > LEAST_UNLIKE


def test_the_shipped_archive_is_the_one_that_its_readme_names() -> None:
    path = default_archive()
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert re.findall(r"`([0-9a-f]{64})`", (path.parent / "README.md").read_text()) == [digest]
