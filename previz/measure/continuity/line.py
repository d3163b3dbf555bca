"""The line of action between guest and interviewer, and the side of it each camera is on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.measure.roles import guest_of, interviewer_of
from previz.stage.stage import Stage

ON_THE_LINE_M = 0.1
"""A lens nearer to the line than this is on it, and cuts with both sides: an estimate."""


@dataclass(frozen=True)
class Line:
    """The line of action in plan, from the guest through the interviewer."""

    guest: str
    interviewer: str
    sides: dict[str, str]
    """Side of each camera, looking from the guest to the interviewer: left, right, on_line."""


def line_of(stage: Stage) -> Line | None:
    """The line between guest and interviewer; None without either."""
    guest, interviewer = guest_of(stage), interviewer_of(stage)
    if guest is None or interviewer is None:
        return None
    here = stage.people[guest].landmarks["eyes"]
    there = stage.people[interviewer].landmarks["eyes"]
    along = (there - here)[:2]
    length = math.hypot(*along)
    if length == 0.0:
        return None
    sides = {}
    for name, camera in stage.cameras.items():
        x, y = (camera.position_m - here)[:2]
        off_m = float(along[0] * y - along[1] * x) / length
        sides[name] = "on_line" if abs(off_m) < ON_THE_LINE_M else _side(off_m)
    return Line(guest, interviewer, sides)


def _side(off_m: float) -> str:
    return "left" if off_m > 0.0 else "right"
