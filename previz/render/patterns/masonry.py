"""Brick and tiles: units of true size between joints."""

from __future__ import annotations

import numpy as np

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import F32, Random, fractal, noise, smooth_step

SIZE_PX = 1024

BRICK_LENGTH_M, BRICK_HEIGHT_M, JOINT_M = 0.215, 0.065, 0.010
"""The British format: 215 x 102.5 x 65 mm with 10 mm joints: common practice, no source."""

GROUT_SHARE = 0.03
"""Width of a joint in tile widths: 4 to 8 mm, common practice, no source."""


def painted_brick(random: Random, length_m: float) -> PatternFigure:
    """The same wall under coats of one paint: its relief stays, its colours do not."""
    bare = brick(random, length_m)
    # Paint covers all but the dirt in the joints and a little of every blotch.
    second = 0.05 + 0.55 * bare.second
    tone = 1.0 + 0.10 * (bare.tone - 1.0)
    return PatternFigure(
        bare.size_m, second.astype(np.float32), tone.astype(np.float32), bare.height
    )


def brick(random: Random, length_m: float) -> PatternFigure:
    """Running bond of bricks `length_m` long, the other measures in proportion."""
    scale = length_m / BRICK_LENGTH_M
    step_m, course_m = scale * (BRICK_LENGTH_M + JOINT_M), scale * (BRICK_HEIGHT_M + JOINT_M)
    # Three courses are as high as one brick is long, joints included.
    across = max(2, 2 * round(1.8 / step_m / 2))
    courses = 3 * across
    size_m = across * step_m
    pixel_m = size_m / SIZE_PX
    metre = (np.arange(SIZE_PX, dtype=np.float32) + 0.5) * np.float32(pixel_m)

    # Hand laid: edges waver by a millimetre, each brick sits a little off.
    course = np.floor(metre / course_m).astype(np.int32)
    off = 0.5 * (course % 2) + random.uniform(-0.03, 0.03, courses)[course]
    u = (metre / np.float32(step_m))[None, :] - off.astype(np.float32)[:, None]
    unit = np.floor(u)
    number = unit.astype(np.int32) % across + course[:, None] * across
    count = across * courses
    ragged = fractal(random, SIZE_PX, 96, 96, 2) * np.float32(0.0008 * scale)
    beside_m = (0.5 - np.abs(u - unit - 0.5)) * np.float32(step_m)
    above_m = ((0.5 - np.abs(metre / course_m - course - 0.5)) * course_m).astype(np.float32)
    joint_m = random.uniform(0.5 * JOINT_M, 0.65 * JOINT_M, count) * scale
    inside_m = np.minimum(beside_m, above_m[:, None])
    inside_m += ragged - joint_m.astype(np.float32)[number]
    mortar = 1.0 - smooth_step(-0.6 * pixel_m, 0.6 * pixel_m, inside_m)

    # One brick in ten is burnt darker; faces are blotched and sanded.
    tone = random.normal(1.0, 0.13, count)
    tone = np.where(random.random(count) < 0.1, tone * 0.7, tone)
    blotch = fractal(random, SIZE_PX, 48, 32, 3)
    grit = noise(random, SIZE_PX, 400, 400)
    body = np.clip(tone, 0.45, 1.4).astype(np.float32)[number] * (1.0 + 0.08 * blotch)
    tones = body + mortar * (1.0 + 0.05 * blotch - body)
    tones *= 1.0 + 0.05 * grit
    # Dirt and shadow where mortar meets brick.
    tones *= 1.0 - 0.22 * np.exp(-((inside_m / np.float32(0.0025 * scale)) ** 2))
    pale = np.clip(random.normal(0.10, 0.09, count), 0.0, 0.35).astype(np.float32)[number]
    second = np.clip(pale + 0.07 * blotch, 0.0, 0.45)
    second += mortar * (0.96 - second)
    edge = smooth_step(-0.0035 * scale, 0.0045 * scale, inside_m)
    height = edge - 1.0 + 0.05 * blotch + 0.012 * grit
    return PatternFigure(size_m, second, tones, height)


def tiles(random: Random, side_m: float) -> PatternFigure:
    """A square grid of tiles `side_m` wide, joints included."""
    across = max(2, round(2.0 / side_m))
    size_m = across * side_m
    pixel_m = size_m / SIZE_PX
    grout_m = float(np.clip(GROUT_SHARE * side_m, 0.003, 0.008))
    place = (np.arange(SIZE_PX, dtype=np.float32) + 0.5) / SIZE_PX * across
    index = np.floor(place).astype(np.int32)
    local = (place - index).astype(np.float32)
    edge = (np.minimum(local, 1.0 - local) * side_m).astype(np.float32)
    edge_m = np.minimum(edge[:, None], edge[None, :])
    grout = _covered(grout_m / 2, edge_m, pixel_m)
    number = index[:, None] * across + index[None, :]

    cloud = fractal(random, SIZE_PX, 4 * across, 4 * across, 3)
    body = random.normal(1.0, 0.05, across**2).astype(np.float32)[number] * (1.0 + 0.035 * cloud)
    tone = body + grout * (1.0 + 0.1 * cloud - body)
    tone *= 1.0 - 0.12 * np.exp(-((edge_m - grout_m / 2) ** 2) / 0.0015**2)
    # No tile lies quite level, which a glaze shows.
    lean = random.normal(0.0, 1.2, (2, across**2)).astype(np.float32)[:, number]
    height = smooth_step(grout_m / 4, grout_m / 2 + 1.5 * pixel_m, edge_m) - 1.0
    height += (lean[0] * (local[:, None] - 0.5) + lean[1] * (local[None, :] - 0.5)) * (1.0 - grout)
    return PatternFigure(size_m, (0.97 * grout).astype(np.float32), tone.astype(np.float32), height)


def _covered(half_m: float, distance_m: F32, pixel_m: float) -> F32:
    """Share of a pixel that a line of half width `half_m` covers."""
    return np.asarray(np.clip((half_m + pixel_m / 2 - distance_m) / pixel_m, 0.0, 1.0), np.float32)
