"""Smooth noise that repeats: random values on a lattice, joined by cubic B-splines."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]

_SPREAD = 0.479365
"""Mean sum of squared weights of a cubic B-spline: what joining takes off a lattice's variance."""


@lru_cache(maxsize=64)
def _weights(count: int, knots: int) -> F32:
    """Weights (count, knots) of a periodic cubic B-spline at even steps."""
    place = (np.arange(count) + 0.5) / count * knots
    first = np.floor(place).astype(int)
    t = place - first
    parts = (
        (1 - t) ** 3 / 6,
        (3 * t**3 - 6 * t**2 + 4) / 6,
        (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
        t**3 / 6,
    )
    weights = np.zeros((count, knots), np.float32)
    for step, part in enumerate(parts):
        weights[np.arange(count), (first + step - 1) % knots] += part
    return weights


def lattice_noise(
    random: np.random.Generator, size: tuple[int, int], knots: tuple[int, int]
) -> F32:
    """Noise (rows, columns) of mean 0 and deviation about 1 that repeats in both directions."""
    lattice = random.standard_normal(knots, np.float32) / np.float32(_SPREAD)
    down, across = _weights(size[0], knots[0]), _weights(size[1], knots[1])
    # The longer side is joined last, so that the product in between stays small.
    if knots[0] < knots[1]:
        return np.asarray((down @ lattice) @ across.T)
    return np.asarray(down @ (lattice @ across.T))


def lines_of_noise(random: np.random.Generator, lines: int, length: int, knots: int) -> F32:
    """Independent lines of periodic noise, (lines, length), mean 0, deviation about 1."""
    lattice = random.standard_normal((lines, knots), np.float32) / np.float32(math.sqrt(_SPREAD))
    return np.asarray(lattice @ _weights(length, knots).T)


def smooth_step(low: float | F32, high: float | F32, value: F32) -> F32:
    """0 below `low`, 1 above `high`, a smooth ramp between."""
    start, end = np.asarray(low, np.float32), np.asarray(high, np.float32)
    t = np.clip((value - start) / (end - start), 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t), np.float32)
