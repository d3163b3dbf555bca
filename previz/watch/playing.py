"""A move that is played in the page: where it is now, and its frames at their real pace."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from previz.api.opening import OpenScene
from previz.stage.moving.move import StageMove

DIGITS = 3
"""Milliseconds, millimetres."""
POINTS = 48
"""Of a move's path on the plan: an estimate."""


@dataclass(eq=False)
class Play:
    """A wish to see a move from `at_s` on: `running`, or standing at that moment.

    Its clock begins with the first frame, so that nothing is missed while light is baked.
    """

    move: str
    at_s: float
    running: bool
    clock: Callable[[], float] = time.monotonic
    _began_s: float | None = field(default=None, init=False)

    def begin(self) -> None:
        """The first frame is about to be drawn; later calls do nothing."""
        if self._began_s is None:
            self._began_s = self.clock()

    def now_s(self, duration_s: float) -> float:
        """Seconds into the move, never past its end."""
        gone_s = self.clock() - self._began_s if self.running and self._began_s is not None else 0.0
        return min(max(self.at_s + gone_s, 0.0), duration_s)


def frame_at(move: StageMove, now_s: float) -> int:
    """The number of the frame that is on the screen at `now_s`."""
    return min(int(now_s * move.fps + 1e-6), move.frames - 1)


def last_s(move: StageMove) -> float:
    """When its last frame is taken."""
    return (move.frames - 1) / move.fps


def played_json(move: StageMove, at_s: float, running: bool) -> dict[str, Any]:
    """Where a move is that is shown, for its bar and the plan."""
    return {
        "move": move.name,
        "at_s": round(at_s, DIGITS),
        "running": running,
        "at": _point(move, at_s),
    }


NOTHING_PLAYS: Mapping[str, Any] = {"move": None}


def moves_json(opened: OpenScene) -> dict[str, Any]:
    """The moves that can be played, by name: their camera, how long, and the way of the lens."""
    return {
        name: {
            "camera": move.before.name,
            "last_s": round(last_s(move), DIGITS),
            "frame_s": round(1.0 / move.fps, 5),
            "path": _path(move),
        }
        for name, move in opened.stage.moves.items()
    }


def _path(move: StageMove) -> list[list[float]]:
    """Where its lens goes in plan; one point where it stays."""
    points = [_point(move, move.duration_s * step / POINTS) for step in range(POINTS + 1)]
    return [p for number, p in enumerate(points) if number == 0 or p != points[number - 1]]


def _point(move: StageMove, at_s: float) -> list[float]:
    return [round(float(value), DIGITS) for value in move.way.at(at_s)[:2]]
