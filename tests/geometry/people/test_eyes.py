"""Eyes between their lids: where the ball stands, what shows of it, and the lid's wet edge."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.people import Figure
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.expression import express
from previz.geometry.people.figure import Sex
from previz.geometry.people.lids import Opening, lid_edge, lower_line
from previz.geometry.people.shape import rest_body
from previz.geometry.people.sockets import socket, touching

DATA = load_archive(default_archive())


@pytest.mark.parametrize("sex", ["female", "male"])
def test_the_wet_edge_lies_on_ball_and_lower_lid(sex: Sex) -> None:
    body = rest_body(DATA, Figure(sex=sex, seed=4))
    for side, outwards in (("left", 1.0), ("right", -1.0)):
        ball = socket(DATA, body.vertices, side)
        awake = express(DATA, body.vertices, "neutral", 0.0, 1.0, Opening())
        line = lower_line(DATA, awake, ball, side) - ball.centre
        assert np.linalg.norm(line, axis=1) == pytest.approx(ball.radius_m, abs=1e-4)
        assert np.all(np.diff(outwards * line[:, 0]) > 0.0)
        touch = touching(DATA, awake, ball, side)
        apart = np.linalg.norm(line[:, None] - touch[None], axis=2).min(axis=1)
        assert apart.max() < 0.0025
        assert line[8, 2] < -0.003
        # The caruncle is in the corner beside the nose.
        piece = lid_edge(DATA, awake, ball, side, 40.0)
        beside = outwards * (piece.mesh.vertices[:, 0] - ball.centre[0])
        assert -0.016 < beside.min() < outwards * line[0, 0]
