"""Plaster, concrete, stone: surfaces that vary over decimetres."""

from __future__ import annotations

import numpy as np

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import F32, Random, fractal, noise, smooth_step

SIZE_PX = 512


def _side_m(size_m: float) -> float:
    """Side of a tile of about 2.4 m that holds the pattern's unit a whole number of times."""
    return size_m * max(2, round(2.4 / size_m))


def plaster(random: Random, size_m: float) -> PatternFigure:
    """Trowelled plaster: strokes about half the unit long, clouds about the unit wide."""
    side_m = _side_m(size_m)
    n = SIZE_PX
    units = max(2, round(side_m / size_m))
    cloud = fractal(random, n, units, units, 4, 0.6)
    # Two directions of strokes; each stays where it was the last to pass.
    one, other = noise(random, n, 10 * units, 3 * units), noise(random, n, 3 * units, 10 * units)
    last = smooth_step(-0.25, 0.25, noise(random, n, 3 * units, 3 * units))
    stroke = other + last * (one - other)
    grain = noise(random, n, 200, 200)
    second = np.clip(0.45 + 0.22 * cloud + 0.12 * stroke, 0.0, 1.0)
    tone = 1.0 + 0.012 * cloud + 0.010 * stroke + 0.006 * grain
    height = 0.30 * cloud + 0.22 * stroke + 0.015 * grain
    return PatternFigure(side_m, second, tone, height.astype(np.float32))


def concrete(random: Random, size_m: float) -> PatternFigure:
    """Cast concrete: faint clouds, a mottle of hands' breadths, grains of sand, small blow holes.

    What varies over metres is kept faint, for it looks like stains; a wall is told as concrete by
    what varies over centimetres and less, which also keeps the picture crisp when it is cleaned
    of noise.
    """
    side_m = _side_m(size_m)
    n = 2 * SIZE_PX
    units = max(2, round(side_m / size_m))
    cloud = fractal(random, n, 2 * units, 2 * units, 3, 0.5)
    mottle = fractal(random, n, 12 * units, 12 * units, 4, 0.75)
    sand = noise(random, n, 420, 420)
    holes = _specks(random, n, 240, 2.5) * smooth_step(-1.2, 0.8, mottle)
    second = np.clip(0.42 + 0.06 * cloud + 0.09 * mottle + 0.07 * sand, 0.0, 1.0)
    tone = (1.0 + 0.035 * sand) * (1.0 - 0.45 * holes)
    height = (0.12 * cloud + 0.16 * mottle + 0.10 * sand - holes).astype(np.float32)
    return PatternFigure(side_m, second, tone, height)


def stone(random: Random, size_m: float) -> PatternFigure:
    """Sawn stone: drifting beds, and veins where a folded field changes sign."""
    side_m = _side_m(size_m)
    n = 2 * SIZE_PX
    units = max(2, round(side_m / size_m))
    bed = fractal(random, n, 3 * units, units, 4, 0.55)
    folded = fractal(random, n, 2 * units, units, 5, 0.55)
    vein = np.exp(-((folded / 0.035) ** 2)) * smooth_step(-0.4, 0.9, bed)
    grain = noise(random, n, 400, 400)
    second = np.clip(0.40 + 0.26 * bed + 0.05 * grain, 0.0, 1.0)
    tone = 1.0 + 0.05 * grain + 0.30 * vein
    height = (0.12 * bed + 0.08 * grain).astype(np.float32)
    return PatternFigure(side_m, second, tone.astype(np.float32), height)


def _specks(random: Random, n: int, across: int, rarity: float) -> F32:
    """Round specks where noise passes `rarity` deviations; 0 to 1."""
    return smooth_step(rarity, rarity + 0.5, noise(random, n, across, across))
