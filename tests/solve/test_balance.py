"""The equations of balancing, with answers known by hand."""

from __future__ import annotations

import math

import pytest

from previz.solve.balance import price, rounded_pct, solve
from previz.solve.posing import FACE_FIRST, BalanceProblem, Equation


def test_two_equations_in_two_lights_have_the_answer_of_hand_calculation():
    """Face 400 lx at key : fill 4: key 320 lx and fill 80 lx, from 100 lx each at full dimmer/4."""
    face = Equation("face", {"key": 100.0, "fill": 100.0}, {}, 400.0)
    ratio = Equation("key_to_fill", {"key": 100.0}, {"fill": 400.0})
    problem = BalanceProblem("A", "guest", (face, ratio), {"key": 4.0, "fill": 4.0}, {})
    factors, _ = solve(problem)
    assert factors["key"] == pytest.approx(3.2, rel=0.02)
    assert factors["fill"] == pytest.approx(0.8, rel=0.02)


def test_a_light_at_full_stops_there_and_the_rest_is_said_in_stops():
    face = Equation("face", {"key": 100.0, "window": 20.0}, {}, 480.0)
    problem = BalanceProblem("A", "guest", (face,), {"key": 2.0}, {})
    factors, _ = solve(problem)
    assert factors["key"] == pytest.approx(2.0)
    assert face.off_stops(factors) == pytest.approx(math.log2(220.0 / 480.0), abs=0.01)


def test_ends_that_pull_apart_meet_in_the_middle_in_stops():
    """Two targets for one light, a stop apart: half a stop off each."""
    low, high = Equation("a", {"key": 100.0}, {}, 100.0), Equation("b", {"key": 100.0}, {}, 200.0)
    problem = BalanceProblem("A", "guest", (low, high), {"key": 4.0}, {})
    factors, _ = solve(problem)
    assert low.off_stops(factors) == pytest.approx(0.5, abs=0.03)
    assert high.off_stops(factors) == pytest.approx(-0.5, abs=0.03)


def test_the_face_is_held_first_and_a_ratio_that_cannot_be_had_has_its_price():
    """Fill is a lamp of the room that no dimmer of ours turns: 8 : 1 would take the face along.

    The key gives 400 lx and the room 100, 500 in all as wanted: 4 : 1. Brighter, the key spoils
    the face; there is 8 : 1 only with the key at 800 lx and the face at 900, 0.85 stops over.
    """
    face = Equation("face", {"key": 400.0, "room": 100.0}, {}, 500.0, FACE_FIRST)
    ratio = Equation("key_to_fill", {"key": 400.0}, {"room": 800.0})
    problem = BalanceProblem("A", "guest", (face, ratio), {"key": 4.0}, {})
    factors, _ = solve(problem)
    assert abs(face.off_stops(factors)) < 0.05
    assert ratio.off_stops(factors) == pytest.approx(-1.0, abs=0.05)
    cost = price(problem, "key_to_fill", {})
    assert cost is not None and cost.reached
    assert cost.face_stops == pytest.approx(math.log2(900.0 / 500.0), abs=0.05)
    assert price(problem, "face", {}) is None


def test_a_ratio_that_no_dimmer_gives_has_no_price():
    face = Equation("face", {"key": 400.0, "room": 100.0}, {}, 500.0, FACE_FIRST)
    ratio = Equation("key_to_fill", {"key": 400.0}, {"room": 800.0})
    cost = price(BalanceProblem("A", "guest", (face, ratio), {"key": 1.2}, {}), "key_to_fill", {})
    assert cost is not None and not cost.reached


@pytest.mark.parametrize(
    ("over_stops", "density"), [(0.0, 0.0), (1.0, 0.3), (1.5, 0.6), (2.0, 0.6)]
)
def test_a_window_gets_the_least_nd_that_holds_it(over_stops: float, density: float):
    held = Equation("window/w", {"w": 2.0**over_stops}, {"key": 1.0})
    problem = BalanceProblem("A", "guest", (held,), {}, {"w": 0.0})
    _, found = solve(problem)
    assert found == {"w": density}


@pytest.mark.parametrize(("value", "shown"), [(3.26, 3.3), (9.96, 10.0), (33.4, 33.0)])
def test_dimmers_come_as_they_can_be_read_off(value: float, shown: float):
    assert rounded_pct(value) == shown
