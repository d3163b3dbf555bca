"""People drawn by lot: whole, no skin through their clothes, no hair before their eyes.

A run takes the first few; `pytest tests/geometry/people/test_drawn_people.py --dist=load
--people 200` takes as many as are asked for.
"""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built
from oracles.drawn_people import Onlooker, drawn_person
from oracles.folded import folded_share

from previz.geometry.people import Body

ROUND_DEG = (0.0, 50.0, 180.0, 310.0)
LEAST_SEEN_CM2 = 0.15  # of skin; less is a pixel or two at a medium close up


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "number" in metafunc.fixturenames:
        metafunc.parametrize("number", range(metafunc.config.getoption("people")))


def _body(number: int) -> Body:
    return built(*drawn_person(number))


def test_every_piece_is_whole(number: int) -> None:
    for piece in _body(number).pieces:
        mesh = piece.mesh
        assert np.isfinite(mesh.vertices).all(), piece.name
        assert mesh.faces.max() < len(mesh.vertices), piece.name
        if piece.closed:
            assert mesh.exact.is_watertight, piece.name
            assert mesh.exact.volume > 0.0, piece.name


def test_no_skin_comes_through_the_clothes(number: int) -> None:
    onlooker = Onlooker(_body(number))
    for azimuth_deg in ROUND_DEG:
        assert onlooker.skin_through_cloth_cm2(azimuth_deg) < LEAST_SEEN_CM2, azimuth_deg


def test_the_face_is_nowhere_turned_inside_out(number: int) -> None:
    mesh = next(piece.mesh for piece in _body(number).pieces if piece.name == "skin")
    assert folded_share(np.asarray(mesh.vertices), np.asarray(mesh.faces), 2e-8) < 0.002


def test_no_strand_hangs_before_an_eye(number: int) -> None:
    body = _body(number)
    if body.strands is None:
        return
    for eye in ("eye_left", "eye_right"):
        away = body.strands.points - body.landmarks[eye]
        ahead = away @ body.face_forward
        beside = np.linalg.norm(away - ahead[..., None] * body.face_forward, axis=2)
        assert not ((ahead > 0.0) & (beside < 0.012)).any(), eye
