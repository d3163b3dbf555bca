import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from previz.geometry.room import (
    RECTANGLE_WALLS,
    OpeningShape,
    RoomShape,
    build_room,
    opening_problems,
    rectangle,
    shape_problems,
)

L_ROOM = [(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)]
TRIANGLE = [(0, 0), (5, 0), (1, 4)]
EIGHT = [(0, 0), (5, 0), (6, 1), (6, 4), (4.5, 5), (2, 5), (2, 3), (-1, 3)]
SLANTED = [(0, 0), (6, 0.8), (5.5, 4.4), (0.3, 5.0)]
ROOMS = {
    "rectangle": rectangle(6.0, 7.5),
    "l_room": L_ROOM,
    "triangle": TRIANGLE,
    "eight": EIGHT,
    "slanted": SLANTED,
}
THICK = 0.25
FULL = [
    OpeningShape("window", 4, 2.0, 2.2, 1.5, 0.9, panes_across=3),
    OpeningShape("door", 1, 0.5, 0.9, 2.05, leaf_open_deg=40),
    OpeningShape("opening", 2, 2.0, 1.5, 2.2),
    OpeningShape("window", 3, 1.0, 1.2, 2.4, 0.0, panes_up=4),
]


def piece(built, name):
    return next(piece for piece in built.pieces if piece.name == name)


def names(built):
    return [piece.name for piece in built.pieces]


def way_round(corners, clockwise):
    return list(corners)[::-1] if clockwise else list(corners)


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("room", ROOMS)
def test_every_piece_is_a_closed_solid_turned_outward(room, clockwise):
    built = build_room(RoomShape(way_round(ROOMS[room], clockwise), 2.7, cornice_m=0.08))
    assert len(built.walls) == len(ROOMS[room])
    for part in built.pieces:
        assert part.closed
        assert part.mesh.exact.is_watertight, part.name
        assert part.mesh.exact.is_winding_consistent, part.name
        assert part.mesh.exact.volume > 0, part.name


def test_every_piece_is_closed_with_all_openings_in():
    built = build_room(RoomShape(rectangle(6.0, 7.5), 2.9), FULL)
    assert {"window_1_frame", "window_1_board", "door_2_leaf", "door_2_handle"} <= set(names(built))
    assert "window_4_board" not in names(built)
    for part in built.pieces:
        assert part.mesh.exact.is_watertight, part.name
        assert part.mesh.exact.is_winding_consistent, part.name
        assert part.mesh.exact.volume > 0, part.name


@pytest.mark.parametrize("room", ROOMS)
def test_a_wall_has_the_volume_of_its_mitred_outline(room):
    # Outward mitres lengthen or shorten the outer face by t / tan(angle / 2) at either end.
    corners = np.array(ROOMS[room], dtype=float)
    built = build_room(RoomShape(corners, 2.7, skirting_height_m=0.0))
    to_next = np.roll(corners, -1, axis=0) - corners
    bearing = np.arctan2(to_next[:, 1], to_next[:, 0])
    interior = math.pi - (bearing - np.roll(bearing, 1) + math.pi) % (2 * math.pi) + math.pi
    more = THICK / np.tan(interior / 2)
    for k, wall in enumerate(built.walls):
        length = np.linalg.norm(to_next[k])
        outer = length + more[k] + more[(k + 1) % len(corners)]
        volume = (length + outer) / 2 * THICK * 2.7
        assert wall.length_m == pytest.approx(length, abs=1e-12)
        assert piece(built, f"wall_{k + 1}").mesh.exact.volume == pytest.approx(volume, abs=1e-9)


def test_openings_take_exactly_their_own_volume_from_the_wall():
    shape = RoomShape(rectangle(6.0, 7.5), 2.9)
    whole, cut = build_room(shape), build_room(shape, FULL)
    for opening in FULL:
        lost = opening.width_m * opening.height_m * THICK
        name = f"wall_{opening.wall}"
        volume = piece(whole, name).mesh.exact.volume - lost
        assert piece(cut, name).mesh.exact.volume == pytest.approx(volume, abs=1e-9)


