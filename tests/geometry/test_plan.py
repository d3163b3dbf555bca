import math

import numpy as np
import pytest

from previz.geometry import plan

L_ROOM = [(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)]


def test_a_rectangle_starts_in_the_south_west_and_runs_counter_clockwise():
    corners = plan.rectangle(4.0, 2.0, (1.0, -1.0))
    assert corners == ((-1.0, -2.0), (3.0, -2.0), (3.0, 0.0), (-1.0, 0.0))
    assert plan.signed_area_m2(corners) == pytest.approx(8.0)
    assert plan.is_counter_clockwise(corners)


def test_a_clockwise_polygon_is_turned_round_and_keeps_its_points():
    turned = plan.counter_clockwise(L_ROOM[::-1])
    assert plan.signed_area_m2(L_ROOM[::-1]) == pytest.approx(-27.0)
    assert plan.signed_area_m2(turned) == pytest.approx(27.0)
    assert {tuple(p) for p in turned} == {tuple(map(float, p)) for p in L_ROOM}


def test_inside_knows_the_missing_quarter_of_an_l_room_and_the_margin():
    points = [(1, 1), (4.5, 4.5), (5.5, 1.5), (2.9, 5.0), (7, 1), (0, 3)]
    assert plan.inside(L_ROOM, points).tolist() == [True, False, True, True, False, False]
    assert plan.inside(L_ROOM, points, 0.3).tolist() == [True, False, True, False, False, False]


def test_distance_to_walls_is_to_the_segment_and_not_to_its_line():
    # Near the corner that juts in at (3, 3) the corner itself is nearest.
    away = plan.distance_to_walls_m(L_ROOM, [(2.0, 2.0), (1.0, 3.0), (4.5, 4.5), (-1.0, -1.0)])
    assert away == pytest.approx([math.sqrt(2), 1.0, 1.5, math.sqrt(2)])


@pytest.mark.parametrize("corners", [L_ROOM, L_ROOM[::-1]])
def test_corner_angles_do_not_depend_on_the_way_round(corners):
    angles = dict(zip(corners, plan.corner_angles_deg(corners), strict=True))
    assert angles.pop((3, 3)) == pytest.approx(270.0)
    assert list(angles.values()) == pytest.approx([90.0] * 5)


@pytest.mark.parametrize(
    ("corners", "text"),
    [
        ([(0, 0), (1, 0)], "a floor needs at least 3 corners of two coordinates each"),
        ([(0, 0), (1, 0), (math.nan, 1)], "a corner of the floor is not a finite number"),
        (
            [(0, 0), (4, 0), (4, 0), (4, 3)],
            "wall 2 is 0 mm long: two corners of the floor are the same point",
        ),
        (
            [(0, 0), (4, 0), (4, 3), (0, 0)],
            "wall 4 is 0 mm long: two corners of the floor are the same point",
        ),
        (
            [(0, 0), (4, 4), (4, 0), (0, 3)],
            "the floor's outline crosses or touches itself near [1.71, 1.71]",
        ),
        (
            [(0, 0), (4, 0), (4, 0.3)],
            "corner 1 of the floor is too sharp (4.3 deg); at least 10 deg is needed",
        ),
    ],
)
def test_each_fault_of_a_floor_has_its_sentence(corners, text):
    assert plan.polygon_problems(corners) == [text]


@pytest.mark.parametrize("corners", [L_ROOM, L_ROOM[::-1], [(0, 0), (4, 0), (0, 3)]])
def test_a_sound_floor_has_no_problems(corners):
    assert plan.polygon_problems(corners) == []


def test_a_spike_into_the_room_is_refused():
    spike = [(0, 0), (6, 0), (6, 4), (3.1, 4), (3, 1), (2.9, 4), (0, 4)]
    assert plan.polygon_problems(spike) == [
        "corner 5 of the floor is too sharp (3.8 deg); at least 10 deg is needed"
    ]


def test_points_may_be_given_one_by_one():
    assert plan.inside(L_ROOM, (1.0, 1.0)).tolist() == [True]
    assert plan.distance_to_walls_m(L_ROOM, np.array([1.0, 1.0])) == pytest.approx([1.0])
