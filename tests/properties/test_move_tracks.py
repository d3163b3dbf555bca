"""Tracks and paths of camera moves: through every key, no jump of speed, never beyond a key."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.stage.moving.path import Path
from previz.stage.moving.sway import STEP_M, sway_of
from previz.stage.moving.tracks import Timing, timing_of, value_at

seldom = settings(max_examples=80, derandomize=True, deadline=None)
EASES = ("linear", "ease_in", "ease_out", "ease_in_and_out")
NEAR_S = 1e-5

number = st.floats(-50, 50).map(lambda x: round(x, 3))
ease = st.sampled_from(EASES)


@st.composite
def tracks(draw):
    """A timing with its values: 2 to 7 keys, at least a tenth of a second apart."""
    gaps = draw(st.lists(st.floats(0.1, 5.0), min_size=1, max_size=6))
    times = (0.0, *itertools.accumulate(gaps))
    values = draw(st.lists(number, min_size=len(times), max_size=len(times)))
    own = draw(st.lists(st.none() | ease, min_size=len(times), max_size=len(times)))
    after = draw(st.sampled_from([0.0, 1.5]))
    timing = timing_of(times, own, draw(ease), times[-1] + after)
    return timing, values


def speed(timing: Timing, values, time_s: float, way: float) -> float:
    """Speed just before (way -1) or just after (+1) a moment."""
    there = value_at(timing, values, time_s + way * NEAR_S)
    return way * (there - value_at(timing, values, time_s)) / NEAR_S


@seldom
@given(tracks())
def test_it_passes_through_every_key(track) -> None:
    timing, values = track
    for time_s, value in zip(timing.times_s, values, strict=True):
        assert value_at(timing, values, time_s) == pytest.approx(value, abs=1e-9)


@seldom
@given(tracks())
def test_speed_has_no_jump_at_inner_keys(track) -> None:
    timing, values = track
    fastest = max(abs(b - a) for a, b in itertools.pairwise(values))
    for time_s in timing.times_s[1:-1]:
        before, after = (speed(timing, values, time_s, way) for way in (-1.0, 1.0))
        # Speed itself changes by at most this much in the time over which it is taken.
        assert before == pytest.approx(after, abs=0.02 * fastest + 1e-4)


@seldom
@given(tracks(), st.lists(st.floats(0, 1), min_size=5, max_size=20))
def test_between_two_keys_it_is_never_beyond_either(track, shares) -> None:
    timing, values = track
    for (start, end), (one, other) in zip(
        itertools.pairwise(timing.times_s), itertools.pairwise(values), strict=True
    ):
        for share in shares:
            value = value_at(timing, values, start + share * (end - start))
            assert min(one, other) - 1e-9 <= value <= max(one, other) + 1e-9


@seldom
@given(tracks())
def test_it_rests_where_it_is_to_rest_and_stays_outside_its_keys(track) -> None:
    timing, values = track
    most = 6.0 * max(abs(b - a) for a, b in itertools.pairwise(values)) / 0.01 * NEAR_S
    for time_s, rests in zip(timing.times_s, timing.rests, strict=True):
        if rests:
            assert abs(speed(timing, values, time_s, 1.0)) <= most + 1e-6
            assert abs(speed(timing, values, time_s, -1.0)) <= most + 1e-6
    assert value_at(timing, values, -1.0) == values[0]
    assert value_at(timing, values, timing.times_s[-1] + 1.0) == values[-1]


@pytest.mark.parametrize(
    ("whole", "rests"),
    [
        ("linear", (False, False)),
        ("ease_in", (True, False)),
        ("ease_out", (False, True)),
        ("ease_in_and_out", (True, True)),
    ],
)
def test_the_moves_ease_is_that_of_its_two_ends(whole, rests) -> None:
    timing = timing_of((0.0, 2.0, 4.0), (None, None, None), whole, 4.0)
    assert (timing.rests[0], timing.rests[-1]) == rests
    assert not timing.rests[1]


def test_a_keys_own_ease_stops_it_at_inner_keys() -> None:
    timing = timing_of((0.0, 2.0, 4.0, 6.0), ("ease_out", None, "ease_in", None), "linear", 6.0)
    assert timing.rests == (False, True, True, False)


def test_a_track_that_ends_before_the_move_comes_to_rest() -> None:
    assert timing_of((0.0, 2.0), (None, None), "linear", 5.0).rests == (False, True)


@pytest.mark.parametrize(
    ("whole", "half_way", "end_speed"),
    [
        ("linear", 0.5, 1.0),
        # Cubics by hand: 3u2 - 2u3; (3u2 - u3) / 2, whose slope at the end is 3 / 2; its mirror.
        ("ease_in_and_out", 0.5, 0.0),
        ("ease_in", 0.3125, 1.5),
        ("ease_out", 0.6875, 0.0),
    ],
)
def test_two_keys_by_hand(whole, half_way, end_speed) -> None:
    timing = timing_of((0.0, 1.0), (None, None), whole, 1.0)
    assert value_at(timing, (0.0, 1.0), 0.5) == pytest.approx(half_way, abs=1e-12)
    assert speed(timing, (0.0, 1.0), 1.0, -1.0) == pytest.approx(end_speed, abs=1e-4)


places = st.lists(st.tuples(number, number), min_size=2, max_size=6, unique=True)


@seldom
@given(places)
def test_a_path_meets_its_places_and_is_no_shorter_than_the_straight_ways(points) -> None:
    path = Path(points)
    for mark, point in zip(path.marks_m, points, strict=True):
        assert path.at(float(mark)) == pytest.approx(point, abs=1e-6)
    straight = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    assert straight - 1e-9 <= path.length_m <= 1.5 * straight


@seldom
@given(places)
def test_a_path_turns_without_a_jump_but_at_its_corners(points) -> None:
    path = Path(points)
    for mark, corner in list(zip(path.marks_m, path.corners, strict=True))[1:-1]:
        near = 1e-5 * path.length_m
        before = path.at(mark) - path.at(mark - near)
        after = path.at(mark + near) - path.at(mark)
        cosine = before @ after / np.linalg.norm(before) / np.linalg.norm(after)
        # Two steps of the drawn curve turn by a few degrees at most.
        assert corner or cosine > math.cos(math.radians(5.0))


def test_places_on_a_circle_give_that_circle() -> None:
    angles = np.radians([0, 30, 75, 110])
    path = Path(2.0 * np.column_stack([np.cos(angles), np.sin(angles)]))
    radii = [float(np.linalg.norm(path.at(s))) for s in np.linspace(0, path.length_m, 400)]
    assert radii == pytest.approx([2.0] * 400, abs=0.002)
    assert path.length_m == pytest.approx(2.0 * math.radians(110), rel=1e-3)


def test_places_on_a_line_give_that_line_and_turning_back_is_a_corner() -> None:
    path = Path([(0, 0), (1, 1), (3, 3), (2, 2)])
    assert path.corners == (False, False, True, False)
    for s in np.linspace(0, path.length_m, 50):
        x, y = path.at(s)
        assert x == pytest.approx(y, abs=1e-12)
    assert path.length_m == pytest.approx(4 * math.sqrt(2))


def test_a_place_that_is_held_has_no_length() -> None:
    path = Path([(0, 0), (1, 0), (1, 0), (2, 0)])
    assert path.marks_m.tolist() == pytest.approx([0, 1, 1, 2])
    assert Path([(1, 2)]).length_m == 0.0
    assert Path([(1, 2), (1, 2)]).at(0.0).tolist() == [1, 2]


@seldom
@given(st.integers(0, 10_000), st.floats(0, 8))
def test_steps_sway_no_farther_than_they_may_and_not_where_the_walk_stops(seed, along) -> None:
    sway = sway_of(0.006, seed, (0.0, 3.0, 8.0))
    assert max(map(abs, sway.at(along))) <= 0.006
    for stop in (0.0, 3.0, 8.0):
        assert sway.at(stop) == (0.0, 0.0)
    assert sway_of(0.006, seed, (0.0, 3.0, 8.0)).at(along) == sway.at(along)


def test_steps_lift_the_camera_once_each_and_rock_it_once_in_two() -> None:
    sway = sway_of(0.006, 5, (0.0, 30.0 * STEP_M))
    along = np.linspace(2 * STEP_M, 28 * STEP_M, 4000)
    up, across = np.array([sway.at(s) for s in along]).T
    crossings = [int((np.diff(np.sign(axis)) != 0).sum()) for axis in (up, across)]
    # 26 steps cross the middle 52 times up and down; the slower wave may add or take a few.
    assert crossings[0] == pytest.approx(52, abs=4)
    assert crossings[1] == pytest.approx(26, abs=3)
    assert np.abs(up).max() > 0.003 and np.abs(across).max() > 0.003


def test_another_seed_walks_otherwise() -> None:
    one, other = (sway_of(0.006, seed, (0.0, 5.0)).at(2.2) for seed in (1, 2))
    assert one != other