def test_bounds_are_exact():
    built = build_room(RoomShape(rectangle(6.0, 7.5, (1.0, 2.0)), 2.9, skirting_height_m=0.12))
    assert piece(built, "floor").mesh.bounds == pytest.approx(
        np.array([[-2.25, -2.0, -0.2], [4.25, 6.0, 0.0]])
    )
    assert piece(built, "ceiling").mesh.bounds == pytest.approx(
        np.array([[-2.25, -2.0, 2.9], [4.25, 6.0, 3.1]])
    )
    assert piece(built, "wall_2").mesh.bounds == pytest.approx(
        np.array([[4.0, -2.0, 0.0], [4.25, 6.0, 2.9]])
    )
    # The skirting is let 1 mm into wall and floor.
    assert piece(built, "skirting").mesh.bounds == pytest.approx(
        np.array([[-2.001, -1.751, -0.001], [4.001, 5.751, 0.12]])
    )


@pytest.mark.parametrize("room", ROOMS)
def test_walls_tile_the_ring_round_the_floor_without_gap_or_overlap(room):
    built = build_room(RoomShape(ROOMS[room], 2.7))
    floor = Polygon(ROOMS[room])
    ring = floor.buffer(THICK, join_style="mitre", mitre_limit=100).difference(floor)
    outlines = [Polygon(wall.outline_m) for wall in built.walls]
    assert sum(outline.area for outline in outlines) == pytest.approx(ring.area, abs=1e-9)
    for outline in outlines:
        assert outline.difference(ring.buffer(1e-9)).area == pytest.approx(0.0, abs=1e-9)
    slab = piece(built, "floor").mesh
    assert slab.volume == pytest.approx((floor.area + ring.area) * 0.2, abs=1e-6)


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("room", ROOMS)
def test_wall_k_joins_corner_k_and_the_next(room, clockwise):
    corners = np.array(way_round(ROOMS[room], clockwise), dtype=float)
    built = build_room(RoomShape(corners, 2.7))
    floor = Polygon(corners)
    for k, wall in enumerate(built.walls):
        assert wall.number == k + 1
        ends = {tuple(corners[k]), tuple(corners[(k + 1) % len(corners)])}
        assert {tuple(wall.left_m), tuple(wall.right_m)} == ends
        middle = (wall.left_m + wall.right_m) / 2
        assert floor.covers(Point(middle + 0.01 * wall.inward))
        assert not floor.covers(Point(middle - 0.01 * wall.inward))
        # Facing the wall from inside, right is the direction out of the room turned clockwise.
        out = -wall.inward
        assert wall.along == pytest.approx([out[1], -out[0]])
        assert np.linalg.det(wall.frame[:3, :3]) == pytest.approx(1.0)


def test_the_walls_of_a_rectangle_face_the_plan_directions():
    built = build_room(RoomShape(rectangle(6.0, 7.5), 2.9))
    outward = {"south": (0, -1), "east": (1, 0), "north": (0, 1), "west": (-1, 0)}
    for name, number in RECTANGLE_WALLS.items():
        assert -built.walls[number - 1].inward == pytest.approx(outward[name])


def test_a_narrow_partition_shares_its_thickness_between_the_two_wings():
    partition = [(0, 0), (2.95, 0), (2.95, 2), (3.05, 2), (3.05, 0), (6, 0), (6, 4), (0, 4)]
    built = build_room(RoomShape(partition, 2.7))
    floor = Polygon(partition)
    assert [round(wall.thickness_m, 9) for wall in built.walls[1:4]] == [0.05, 0.25, 0.05]
    for wall in built.walls:
        assert Polygon(wall.outline_m).intersection(floor).area < 1e-9
        assert piece(built, f"wall_{wall.number}").mesh.exact.is_watertight


