"""Whether two cameras on one person cut together: angle, size, height."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from previz.measure.camera.framing import FramingNumbers
from previz.stage.stage import Array, Stage


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
