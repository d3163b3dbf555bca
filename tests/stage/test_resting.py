"""Hands find what is near: a table's top, the rest of an arm, or nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz.api.opening import open_scene

SCENE = """
previz: 1
title: Hands
room: {{width_m: 5, depth_m: 5, height_m: 2.7}}
people:
  guest: {{at_m: [0, 0], seat: {seat}, turn_deg: {turn}, hands: on_table}}
furniture:
  {table}
cameras:
  A: {{sensor: super35_3perf, lens: prime_50_f1.4, f_number: 2.8,
      place: {{at_m: [0, -2], height: eye}}, aim: guest}}
"""
TABLE = "table: {{piece: {piece}, at_m: [{x}, {y}], turn_deg: {turn}}}"


def _wrists(tmp_path: Path, seat: str, table: str, turn: float = 0.0) -> list[float]:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE.format(seat=seat, table=table or "{}", turn=turn))
    marks = open_scene(path).stage.people["guest"].landmarks
    return [float(marks[f"wrist_{side}"][2]) for side in ("left", "right")]


@pytest.mark.parametrize(("turn", "x", "y"), [(0.0, 0.0, -0.75), (90.0, 0.75, 0.0)])
def test_one_hand_lies_on_the_table_before_the_guest(
    tmp_path: Path, turn: float, x: float, y: float
) -> None:
    table = TABLE.format(piece="table", x=x, y=y, turn=turn)
    left, right = _wrists(tmp_path, "side_chair", table, turn)
    assert left == pytest.approx(0.74 + 0.035, abs=0.015)
    assert right < 0.70


def test_a_table_out_of_reach_is_left_alone(tmp_path: Path) -> None:
    far = _wrists(tmp_path, "side_chair", TABLE.format(piece="table", x=0.0, y=-2.2, turn=0))
    assert max(far) < 0.70


def test_an_arm_rests_on_the_wheelchair(tmp_path: Path) -> None:
    left, right = _wrists(tmp_path, "wheelchair", "")
    assert left == pytest.approx(0.48 + 0.23 + 0.035, abs=0.015)
    assert right < left