def test_a_narrow_pillar_between_two_outward_mitres_stays_closed():
    pillar = [(0, 0), (2, 0), (2, 0.15), (2.4, 0.15), (2.4, 0), (6, 0), (6, 4), (0, 4)]
    built = build_room(RoomShape(pillar, 2.7))
    assert len(built.walls[2].outline_m) == 3
    for part in built.pieces:
        assert part.mesh.exact.is_watertight, part.name
        assert part.mesh.exact.volume > 0, part.name


def test_wings_that_touch_back_to_back_are_refused_in_one_sentence():
    wide = [(0, 0), (2.9995, 0), (2.9995, 1), (2.5, 1), (2.5, 2), (3.5, 2), (3.5, 1), (3.0005, 1)]
    assert shape_problems(RoomShape([*wide, (3.0005, 0), (6, 0), (6, 4), (0, 4)], 2.7)) == [
        "wall 2 finds no room: the floor comes back to it within 2 mm on its other side",
        "wall 8 finds no room: the floor comes back to it within 2 mm on its other side",
    ]


def test_all_faults_of_a_shape_and_its_openings_come_at_once():
    crossed = RoomShape([(0, 0), (4, 4), (4, 0), (0, 3)], -1.0, wall_thickness_m=0.0)
    assert len(shape_problems(crossed)) == 4
    with pytest.raises(ValueError, match="crosses or touches itself near"):
        build_room(crossed)
    openings = [
        OpeningShape("window", 1, 5.0, 2.0, 1.0, 0.9),
        OpeningShape("door", 7, 0.0, 0.9, 2.0),
    ]
    shape = RoomShape(rectangle(6.0, 7.5), 2.9)
    assert opening_problems(shape, openings) == [
        (0, "it ends 7.00 m along, but wall 1 is 6.00 m long"),
        (1, "there is no wall 7; walls are 1-4"),
    ]
    with pytest.raises(ValueError) as caught:
        build_room(shape, openings)
    assert str(caught.value).splitlines() == [
        "window_1: it ends 7.00 m along, but wall 1 is 6.00 m long",
        "door_2: there is no wall 7; walls are 1-4",
    ]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(data=st.data())
def test_any_rectangle_with_any_sound_openings_builds_closed_and_exact(data):
    size = st.floats(1.0, 20.0)
    width, depth = data.draw(size), data.draw(size)
    height, thick = data.draw(st.floats(1.8, 6.0)), data.draw(st.floats(0.05, 1.0))
    corners = way_round(rectangle(width, depth), data.draw(st.booleans()))
    openings = [
        opening
        for wall in range(1, 5)
        if (opening := data.draw(st.none() | sound_opening(wall, corners, height))) is not None
    ]
    shape = RoomShape(corners, height, thick)
    built = build_room(shape, openings)
    assert len(built.portals) == sum(opening.kind == "window" for opening in openings)
    for part in built.pieces:
        assert part.mesh.exact.is_watertight, part.name
        assert part.mesh.exact.is_winding_consistent, part.name
        assert part.mesh.exact.volume > 0, part.name
    for wall in built.walls:
        lost = sum(o.width_m * o.height_m * thick for o in openings if o.wall == wall.number)
        volume = (wall.length_m + thick) * thick * height - lost
        assert piece(built, f"wall_{wall.number}").mesh.exact.volume == pytest.approx(
            volume, abs=1e-6
        )


@st.composite
def sound_opening(draw, wall, corners, room_height):
    length = math.dist(corners[wall - 1], corners[wall % 4])
    width = draw(st.floats(0.1, length))
    height = draw(st.floats(0.1, room_height))
    return OpeningShape(
        draw(st.sampled_from(["window", "door", "opening"])),
        wall,
        draw(st.floats(0.0, length - width)),
        width,
        height,
        draw(st.sampled_from([0.0, room_height - height])),
        panes_across=draw(st.integers(1, 12)),
        panes_up=draw(st.integers(1, 12)),
        leaf_open_deg=draw(st.floats(0.0, 120.0)),
        hinge=draw(st.sampled_from(["left", "right"])),
    )
