"""Moves on the stage: a camera for every moment, level, at its keys, with no jump of speed."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from previz.api import open_scene
from previz.stage.moving.move import StageMove

pytestmark = pytest.mark.usefixtures("mannequins")
HOST = "people.host={at_m: [1.2, -1.5], seat: stool, stature_cm: 170}"
Build = Callable[..., StageMove]


@pytest.fixture
def move(tmp_path: Path, plain: str) -> Build:
    """The move of the plain room that `move("dolly", "...")` describes."""

    def built(kind: str, keys: str, more: str = "", *settings: str) -> StageMove:
        path = tmp_path / "scene.yaml"
        path.write_text(plain, encoding="utf-8")
        text = f"moves.m={{camera: A, kind: {kind}, duration_s: 6, {more} keys: [{keys}]}}"
        return open_scene(path, (HOST, text, *settings)).stage.moves["m"]

    return built


def speeds(move: StageMove, what: Callable[..., np.ndarray], step_s: float = 0.002) -> np.ndarray:
    """How fast something of the camera changes, at every step of the move."""
    times = np.arange(0.0, move.duration_s + step_s / 2, step_s)
    values = np.array([what(move.camera_at(float(t))) for t in times])
    return np.linalg.norm(np.diff(values.reshape(len(times), -1), axis=0), axis=1) / step_s


def place(camera):
    return camera.position_m


def turn(camera):
    return camera.forward


SLIDE = "{at_s: 0, at_m: [-0.5, -2.5]}, {at_s: 2, at_m: [0.1, -2.5]}, {at_s: 6, at_m: [0.5, -2.5]}"
ROUND = "{at_s: 0, at_m: [-1, -2.3]}, {at_s: 3, at_m: [0, -2.5]}, {at_s: 6, at_m: [1, -2.3]}"


def test_it_is_where_its_keys_say_and_stands_still_outside_them(move: Build) -> None:
    slide = move("slider", SLIDE, "length_m: 1,")
    height = slide.before.position_m[2]
    for time_s, x in ((-1, -0.5), (0, -0.5), (2, 0.1), (6, 0.5), (9, 0.5)):
        assert slide.camera_at(time_s).position_m == pytest.approx([x, -2.5, height], abs=1e-9)


def test_what_no_key_gives_is_as_the_camera_has_it(move: Build) -> None:
    push = move("dolly", "{at_s: 6, at_m: [0, -1.5]}")
    start, before = push.camera_at(0.0), push.before
    np.testing.assert_allclose(start.pose, before.pose, atol=1e-12)
    assert start.focus_distance_m == pytest.approx(before.focus_distance_m)
    assert start.focal_length_m == pytest.approx(before.focal_length_m)
    assert start.t_number == pytest.approx(before.t_number)


def test_the_subject_keeps_its_place_in_the_picture_and_its_focus(move: Build) -> None:
    walk = move("dolly", ROUND)
    eyes = walk.people["guest"].landmarks["eyes"]
    for time_s in np.linspace(0, 6, 13):
        camera = walk.camera_at(time_s)
        assert camera.project(eyes, 100, 100)[0] == pytest.approx([50, 36], abs=1e-6)
        nearer = min(
            camera.axis_distance(walk.people["guest"].landmarks[f"eye_{side}"])
            for side in ("left", "right")
        )
        assert camera.focus_distance_m == pytest.approx(nearer)


@pytest.mark.parametrize(
    ("kind", "keys", "more"),
    [
        ("slider", SLIDE, "length_m: 1,"),
        ("dolly", ROUND, ""),
        ("gimbal_walk", ROUND, ""),
        ("pan_and_tilt", "{at_s: 0, aim: guest}, {at_s: 3, aim: host}, {at_s: 6, aim_m: [2,0,1]}",
         ""),
        ("pan_and_tilt", "{at_s: 1, pan_deg: 5}, {at_s: 2, pan_deg: 40, tilt_deg: -12}", ""),
    ],
)  # fmt: skip
def test_speed_has_no_jump_and_is_nought_at_both_ends(
    move: Build, kind: str, keys: str, more: str
) -> None:
    moving = move(kind, keys, more)
    for what in (place, turn):
        fast = speeds(moving, what)
        most = fast.max()
        assert fast[0] <= 0.02 * most + 1e-6 and fast[-1] <= 0.02 * most + 1e-6
        # In 2 ms nothing gains more than a fiftieth of the speed of the whole move.
        assert np.abs(np.diff(fast)).max() <= 0.02 * most + 1e-6


@pytest.mark.parametrize(
    "keys", [ROUND, "{at_s: 3, pan_deg: 60, tilt_deg: 50}, {at_s: 6, aim: host}"]
)
def test_the_horizon_stays_level(move: Build, keys: str) -> None:
    moving = move("gimbal_walk", keys)
    for time_s in np.linspace(0, 6, 31):
        pose = moving.camera_at(time_s).pose
        assert pose[2, 0] == pytest.approx(0.0, abs=1e-12)
        assert pose[2, 1] > 0.0
        np.testing.assert_allclose(pose[:3, :3].T @ pose[:3, :3], np.eye(3), atol=1e-12)


def test_pan_is_to_the_right_and_tilt_is_up(move: Build) -> None:
    turned = move("pan_and_tilt", "{at_s: 6, pan_deg: 30, tilt_deg: 10}")
    before, after = turned.before.forward, turned.camera_at(6.0).forward

    def angles(v):
        return np.degrees([np.arctan2(v[0], v[1]), np.arcsin(v[2])])  # it looks north: east of it

    assert angles(after) - angles(before) == pytest.approx([30, 10])
    assert turned.camera_at(6.0).position_m == pytest.approx(turned.before.position_m)


def test_a_turn_takes_the_shorter_way_round(move: Build) -> None:
    there = "{at_s: 0, aim_m: [-0.3, -4, 1.2]}, {at_s: 6, aim_m: [0.3, -4, 1.2]}"
    turned = move("pan_and_tilt", there)  # both lie behind it, on either side of due south
    assert turned.camera_at(3.0).forward[1] < -0.9


def test_a_zoom_grows_evenly_and_the_stop_follows_in_proportion(move: Build) -> None:
    zoom = move("pan_and_tilt", "{at_s: 0, focal_length_mm: 35}, {at_s: 6, focal_length_mm: 105}",
                "ease: linear,")  # fmt: skip
    lengths = [zoom.camera_at(t).focal_length_m for t in (0, 2, 4, 6)]
    factors = [b / a for a, b in itertools.pairwise(lengths)]
    assert factors == pytest.approx([3 ** (1 / 3)] * 3)
    closing = move("pan_and_tilt", "{at_s: 6, f_number: 16}", "ease: linear,")
    assert closing.camera_at(3.0).f_number == pytest.approx(8.0)
    assert closing.camera_at(3.0).t_number / closing.before.t_number == pytest.approx(2.0)


def test_a_focus_pull_goes_from_eye_to_eye_and_moves_nothing_else(move: Build) -> None:
    behind = "people.host.at_m=[0.4, 1.5]"
    pull = move("focus_pull", "{at_s: 2, focus: eye}, {at_s: 4, focus: host}", "", behind)
    first, last = pull.camera_at(0.0), pull.camera_at(6.0)
    host = min(last.axis_distance(pull.people["host"].landmarks[f"eye_{s}"])
               for s in ("left", "right"))  # fmt: skip
    assert first.focus_distance_m == pytest.approx(pull.before.focus_distance_m)
    assert pull.camera_at(2.0).focus_distance_m == pytest.approx(first.focus_distance_m)
    assert last.focus_distance_m == pytest.approx(host)
    np.testing.assert_array_equal(first.pose, last.pose)
    middle = pull.camera_at(3.0).focus_distance_m
    assert 1.0 / middle == pytest.approx((1.0 / first.focus_distance_m + 1.0 / host) / 2.0)


def test_focus_on_whom_the_camera_turns_away_from_stays_as_at_the_corner_of_the_picture(
    move: Build,
) -> None:
    away = move("pan_and_tilt", "{at_s: 6, pan_deg: 170}")
    start, end = away.camera_at(0.0), away.camera_at(6.0)
    corner = np.hypot(start.sensor_width_m, start.sensor_height_m) / 2.0 / start.focal_length_m
    eyes = away.people["guest"].landmarks
    near = min(np.linalg.norm(eyes[f"eye_{s}"] - end.position_m) for s in ("left", "right"))
    assert end.focus_distance_m == pytest.approx(near / np.hypot(1.0, corner))
    assert end.focus_distance_m < start.focus_distance_m


def test_a_walk_sways_by_no_more_than_it_says_and_alike_every_time(move: Build) -> None:
    walk, still = move("gimbal_walk", ROUND), move("gimbal_walk", ROUND, "sway_mm: 0,")
    times = np.linspace(0, 6, 301)
    off = np.array([walk.camera_at(t).position_m - still.camera_at(t).position_m for t in times])
    assert 0.003 < np.abs(off[:, 2]).max() <= 0.006
    assert np.linalg.norm(off[:, :2], axis=1).max() <= 0.006
    assert off[0] == pytest.approx(np.zeros(3)) and off[-1] == pytest.approx(np.zeros(3))
    again = move("gimbal_walk", ROUND)
    np.testing.assert_array_equal(again.camera_at(2.2).pose, walk.camera_at(2.2).pose)
    other = move("gimbal_walk", ROUND, "", "seed=9")
    assert other.camera_at(2.2).position_m[2] != walk.camera_at(2.2).position_m[2]


def test_frames_are_those_of_the_camera(move: Build) -> None:
    push = move("dolly", "{at_s: 6, at_m: [0, -1.5]}")
    assert (push.fps, push.frames) == (25.0, 150)
    assert push.frame_times_s[:3] == pytest.approx((0.0, 0.04, 0.08))
    slow = move("dolly", "{at_s: 6, at_m: [0, -1.5]}", "", "A.fps=50", "A.mode=hd")
    assert (slow.frames, slow.frame_times_s[-1]) == (300, pytest.approx(5.98))


def test_a_share_of_the_move_is_a_moment(move: Build) -> None:
    one = move("dolly", "{at_pct: 50, at_m: [0, -1.5]}")
    other = move("dolly", "{at_s: 3, at_m: [0, -1.5]}")
    np.testing.assert_array_equal(one.camera_at(1.3).pose, other.camera_at(1.3).pose)
