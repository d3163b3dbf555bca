"""Whether cameras cut together: the line, the angle round the guest, sizes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from previz.measure.camera.framing import FramingNumbers
from previz.measure.roles import guest_of, interviewer_of
from previz.stage.stage import Array, Stage

ON_THE_LINE_M = 0.1
"""A lens nearer to the line than this is on it, and cuts with both sides: an estimate."""


@dataclass(frozen=True)
class Line:
    """The line of action in plan, from the guest through the interviewer."""

    guest: str
    interviewer: str
    sides: dict[str, str]
    """Side of each camera, looking from the guest to the interviewer: left, right, on_line."""


@dataclass(frozen=True)
class Pair:
    """Two cameras on the same person.

    angle_deg        between them round the person, in plan
    size_ratio       larger head over smaller head in their frames
    lens_height_m    of the second over the first
    eye_height_pct   of the second under the first, from the frame's top
    """

    cameras: tuple[str, str]
    subject: str
    angle_deg: float
    size_ratio: float
    lens_height_m: float
    eye_height_pct: float


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


def pairs_of(stage: Stage, framings: dict[str, FramingNumbers | None]) -> list[Pair]:
    """Every two cameras that are on the same person."""
    found = []
    for (first, one), (second, other) in combinations(framings.items(), 2):
        if one is None or other is None or one.subject != other.subject:
            continue
        eyes = stage.people[one.subject].landmarks["eyes"]
        a, b = stage.cameras[first].position_m, stage.cameras[second].position_m
        small, large = sorted((one.head_height_pct, other.head_height_pct))
        found.append(
            Pair(
                cameras=(first, second),
                subject=one.subject,
                angle_deg=plan_angle_deg(a - eyes, b - eyes),
                size_ratio=large / small if small > 0.0 else math.inf,
                lens_height_m=float(b[2] - a[2]),
                eye_height_pct=other.eye_height_pct - one.eye_height_pct,
            )
        )
    return found


def plan_angle_deg(first: Array, second: Array) -> float:
    """Unsigned angle between two directions seen from above."""
    turn = math.atan2(float(second[1]), float(second[0])) - math.atan2(
        float(first[1]), float(first[0])
    )
    return math.degrees(abs(math.remainder(turn, 2.0 * math.pi)))
