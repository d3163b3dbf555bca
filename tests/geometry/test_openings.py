import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh

from previz.geometry.openings import OpeningShape, frame_width_m, opening_name, recess_m
from previz.geometry.piece import bounds
from previz.geometry.room import RoomShape, build_room, opening_problems, rectangle

SHAPE = RoomShape(rectangle(6.0, 7.5), 2.9)
WINDOW = OpeningShape("window", 3, 2.0, 1.6, 1.4, 0.9)
DOOR = OpeningShape("door", 3, 1.0, 0.9, 2.05)


def part(opening, name, shape=SHAPE):
    built = build_room(shape, [opening])
    return next(piece for piece in built.pieces if piece.name == name).mesh


@pytest.mark.parametrize(
    ("opening", "texts"),
    [
        (replace(WINDOW, wall=0), ["there is no wall 0; walls are 1-4"]),
        (replace(WINDOW, along_m=5.0), ["it ends 6.60 m along, but wall 3 is 6.00 m long"]),
        (replace(WINDOW, sill_m=1.6), ["its top is at 3.00 m, but the room is 2.90 m high"]),
        (replace(WINDOW, along_m=-0.1), ["along and sill must not be less than 0"]),
        (replace(WINDOW, width_m=math.nan), ["width and height must be finite and more than 0"]),
        (replace(WINDOW, height_m=0.0), ["width and height must be finite and more than 0"]),
        (replace(WINDOW, panes_up=0), ["a window has at least one pane across and one up"]),
        (
            replace(WINDOW, recess_m=0.24),
            ["a recess of 240 mm does not fit in a wall 250 mm thick"],
        ),
        (
            replace(DOOR, recess_m=-0.02),
            ["a recess of -20 mm does not fit in a wall 250 mm thick"],
        ),
        (
            replace(WINDOW, width_m=7.0, height_m=3.0),
            [
                "it ends 9.00 m along, but wall 3 is 6.00 m long",
                "its top is at 3.90 m, but the room is 2.90 m high",
            ],
        ),
    ],
)
def test_each_fault_has_its_sentence(opening, texts):
    assert opening_problems(SHAPE, [opening]) == [(0, text) for text in texts]


def test_openings_that_lie_over_one_another_are_found_and_neighbours_are_not():
    over = replace(WINDOW, along_m=3.5, name="side light")
    beside = replace(WINDOW, along_m=WINDOW.along_m + WINDOW.width_m)
    above = replace(WINDOW, sill_m=2.3, height_m=0.5)
    elsewhere = replace(WINDOW, wall=1)
    assert opening_problems(SHAPE, [WINDOW, beside, above, elsewhere]) == []
    assert opening_problems(SHAPE, [over, DOOR, WINDOW]) == [
        (2, "it lies over side light on wall 3")
    ]
    assert opening_problems(SHAPE, [WINDOW, elsewhere, over]) == [
        (2, "it lies over window_1 on wall 3")
    ]


def test_an_opening_is_called_by_its_own_name_or_by_kind_and_place():
    assert opening_name(WINDOW, 0) == "window_1"
    assert opening_name(replace(DOOR, name="hall"), 4) == "hall"


def test_a_window_fills_its_hole_and_its_bars_divide_it():
    # North wall: left end at x = -3, inner face at y = 3.75, glazing 0.1 behind it.
    frame = part(WINDOW, "window_1_frame")
    assert frame.bounds == pytest.approx(
        np.array([[-1.001, 3.82, 0.899], [0.601, 3.88, 2.301]]), abs=1e-9
    )
    cut = trimesh.intersections.mesh_plane(frame.exact, (0, 1, 0), (0, 3.852, 0))
    lines = shapely.linestrings(cut[:, :, [0, 2]].round(9))
    areas = sorted(shapely.area(shapely.get_parts(shapely.polygonize(lines))))
    pane = (1.6 - 0.12 - 0.03) * (1.4 - 0.12 - 0.03) / 4
    assert areas == pytest.approx([1.602 * 1.402 - 4 * pane, *[pane] * 4], abs=1e-6)


@pytest.mark.parametrize(("across", "up"), [(1, 1), (3, 2), (12, 12)])
def test_there_are_as_many_panes_as_asked_for(across, up):
    frame = part(replace(WINDOW, panes_across=across, panes_up=up), "window_1_frame")
    # Each pane is a hole through the frame: a closed surface of genus g has Euler number 2 - 2g.
    assert frame.exact.euler_number == 2 - 2 * across * up
    assert frame.exact.is_watertight


def test_frame_edges_are_bevelled_or_moulded():
    frame = part(WINDOW, "window_1_frame")
    slanted = (np.abs(frame.face_normals).max(axis=1) < 0.99) & (frame.area_faces > 1e-6)
    assert frame.area_faces[slanted].sum() > 0.1 * 2 * (1.6 + 1.4) * 0.06


def test_the_sill_board_lies_on_the_reveal_and_reaches_over_the_wall():
    board = part(WINDOW, "window_1_board")
    assert board.bounds == pytest.approx(
        np.array([[-1.041, 3.715, 0.898], [0.641, 3.85, 0.923]]), abs=1e-9
    )
    names = [piece.name for piece in build_room(SHAPE, [replace(WINDOW, board=False)]).pieces]
    assert "window_1_board" not in names


