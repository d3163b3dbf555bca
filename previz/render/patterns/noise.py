"""Noise for tiles, and cells round points. All arrays are (n, n) float32 and repeat.

Rows run across the grain (v), columns along it (u).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.stage.lattice import F32, lattice_noise, lines_of_noise, smooth_step

__all__ = ["F32", "Cells", "Random", "cells", "fractal", "lines_of_noise", "noise", "smooth_step"]

Random = np.random.Generator


def noise(random: Random, n: int, across: int, along: int) -> F32:
    """Smooth noise of mean 0 and deviation about 1 with `across` by `along` knots in the tile."""
    return lattice_noise(random, (n, n), (across, along))


def fractal(
    random: Random, n: int, across: int, along: int, octaves: int, gain: float = 0.5
) -> F32:
    """Octaves of `noise`, each twice as fine and `gain` as strong; deviation about 1."""
    total = np.zeros((n, n), np.float32)
    for octave in range(octaves):
        knots = min(across << octave, n // 2), min(along << octave, n // 2)
        total += np.float32(gain**octave) * noise(random, n, *knots)
    return total / np.float32(math.sqrt(sum(gain ** (2 * o) for o in range(octaves))))


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
            dv = (inside[:, None] - np.float32(step_v)) - point[..., 0]
            du = (inside[None, :] - np.float32(step_u)) - point[..., 1]
            distance = (dv * dv + du * du).astype(np.float32)
            closer = distance < nearest
            second = np.where(closer, nearest, np.minimum(second, distance))
            number = np.where(closer, (row[:, None] * across + column[None, :]), number)
            nearest = np.minimum(nearest, distance)
    return Cells(np.sqrt(nearest), np.sqrt(second), number.astype(np.int32))
