"""Noise that repeats: values on a lattice joined by cubic B-splines, and cells round points.

All arrays are (n, n) float32; rows run across the grain (v), columns along it (u).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]
Random = np.random.Generator

_SPREAD = 0.479365
"""Mean sum of squared weights of a cubic B-spline: what joining takes off a lattice's variance."""


@lru_cache(maxsize=64)
def _weights(n: int, knots: int) -> F32:
    """Weights (n, knots) of a periodic cubic B-spline at n even steps."""
    place = (np.arange(n) + 0.5) / n * knots
    first = np.floor(place).astype(int)
    t = place - first
    parts = (
        (1 - t) ** 3 / 6,
        (3 * t**3 - 6 * t**2 + 4) / 6,
        (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
        t**3 / 6,
    )
    weights = np.zeros((n, knots), np.float32)
    for step, part in enumerate(parts):
        weights[np.arange(n), (first + step - 1) % knots] += part
    return weights


def noise(random: Random, n: int, across: int, along: int) -> F32:
    """Smooth noise of mean 0 and deviation about 1 with `across` by `along` knots in the tile."""
    lattice = random.standard_normal((across, along), np.float32) / _SPREAD
    # The longer side is joined last, so that the product in between stays small.
    if across < along:
        return np.asarray((_weights(n, across) @ lattice) @ _weights(n, along).T)
    return np.asarray(_weights(n, across) @ (lattice @ _weights(n, along).T))


def rows_of_noise(random: Random, rows: int, n: int, along: int) -> F32:
    """Independent lines of periodic noise, (rows, n), mean 0, deviation about 1."""
    lattice = random.standard_normal((rows, along), np.float32) / math.sqrt(_SPREAD)
    return np.asarray(lattice @ _weights(n, along).T)


def fractal(
    random: Random, n: int, across: int, along: int, octaves: int, gain: float = 0.5
) -> F32:
    """Octaves of `noise`, each twice as fine and `gain` as strong; deviation about 1."""
    total = np.zeros((n, n), np.float32)
    for octave in range(octaves):
        knots = min(across << octave, n // 2), min(along << octave, n // 2)
        total += np.float32(gain**octave) * noise(random, n, *knots)
    return total / np.float32(math.sqrt(sum(gain ** (2 * o) for o in range(octaves))))


def smooth_step(low: float, high: float, value: F32) -> F32:
    """0 below `low`, 1 above `high`, a smooth ramp between."""
    t = np.clip((value - np.float32(low)) / np.float32(high - low), 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t), np.float32)


@dataclass(frozen=True, eq=False)
class Cells:
    """Cells round scattered points: distances to the nearest and second nearest point, in
    units of the mean spacing, and the number of the nearest."""

    nearest: F32
    second: F32
    number: NDArray[np.int32]


def cells(random: Random, n: int, across: int, jitter: float = 0.9) -> Cells:
    """Periodic cells, `across` squared of them in the tile."""
    points = random.random((across, across, 2), np.float32) * np.float32(jitter)
    place = ((np.arange(n, dtype=np.float32) + 0.5) / n * across).astype(np.float32)
    home = place.astype(int)
    inside = place - home
    nearest = np.full((n, n), 9.0, np.float32)
    second = nearest.copy()
    number = np.zeros((n, n), np.int32)
    for step_v in (-1, 0, 1):
        row = (home + step_v) % across
        for step_u in (-1, 0, 1):
            column = (home + step_u) % across
            point = points[row[:, None], column[None, :]]
            dv = inside[:, None] - step_v - point[..., 0]
            du = inside[None, :] - step_u - point[..., 1]
            distance = dv * dv + du * du
            closer = distance < nearest
            second = np.where(closer, nearest, np.minimum(second, distance))
            number = np.where(closer, (row[:, None] * across + column[None, :]), number)
            nearest = np.minimum(nearest, distance)
    return Cells(np.sqrt(nearest), np.sqrt(second), number.astype(np.int32))
