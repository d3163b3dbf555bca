"""What is left of footsteps when somebody walks with a stabilised camera."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

SWAY_MM = 6.0
"""Up and down of a soft walk with a stabilised head, each way: an estimate."""
STEP_M = 0.55
"""Length of a careful step: an estimate."""
SLOWER = 0.37
"""No two steps are alike: a slower wave in the steps, as a part of their rhythm, an estimate."""
SLOWER_SHARE = 0.25
"""How much of the sway that slower wave is: an estimate."""


@dataclass(frozen=True)
class Sway:
    """Up and down once a step, from side to side once in two; at rest wherever the walk is.

    size_m     most that a step lifts the camera; it goes as far to either side
    phases_rad of the waves up and across, with the slower one of each (4,)
    stops_m    how far along the way the walk begins, stops, ends
    """

    size_m: float
    phases_rad: tuple[float, ...]
    stops_m: tuple[float, ...]

    def at(self, along_m: float) -> tuple[float, float]:
        """Metres up, and across to the left, after so much of the way."""
        steps = 2.0 * math.pi * along_m / STEP_M
        size = self.size_m * self._swing(along_m)
        up, slow_up, across, slow_across = self.phases_rad
        return size * _wave(steps, up, slow_up), size * _wave(steps / 2.0, across, slow_across)

    def _swing(self, along_m: float) -> float:
        """0 where the walk stops, 1 from a step away."""
        swing = 1.0
        for stop in self.stops_m:
            near = min(abs(along_m - stop) / STEP_M, 1.0)
            swing *= near * near * (3.0 - 2.0 * near)
        return swing


def sway_of(size_m: float, seed: int, stops_m: Sequence[float]) -> Sway:
    """The sway of one walk; the same seed walks the same again."""
    phases = np.random.default_rng(seed).uniform(0.0, 2.0 * math.pi, 4)
    return Sway(size_m, tuple(float(phase) for phase in phases), tuple(stops_m))


def _wave(steps_rad: float, phase: float, slow_phase: float) -> float:
    fast = (1.0 - SLOWER_SHARE) * math.sin(steps_rad + phase)
    return fast + SLOWER_SHARE * math.sin(SLOWER * steps_rad + slow_phase)
