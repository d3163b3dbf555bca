"""Everything measured on one move."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from previz.measure.gear.floor import Outlines
from previz.measure.moving.clearance import Passing, passings
from previz.measure.moving.pace import Fastest, fastest_m_s, quickest_crossing_s
from previz.measure.moving.sharpness import Close, Soft, closest_focus, soft_stretches
from previz.memory import remembered
from previz.stage.moving.move import StageMove
from previz.stage.stage import Stage

LOOK_EVERY_S = 0.1
MOST_LOOKS = 400


@dataclass(frozen=True, eq=False)
class MoveNumbers:
    """One move in numbers, looked at every tenth of a second; a long one more seldom.

    crossing  quickest time on the screen in which the picture goes by in a pan; None: no pan
    """

    move: StageMove = field(repr=False)
    passings: tuple[Passing, ...]
    soft: tuple[Soft, ...]
    closest: Close
    fastest: Fastest
    crossing: Fastest | None


def measure_move(stage: Stage, outlines: Outlines, move: StageMove) -> MoveNumbers:
    """Measure one move, once for all that it rests on."""
    shape = stage.room.shape
    floor = None if shape is None else np.asarray(shape.corners_m, float).tobytes()
    key = ("move", move.rests_on, stage.things, floor, repr(stage.programme))
    return remembered(key, lambda: _measured(stage, outlines, move))


def _measured(stage: Stage, outlines: Outlines, move: StageMove) -> MoveNumbers:
    looks = min(max(math.ceil(move.duration_s / LOOK_EVERY_S), 4), MOST_LOOKS)
    times = [float(t) for t in np.linspace(0.0, move.duration_s, looks + 1)]
    return MoveNumbers(
        move=move,
        passings=passings(stage, outlines, move, times),
        soft=soft_stretches(stage, move, times),
        closest=closest_focus(move, times),
        fastest=fastest_m_s(move, times),
        crossing=quickest_crossing_s(stage, move, times),
    )
