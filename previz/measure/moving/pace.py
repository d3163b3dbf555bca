"""How fast a camera goes, and how fast it pans."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from previz.stage.moving.move import StageMove
from previz.stage.stage import Array, Stage


@dataclass(frozen=True)
class Fastest:
    """When something is fastest, and how fast."""

    at_s: float
    value: float


def fastest_m_s(move: StageMove, times_s: Sequence[float]) -> Fastest:
    """The highest speed along its way, metres a second; steps and heights left out."""
    found = Fastest(0.0, 0.0)
    for before, after in pairwise(times_s):
        speed = (move.way.along_m(after) - move.way.along_m(before)) / (after - before)
        if speed > found.value:
            found = Fastest(0.5 * (before + after), speed)
    return found


def quickest_crossing_s(stage: Stage, move: StageMove, times_s: Sequence[float]) -> Fastest | None:
    """The least time on the screen in which something far off crosses the picture in a pan.

    None where it does not pan: a camera that follows one person or point all the way is left out,
    for the eye follows with it.
    """
    targets = {(a.person, None if a.point_m is None else tuple(a.point_m)) for a in move.aims}
    turned = {(a.pan_deg, a.tilt_deg) for a in move.aims if a.point_m is None}
    if len(targets) == 1 and len(turned) < 2:
        return None
    on_screen = move.fps / stage.programme.fps
    found: Fastest | None = None
    for before, after in pairwise(times_s):
        one, other = move.camera_at(before), move.camera_at(after)
        turn = math.acos(np.clip(float(_level(one.forward) @ _level(other.forward)), -1.0, 1.0))
        if turn < 1e-9:
            continue
        crossing = one.horizontal_angle_rad / turn * (after - before) * on_screen
        if found is None or crossing < found.value:
            found = Fastest(0.5 * (before + after), crossing)
    return found


def _level(direction: Array) -> Array:
    flat = np.asarray(direction[:2])
    return flat / max(float(np.linalg.norm(flat)), 1e-9)
