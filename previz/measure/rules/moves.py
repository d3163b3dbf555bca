"""Findings on camera moves: what they run into, who goes soft, what is too fast to look at."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.measured import Measured
from previz.measure.moving.clearance import CLEARANCE_M, Passing
from previz.measure.moving.numbers import MoveNumbers
from previz.measure.moving.sharpness import Soft
from previz.measure.rules.findings import CATALOGUE, GEOMETRY, PRACTICE, Finding, spoken

FASTEST_M_S = {"slider": 0.4, "dolly": 1.5, "gimbal_walk": 1.5}
"""By hand on a rail, pushed, at a walk: common practice, no source."""
CROSSING_S = 7.0
"""Time in which a picture may pan by its own width without strobing: the rule of seven seconds, for
24 to 30 frames a second; common practice, no source."""
SMOOTH_FPS = 40.0
"""From about here on a pan no longer strobes: common practice, no source."""
PARTS = {
    "camera": "the camera",
    "dolly": "the dolly",
    "column": "the dolly's column",
    "operator": "whoever carries it",
    "rail": "the slider's rail",
    "tripod": "the slider's tripod",
}


def move_findings(measured: Measured) -> Iterator[Finding]:
    """What every move of a set cannot do."""
    for numbers in measured.moves.values():
        yield from findings_on(numbers, measured.stage.programme.fps)


def findings_on(numbers: MoveNumbers, programme_fps: float) -> Iterator[Finding]:
    """What one move cannot do."""
    for passing in numbers.passings:
        yield _met(numbers, passing) if passing.gap_m <= 0.0 else _near(numbers, passing)
    yield from _soft(numbers)
    yield from _close(numbers)
    yield from _fast(numbers)
    if programme_fps < SMOOTH_FPS:
        yield from _strobing(numbers)


def _about(numbers: MoveNumbers) -> str:
    return f"moves.{numbers.move.name}"


def _met(numbers: MoveNumbers, passing: Passing) -> Finding:
    return Finding(
        "move_runs_into",
        "fault",
        _about(numbers),
        f"at second {passing.from_s:.1f} of move {numbers.move.name} {PARTS[passing.part]} runs "
        f"into {_spoken(passing)}, {_deep(passing)} at second {passing.at_s:.1f}: take another "
        "way, or move what is there",
        passing.gap_m,
        0.0,
        "m",
        GEOMETRY,
    )


def _deep(passing: Passing) -> str:
    return f"{-100.0 * passing.gap_m:.0f} cm deep"


def _near(numbers: MoveNumbers, passing: Passing) -> Finding:
    return Finding(
        "move_passes_close",
        "warning",
        _about(numbers),
        f"at second {passing.at_s:.1f} of move {numbers.move.name} {PARTS[passing.part]} passes "
        f"{100.0 * passing.gap_m:.0f} cm from {_spoken(passing)}, and a hand needs "
        f"{100.0 * CLEARANCE_M:.0f} cm: keep farther off",
        passing.gap_m,
        CLEARANCE_M,
        "m",
        PRACTICE,
    )


def _spoken(passing: Passing) -> str:
    return "the wall" if passing.kind == "wall" else spoken(passing.other)


def _soft(numbers: MoveNumbers) -> Iterator[Finding]:
    for soft in numbers.soft:
        yield Finding(
            "move_out_of_focus",
            "fault",
            _about(numbers),
            f"{soft.subject} is out of focus {_when(soft)} of move {numbers.move.name}: at second "
            f"{soft.at_s:.1f} the eyes are "
            f"{soft.distance_m:.2f} m away and {soft.near_m:.2f} to {soft.far_m:.2f} m is sharp; "
            "pull focus with them (focus: NAME), or close down",
            soft.off_m,
            0.0,
            "m",
            GEOMETRY,
        )


def _when(soft: Soft) -> str:
    start, end = f"{soft.from_s:.1f}", f"{soft.to_s:.1f}"
    return f"at second {start}" if start == end else f"from second {start} to {end}"


def _close(numbers: MoveNumbers) -> Iterator[Finding]:
    closest, limit = numbers.closest, numbers.move.setup.kit.lens.close_focus_m
    if closest.from_sensor_m < limit:
        yield Finding(
            "move_close_focus",
            "fault",
            _about(numbers),
            f"at second {closest.at_s:.1f} of move {numbers.move.name} the focus is "
            f"{closest.from_sensor_m:.2f} m from the sensor and the lens focuses from "
            f"{limit:.2f} m: stay farther off or change the lens",
            closest.from_sensor_m,
            limit,
            "m",
            CATALOGUE,
        )


def _fast(numbers: MoveNumbers) -> Iterator[Finding]:
    kind, fastest = numbers.move.kind, numbers.fastest
    limit = FASTEST_M_S.get(kind)
    if limit is not None and fastest.value > limit:
        yield Finding(
            "move_too_fast",
            "warning",
            _about(numbers),
            f"at second {fastest.at_s:.1f} of move {numbers.move.name} the camera goes "
            f"{fastest.value:.2f} m/s, more than is usual for a {kind.replace('_', ' ')} "
            f"({limit:g} m/s): give it more seconds or a shorter way",
            fastest.value,
            limit,
            "m/s",
            PRACTICE,
        )


def _strobing(numbers: MoveNumbers) -> Iterator[Finding]:
    crossing = numbers.crossing
    if crossing is not None and crossing.value < CROSSING_S:
        yield Finding(
            "pan_strobes",
            "warning",
            _about(numbers),
            f"at second {crossing.at_s:.1f} of move {numbers.move.name} the picture pans by its "
            f"own width in {crossing.value:.1f} s and may strobe: {CROSSING_S:g} s is usual, so "
            "pan more slowly or follow somebody",
            crossing.value,
            CROSSING_S,
            "s",
            PRACTICE,
        )
