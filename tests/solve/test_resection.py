"""The camera found from what is seen: it comes back as it was turned, moved and zoomed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.solve.resection import Change, Fit, changed, resect
from previz.solve.seen import SeenEdge, SeenHeight, SeenPoint
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

SIZE = (1280, 720)
SUBJECT = np.array([0.0, 0.0, 1.22])
HEAD = {
    "eye_left": SUBJECT + np.array([0.031, 0.0, 0.0]),
    "eye_right": SUBJECT + np.array([-0.031, 0.0, 0.0]),
    "head_top": SUBJECT + np.array([0.0, 0.06, 0.12]),
    "chin": SUBJECT + np.array([0.0, -0.01, -0.115]),
}
PLANNED = StageCamera(
    name="A",
    pose=looking((0.2, -2.2, 1.2), (0.05, 0.0, 1.1)),
    sensor_width_m=0.0246,
    sensor_height_m=0.0246 * 9 / 16,
    focal_length_m=0.035,
    f_number=2.8,
    t_number=3.0,
    focus_distance_m=2.2,
    fps=25.0,
    shutter_s=0.02,
    iso=800.0,
    nd_density=0.0,
)
small = st.floats(-1.0, 1.0)
CHANGES = st.builds(
    lambda p, t, r, f, u, s, z: Change(
        0.05 * p, 0.05 * t, 0.05 * r, 0.3 * f, 0.12 * u, 0.15 * s, 0.08 * z
    ),
    *[small] * 7,
)


def set_points(rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Corners that stand about a set, from near the subject to the wall behind."""
    at = rng.uniform([-0.9, -0.4, 0.7], [0.9, 3.0, 1.6], (14, 3))
    return {f"corner {n}": point for n, point in enumerate(at)}


def seen_by(
    camera: StageCamera, points: dict[str, np.ndarray], person: str | None, rng: np.random.Generator
) -> list[SeenPoint]:
    found = []
    for name, point in points.items():
        at = camera.project(point, *SIZE)[0] + rng.normal(0.0, 1.0, 2)
        if np.all((at >= 0) & (at <= SIZE)):
            found.append(SeenPoint(name, point, at, person, person is not None and "top" in name))
    return found


def off_deg(fit: Fit, true: Change, name: str) -> float:
    return math.degrees(abs(getattr(fit.change, name) - getattr(true, name)))


def size(camera: StageCamera) -> float:
    return camera.focal_length_m / camera.axis_distance(SUBJECT)


@settings(max_examples=25, deadline=None)
@given(CHANGES, st.integers(0, 2**32 - 1))
def test_a_camera_is_found_from_a_set_with_noise_of_a_pixel(true: Change, seed: int) -> None:
    rng = np.random.default_rng(seed)
    real = changed(PLANNED, true)
    seen = [*seen_by(real, set_points(rng), None, rng), *seen_by(real, HEAD, "guest", rng)]
    if sum(one.person is None for one in seen) < 8:
        return
    fit = resect(PLANNED, seen, SIZE)
    for name in ("tilt", "roll", "pan"):
        # 0.3 degrees, or three of the errors that the fit itself owns up to.
        assert off_deg(fit, true, name) < max(0.3, 3.0 * math.degrees(fit.errors[name]))
        assert fit.errors[name] < math.radians(0.3)
    assert size(fit.camera) == pytest.approx(size(real), rel=0.02)
    assert abs(fit.change.up - true.up) < max(0.03, 3.0 * fit.errors["up"])


@settings(max_examples=20, deadline=None)
@given(CHANGES, st.integers(0, 2**32 - 1))
def test_a_head_alone_gives_tilt_pan_and_size(true: Change, seed: int) -> None:
    rng = np.random.default_rng(seed)
    true = replace(true, up=0.0, right=0.0, focal=0.0)
    real = changed(PLANNED, true)
    fit = resect(PLANNED, seen_by(real, HEAD, "guest", rng), SIZE)
    assert off_deg(fit, true, "tilt") < 0.3 and off_deg(fit, true, "pan") < 0.3
    assert set(fit.errors) == {"pan", "tilt", "roll", "forward"}
    assert set(fit.not_told) == {"up", "right", "focal"}
    assert size(fit.camera) == pytest.approx(size(real), rel=max(0.02, 4.0 * fit.errors["forward"]))


def test_errors_are_as_large_as_the_noise_makes_them() -> None:
    """Of many fits, the spread is the standard error that each of them tells."""
    true, offs, told = Change(tilt=0.02, forward=0.1, focal=0.03), [], []
    points = set_points(np.random.default_rng(5))
    for seed in range(24):
        rng = np.random.default_rng(seed)
        seen = seen_by(changed(PLANNED, true), points, None, rng)
        fit = resect(PLANNED, seen, SIZE)
        offs.append(fit.change.tilt - true.tilt)
        told.append(fit.errors["tilt"])
    # The noise is of one pixel, and somebody who points is taken to be off by two.
    assert float(np.std(offs)) == pytest.approx(0.5 * float(np.mean(told)), rel=0.35)


