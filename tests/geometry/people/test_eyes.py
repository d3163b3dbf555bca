"""Eyes between their lids: where the ball stands, what shows of it, and the lid's wet edge."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.people import Figure
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.expression import express
from previz.geometry.people.eyes import LIMBUS, socket, touching
from previz.geometry.people.figure import Sex
from previz.geometry.people.lids import lid_edge, lower_line
from previz.geometry.people.shape import rest_body

DATA = load_archive(default_archive())
PEOPLE: list[tuple[Sex, float]] = [
    ("female", 20.0),
    ("female", 70.0),
    ("male", 20.0),
    ("male", 70.0),
]


@pytest.mark.parametrize(("sex", "age_years"), PEOPLE)
def test_an_awake_eye_shows_most_of_its_iris_and_no_white_over_it(
    sex: Sex, age_years: float
) -> None:
    body = rest_body(DATA, Figure(sex=sex, age_years=age_years, seed=4))
    for side in ("left", "right"):
        ball = socket(DATA, body.vertices, side)
        awake = express(DATA, body.vertices, "neutral", 0.0, 1.0)
        touch = touching(DATA, awake, ball, side)
        ahead = touch[np.abs(touch[:, 0]) < 0.004, 2]
        iris_m = LIMBUS * ball.radius_m
        # An iris is 10.2 to 13.0 mm across (from memory); the upper lid covers 1 to 2 mm of it, the
        # lower one meets its rim, give or take a millimetre.
        assert 0.0051 < iris_m < 0.0065
        assert 0.0 < iris_m - ahead.max() < 0.003
        assert abs(iris_m + ahead.min()) < 0.0018


@pytest.mark.parametrize("sex", ["female", "male"])
def test_the_wet_edge_lies_on_ball_and_lower_lid(sex: Sex) -> None:
    body = rest_body(DATA, Figure(sex=sex, seed=4))
    for side, outwards in (("left", 1.0), ("right", -1.0)):
        ball = socket(DATA, body.vertices, side)
        line = lower_line(DATA, body.vertices, ball, side) - ball.centre
        assert np.linalg.norm(line, axis=1) == pytest.approx(ball.radius_m, abs=1e-4)
        assert np.all(np.diff(outwards * line[:, 0]) > 0.0)
        touch = touching(DATA, body.vertices, ball, side)
        apart = np.linalg.norm(line[:, None] - touch[None], axis=2).min(axis=1)
        assert apart.max() < 0.0025
        assert line[8, 2] < -0.003
        # The caruncle is in the corner beside the nose.
        piece = lid_edge(DATA, body.vertices, ball, side)
        beside = outwards * (piece.mesh.vertices[:, 0] - ball.centre[0])
        assert -0.016 < beside.min() < outwards * line[0, 0]