def test_the_portal_covers_the_hole_just_outside_the_frame():
    built = build_room(SHAPE, [DOOR, replace(WINDOW, wall=4, along_m=5.0)])
    (portal,) = built.portals
    # West wall, faced from inside: left end in the south. Frame's back is 0.13 behind the face.
    assert portal.centre_m == pytest.approx([-3.131, -3.75 + 5.0 + 0.8, 1.6])
    assert (portal.width_m, portal.height_m, portal.opening) == (1.6, 1.4, 1)
    assert portal.normal == pytest.approx([1, 0, 0])
    assert portal.up == pytest.approx([0, 0, 1])


def test_frames_stay_inside_thin_walls_and_leave_small_holes_open():
    thin = RoomShape(rectangle(6.0, 7.5), 2.9, wall_thickness_m=0.05)
    frame = part(WINDOW, "window_1_frame", thin)
    assert frame.bounds[0, 1] > 3.75
    assert frame.bounds[1, 1] < 3.80
    small = replace(WINDOW, width_m=0.1, height_m=0.1)
    assert frame_width_m(small) == pytest.approx(0.02)
    built = build_room(thin, [small])
    assert recess_m(small, built.walls[2]) == pytest.approx(0.025)


def test_a_closed_door_fills_its_lining_with_a_gap_all_round():
    # North wall: hole x -2.0 to -1.1; lining 32 mm, gap 3 mm, 4 mm over the floor.
    leaf = part(DOOR, "door_1_leaf")
    assert leaf.bounds == pytest.approx(
        np.array([[-1.965, 3.75, 0.004], [-1.135, 3.79, 2.015]]), abs=1e-9
    )
    assert part(DOOR, "door_1_lining").bounds == pytest.approx(
        np.array([[-2.001, 3.751, -0.001], [-1.099, 3.999, 2.051]]), abs=1e-9
    )
    # Architrave: 68 mm wide, 6 mm back from the lining's inner edge, 20 mm thick.
    assert part(DOOR, "door_1_architrave").bounds == pytest.approx(
        np.array([[-2.042, 3.73, -0.001], [-1.058, 3.751, 2.092]]), abs=1e-9
    )


@pytest.mark.parametrize(("hinge", "edge"), [("left", -1.965), ("right", -1.135)])
def test_a_door_turns_into_the_room_on_its_hinge(hinge, edge):
    leaf = part(replace(DOOR, leaf_open_deg=90.0, hinge=hinge), "door_1_leaf")
    towards_middle = 1 if hinge == "left" else -1
    sides = sorted((edge, edge + towards_middle * 0.04))
    assert leaf.bounds == pytest.approx(
        np.array([[sides[0], 3.75 - 0.83, 0.004], [sides[1], 3.75, 2.015]]), abs=1e-9
    )
    assert leaf.volume == pytest.approx(part(DOOR, "door_1_leaf").volume)


@pytest.mark.parametrize("angle", [0.0, 35.0, 90.0])
@pytest.mark.parametrize("hinge", ["left", "right"])
def test_the_handle_keeps_its_place_on_the_leaf(hinge, angle):
    opening = replace(DOOR, leaf_open_deg=angle, hinge=hinge)
    handle = part(opening, "door_1_handle")
    pivot = np.array([-1.965 if hinge == "left" else -1.135, 3.75])
    away = np.linalg.norm(handle.vertices[:, :2] - pivot, axis=1)
    assert away.min() > 0.83 - 0.06 - 0.115 - 0.02
    assert away.max() < 0.83
    assert (handle.bounds[0, 2] + handle.bounds[1, 2]) / 2 == pytest.approx(1.004, abs=1e-3)
    assert handle.exact.body_count == 2


def test_panels_are_sunk_into_both_faces_of_the_leaf():
    leaf = part(DOOR, "door_1_leaf")
    assert 0.7 < leaf.volume / (0.83 * 2.011 * 0.04) < 0.97
    for face, sign in ((3.75, -1), (3.79, 1)):
        flat = np.abs(leaf.triangles.mean(axis=1)[:, 1] - face) < 1e-9
        area = leaf.area_faces[flat].sum()
        assert 0.3 < area / (0.83 * 2.011) < 0.8
        assert leaf.face_normals[flat][:, 1] == pytest.approx(sign)


def test_the_skirting_stops_at_doors_and_low_windows_and_runs_on_under_others():
    def skirting(opening):
        return part(opening, "skirting")

    full = part(WINDOW, "skirting")
    assert full.volume == pytest.approx(skirting(replace(WINDOW, wall=1)).volume)
    per_metre = (full.volume - skirting(replace(WINDOW, sill_m=0.0)).volume) / 1.6
    # Beside a door the architrave takes 42 mm on either side.
    assert full.volume - skirting(DOOR).volume == pytest.approx(per_metre * (0.9 + 2 * 0.042))
    assert not _near(skirting(DOOR), -1.5)
    assert _near(full, -1.5)


def _near(mesh, x):
    centres = mesh.exact.section((1, 0, 0), (x, 0, 0)).vertices
    return bool((centres[:, 1] > 3.7).any())


def test_an_opening_over_the_whole_wall_leaves_the_room_closed_elsewhere():
    built = build_room(SHAPE, [OpeningShape("opening", 3, 0.0, 6.0, 2.9)])
    names = [piece.name for piece in built.pieces]
    assert "wall_3" in names  # what is left are the mitres in the corners
    assert bounds(built.pieces)[1, 2] == pytest.approx(3.1)
    for piece in built.pieces:
        assert piece.mesh.exact.is_watertight, piece.name
