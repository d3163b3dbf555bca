"""How people hold themselves: where hands lie, how legs cross, and that no two do alike."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built

from previz.geometry.people import Figure, Pose

FIGURE = Figure(seed=3, hair="bald")


def test_folded_hands_lie_together_in_the_lap() -> None:
    m = built(FIGURE, Pose(hands="folded")).landmarks
    apart = np.linalg.norm(m["wrist_left"] - m["wrist_right"])
    assert 0.08 < apart < 0.24
    assert 0.0 < m["wrist_left"][2] - m["hip_left"][2] < 0.2


def test_a_hand_on_the_table_lies_on_it_and_the_other_in_the_lap() -> None:
    point = (-0.18, -0.42, 0.73)
    m = built(FIGURE, Pose(hands="on_table", rest_m=point)).landmarks
    assert m["wrist_right"] == pytest.approx((-0.18, -0.42, 0.765), abs=0.012)
    assert m["wrist_left"][2] < 0.70


def test_hands_work_at_the_height_of_the_bench() -> None:
    m = built(FIGURE, Pose(posture="at_bench", rest_m=(0.0, -0.42, 0.95))).landmarks
    for side in ("left", "right"):
        assert m[f"wrist_{side}"][2] == pytest.approx(1.005, abs=0.02)
        assert m[f"wrist_{side}"][1] < -0.25


@pytest.mark.parametrize("bearing", [1, 2])
def test_one_knee_lies_over_the_other_and_its_foot_is_off_the_floor(bearing: int) -> None:
    m = built(FIGURE, Pose(posture="legs_crossed", bearing=bearing)).landmarks
    over, under = ("right", "left") if bearing % 2 else ("left", "right")
    assert m[f"knee_{over}"][2] - m[f"knee_{under}"][2] > 0.09
    assert m[f"ankle_{over}"][2] > m[f"ankle_{under}"][2] + 0.05
    assert np.linalg.norm(m[f"knee_{over}"] - m[f"knee_{under}"]) < 0.25


def test_people_hold_themselves_unlike_by_a_little() -> None:
    marks = [built(FIGURE, Pose(bearing=n)).landmarks for n in (0, 11, 12)]
    for name, most_m in (("wrist_left", 0.09), ("eyes", 0.04)):
        places = np.array([m[name] for m in marks])
        apart = [np.linalg.norm(a - b) for a, b in zip(places, places[[1, 2, 0]], strict=True)]
        assert min(apart) > 0.00005
        assert max(apart) < most_m


def test_feet_stand_on_what_is_under_them() -> None:
    body = built(FIGURE, Pose(seat_height_m=0.48, foot_m=0.10))
    sole = next(p for p in body.pieces if p.name == "soles").mesh.vertices
    assert np.asarray(sole)[:, 2].min() == pytest.approx(0.10, abs=0.005)