def test_what_stands_elsewhere_is_left_out_and_named() -> None:
    rng = np.random.default_rng(2)
    true = Change(tilt=-0.02, roll=0.015, forward=0.12)
    seen = seen_by(changed(PLANNED, true), set_points(rng), None, rng)
    wrong = replace(seen[3], at_px=seen[3].at_px + np.array([60.0, -45.0]))
    fit = resect(PLANNED, [*seen[:3], wrong, *seen[4:]], SIZE)
    assert fit.strange == (wrong.name,)
    assert fit.misses_px[wrong.name] == pytest.approx(60.0, abs=6.0)
    assert off_deg(fit, true, "tilt") < 0.3 and off_deg(fit, true, "roll") < 0.3


def test_somebody_sits_lower_than_planned() -> None:
    rng = np.random.default_rng(3)
    true = Change(tilt=0.01)
    real = changed(PLANNED, true)
    lower = {name: point - [0.0, 0.0, 0.06] for name, point in HEAD.items()}
    shown = seen_by(real, lower, "guest", rng)
    seen = [replace(one, point_m=HEAD[one.name]) for one in shown]
    fit = resect(PLANNED, [*seen_by(real, set_points(rng), None, rng), *seen], SIZE)
    assert off_deg(fit, true, "tilt") < 0.3
    assert fit.shifts_m["guest"][2] == pytest.approx(-0.06, abs=0.02)


def edge(camera: StageCamera, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    return camera.project(np.array([start, end]), *SIZE)


def test_an_upright_edge_tells_roll_whatever_the_head_does() -> None:
    true = Change(roll=0.03)
    real = changed(PLANNED, true)
    eyes = [SeenPoint(n, HEAD[n], real.project(HEAD[n], *SIZE)[0], "guest") for n in HEAD]
    ends = edge(real, np.array([0.5, 1.0, 0.6]), np.array([0.5, 1.0, 1.65]))
    seen = [*eyes, SeenEdge("vertical 1", np.array([0.0, 0.0, 1.0]), ends)]
    fit = resect(PLANNED, seen, SIZE)
    assert off_deg(fit, true, "roll") < 0.1 and math.degrees(fit.errors["roll"]) < 0.8


def test_a_known_height_tells_the_focal_length_where_the_distance_is_known() -> None:
    """A rod of a metre at the subject: the fit has it as long as it is seen."""
    true = Change(focal=0.05)
    real = changed(PLANNED, true)
    foot = np.array([0.3, 0.0, 0.8])
    # It stands as far off as the subject, along the lens axis.
    foot = foot + (real.axis_distance(SUBJECT) - real.axis_distance(foot)) * real.forward
    ends = edge(real, foot, foot + np.array([0.0, 0.0, 0.6]))
    heads = [SeenPoint(n, HEAD[n], real.project(HEAD[n], *SIZE)[0], "guest") for n in HEAD]
    fit = resect(PLANNED, [*heads, SeenHeight("height 1", 0.6, ends, SUBJECT)], SIZE)
    assert size(fit.camera) == pytest.approx(size(real), rel=0.02)
    assert fit.misses_px["height 1"] < 2.0


def test_a_level_camera_stays_level_and_a_steep_one_has_a_forward() -> None:
    down = replace(PLANNED, pose=looking((0.0, 0.0, 2.5), (0.0, 0.02, 0.0)))
    moved = changed(down, Change(forward=0.1, up=-0.2))
    step = moved.position_m - down.position_m
    np.testing.assert_allclose(step, [0.0, 0.1, -0.2], atol=1e-9)
    same = changed(PLANNED, Change())
    np.testing.assert_array_equal(same.pose, PLANNED.pose)


@pytest.mark.parametrize(
    ("change", "ahead"),
    [
        (Change(pan=0.1), (-1, 0)),
        (Change(tilt=0.1), (0, 1)),
        (Change(up=0.1), (0, 1)),
        (Change(right=0.1), (-1, 0)),
    ],
)
def test_the_picture_goes_the_other_way(change: Change, ahead: tuple[int, int]) -> None:
    """Panned right, what is seen goes left; tilted up or raised, it goes down."""
    before, after = (c.project(SUBJECT, *SIZE)[0] for c in (PLANNED, changed(PLANNED, change)))
    went = after - before
    assert float(went @ np.array(ahead)) > 10.0


def test_a_clockwise_roll_turns_the_picture_the_other_way() -> None:
    real = changed(PLANNED, Change(roll=0.1))
    low, high = edge(real, SUBJECT - np.array([0, 0, 0.3]), SUBJECT + np.array([0, 0, 0.3]))
    assert high[0] < low[0], "what stands upright leans to the left"
    assert math.asin(-real.pose[2, 0]) == pytest.approx(0.1, abs=1e-3)


def test_points_behind_the_lens_end_nothing() -> None:
    behind = SeenPoint("behind", np.array([0.0, -5.0, 1.0]), np.array([100.0, 100.0]))
    rng = np.random.default_rng(1)
    fit = resect(PLANNED, [*seen_by(PLANNED, set_points(rng), None, rng), behind], SIZE)
    assert fit.strange == ("behind",) and math.isinf(fit.misses_px["behind"])


def test_two_points_in_one_line_of_sight_tell_no_more_than_they_can() -> None:
    one = SeenPoint("a", SUBJECT, PLANNED.project(SUBJECT, *SIZE)[0], "guest")
    fit = resect(PLANNED, [one], SIZE)
    assert set(fit.told) == {"pan", "tilt"}
