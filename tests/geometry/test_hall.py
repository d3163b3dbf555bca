"""The hall behind an open door: closed, of the hole's width and more, out of the room."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.hall import BESIDE_M, DEPTH_M, hall, open_to_a_hall
from previz.geometry.openings import OpeningShape
from previz.geometry.piece import bounds
from previz.geometry.plan import rectangle
from previz.geometry.walls import walls_round

THICK_M = 0.25
CORNERS = np.asarray(rectangle(4.0, 5.0, (0.0, 0.0)))
WALLS = {wall.number: wall for wall in walls_round(CORNERS, THICK_M)}
DOOR = OpeningShape("door", 3, 1.5, 0.9, 2.05, leaf_open_deg=60.0)


def test_it_stands_behind_the_wall_and_is_closed():
    found = hall(DOOR, WALLS[3], CORNERS, "lime_plaster", "oak_boards")
    assert found is not None
    low, high = bounds(found.pieces)
    # Wall 3 is the north wall: its outer face is at y = 2.5 + 0.25.
    assert low[1] == pytest.approx(2.75)
    assert high[1] == pytest.approx(2.75 + DEPTH_M + 0.05)
    assert high[0] - low[0] == pytest.approx(0.9 + 2 * BESIDE_M + 0.1)
    for piece in found.pieces:
        assert piece.mesh.exact.is_watertight
        assert piece.mesh.exact.volume > 0
    # From inside, every way but back to the room meets something.
    middle = np.array([(low[0] + high[0]) / 2, 2.75 + DEPTH_M / 2, 1.0])
    ways = np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, -1]], float)
    for way in ways:
        assert any(
            p.mesh.exact.ray.intersects_any(middle[None], way[None])[0] for p in found.pieces
        )


def test_its_rooflight_looks_down_from_under_the_ceiling():
    found = hall(DOOR, WALLS[3], CORNERS, "lime_plaster", "oak_boards")
    assert found is not None
    np.testing.assert_allclose(found.rooflight.pose[:3, 2], [0.0, 0.0, -1.0], atol=1e-12)
    assert np.linalg.det(found.rooflight.pose[:3, :3]) == pytest.approx(1.0)
    ceiling = next(piece for piece in found.pieces if piece.name == "ceiling")
    below = ceiling.mesh.bounds[0, 2] - found.rooflight.position_m[2]
    assert 0.0 < below < 0.01


def test_no_hall_where_another_wing_of_the_room_lies():
    wing = np.array([(0, 0), (6, 0), (6, 5), (4, 5), (4, 2), (2, 2), (2, 5), (0, 5)], float)
    walls = {wall.number: wall for wall in walls_round(wing, 0.2)}
    # Wall 6 ends one wing; the other begins two metres behind it.
    assert hall(OpeningShape("opening", 6, 0.5, 1.0, 2.0), walls[6], wing, "oak", "oak") is not None
    near = np.array([(0, 0), (6, 0), (6, 5), (3.2, 5), (3.2, 2), (2, 2), (2, 5), (0, 5)], float)
    walls = {wall.number: wall for wall in walls_round(near, 0.2)}
    assert hall(OpeningShape("opening", 6, 0.5, 1.0, 2.0), walls[6], near, "oak", "oak") is None


def test_only_what_one_sees_through_has_a_hall():
    assert open_to_a_hall(DOOR)
    assert open_to_a_hall(OpeningShape("opening", 1, 1.0, 1.0, 2.0))
    assert not open_to_a_hall(OpeningShape("door", 1, 1.0, 0.9, 2.0))
    assert not open_to_a_hall(OpeningShape("window", 1, 1.0, 1.0, 1.0, sill_m=0.9))
