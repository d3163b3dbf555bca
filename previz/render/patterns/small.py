"""Leaves and speckled surfaces: patterns of millimetres."""

from __future__ import annotations

import numpy as np

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import Random, fractal, noise, smooth_step

LEAF_PX, LEAF_VEINS = 512, 16
HANDLED_PX, HANDLED_FINGERS = 512, 32
SPECKLE_PX, PX_PER_SPECKLE = 512, 4


def leaf(random: Random, vein_m: float) -> PatternFigure:
    """Side veins `vein_m` apart that lean forward, a net of fine ones between them."""
    n = LEAF_PX
    place = (np.arange(n, dtype=np.float32) + 0.5) / n
    count = LEAF_VEINS * (place[None, :] + place[:, None]) + 0.12 * noise(random, n, 10, 10)
    from_vein = np.abs(count - np.floor(count) - 0.5)
    vein = 1.0 - smooth_step(0.02, 0.10, (0.5 - from_vein).astype(np.float32))
    net = np.exp(-((noise(random, n, 90, 90) / 0.25) ** 2))
    cloud = fractal(random, n, 5, 5, 4, 0.6)
    second = np.clip(0.10 + 0.6 * vein + 0.10 * net + 0.08 * cloud, 0.0, 1.0)
    tone = 1.0 + 0.09 * cloud
    height = (0.2 * cloud - vein).astype(np.float32)
    return PatternFigure(
        LEAF_VEINS * vein_m, second.astype(np.float32), tone.astype(np.float32), height
    )


def handled(random: Random, finger_m: float) -> PatternFigure:
    """What hands and cloths leave on varnish and metal: wiped smears, prints, fine scratches.

    It hardly changes the colour: its share is there for the roughness to vary with.
    """
    n = HANDLED_PX
    cloud = fractal(random, n, 3, 3, 4, 0.6)
    wiped = noise(random, n, 5, 40) * smooth_step(-0.3, 1.0, noise(random, n, 4, 4))
    prints = smooth_step(1.1, 1.6, noise(random, n, HANDLED_FINGERS, HANDLED_FINGERS))
    scratch = smooth_step(2.0, 2.6, noise(random, n, 500, 6))
    second = np.clip(0.45 + 0.13 * cloud + 0.07 * wiped + 0.35 * prints - 0.25 * scratch, 0.0, 1.0)
    tone = 1.0 + 0.006 * cloud
    return PatternFigure(
        HANDLED_FINGERS * finger_m, second.astype(np.float32), tone.astype(np.float32)
    )


def speckle(random: Random, grain_m: float) -> PatternFigure:
    """Grains about `grain_m` wide of the second colour."""
    n = SPECKLE_PX
    grains = n // PX_PER_SPECKLE
    speck = noise(random, n, grains, grains)
    cloud = fractal(random, n, 6, 6, 4, 0.6)
    second = np.clip(smooth_step(-0.2, 1.6, speck) + 0.10 * cloud, 0.0, 1.0)
    tone = 1.0 + 0.06 * noise(random, n, grains, grains) + 0.03 * cloud
    height = (0.3 * speck + 0.2 * cloud).astype(np.float32)
    return PatternFigure(
        grains * grain_m, second.astype(np.float32), tone.astype(np.float32), height
    )
