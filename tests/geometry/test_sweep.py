"""A sweep joins wall and floor without an edge."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.errors import InputError

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"


def swept(*settings: str):
    stage = api.open_scene(BASE, ("room.sweep={wall: north, radius_m: 1, floor_m: 3}", *settings))
    [piece] = next(t for t in stage.stage.things if t.name == "room.sweep").pieces
    return piece


def test_it_is_a_quarter_round_between_a_flat_and_an_upright_part():
    """The room is 6.4 m wide and 2.9 m high; its north wall stands at y = 4.6."""
    piece = swept()
    long = (3.0 - 1.0) + math.pi / 2.0 * 1.0 + (2.9 - 1.0)
    assert float(piece.mesh.area) == pytest.approx(6.4 * long, rel=5e-3)
    points = np.asarray(piece.mesh.vertices)
    low, high = points.min(axis=0), points.max(axis=0)
    assert low == pytest.approx((-3.0, 1.6, 0.0), abs=0.01)
    assert high == pytest.approx((3.4, 4.6, 2.9), abs=0.01)
    bent = points[(points[:, 1] > 3.61) & (points[:, 2] < 0.99) & (points[:, 2] > 0.01)]
    axis = np.hypot(bent[:, 1] - 3.6, bent[:, 2] - 1.0)
    assert len(bent) > 60 and axis == pytest.approx(np.full(len(bent), 1.0), abs=0.01)


def test_it_faces_the_room_and_takes_its_paint():
    piece = swept("room.wall_colour='#ffffff'")
    corners = np.asarray(piece.mesh.vertices)[piece.mesh.faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    toward = np.array([0.2, 0.0, 2.0]) - corners.mean(axis=1)
    assert np.all(np.einsum("ij,ij->i", across, toward) > 0.0)
    assert piece.colour is not None and np.allclose(piece.colour, 1.0)


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("room.sweep={wall: north, radius_m: 3}", "does not fit under a ceiling of 2.9 m"),
        ("room.sweep={wall: 9}", "there is no wall 9; the room has 4"),
        ("openings.w={wall: north, along_m: 1, width_m: 1, sill_m: 1, height_m: 1}", "cover w in"),
    ],
)
def test_what_cannot_stand_is_said(setting: str, said: str):
    with pytest.raises(InputError, match=said):
        swept(setting)
