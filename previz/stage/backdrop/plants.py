"""Trees, hedges and lawns, far enough to be painted flat."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.stage.backdrop.canvas import Canvas, edge
from previz.stage.backdrop.skies import Lighting
from previz.stage.lattice import F32, lines_of_noise, smooth_step

Array = NDArray[np.float64]

LEAVES = np.array([0.055, 0.085, 0.028])
"""Reflectance of foliage in bulk: half that of a leaf, the rest is lost among leaves (from
memory)."""
# Reflectances: estimates, from memory.
GRASS = np.array([0.065, 0.110, 0.032])
STONE = np.array([0.24, 0.23, 0.21])
BARK = np.array([0.09, 0.075, 0.06])


def foliage_light(light: Lighting) -> Array:
    """Illuminance (3,) that foliage throws back: lit from above and from the side."""
    sun = 0.3 * light.sun_wall + 0.2 * light.sun_level
    return 0.35 * light.sky + 0.5 * light.wall + sun + 0.2 * light.lamps


def treeline(
    canvas: Canvas, light: Lighting, distance_m: float, tops_m: tuple[float, float]
) -> None:
    """A wood all round, its tops between two heights, down to the ground."""
    width = canvas.planes.shape[2]
    shape = lines_of_noise(canvas.random, 4, width, 14)
    tops = shape[0] + 0.5 * lines_of_noise(canvas.random, 1, width, 60)[0]
    tops = tops + 0.30 * lines_of_noise(canvas.random, 1, width, 190)[0]
    low, high = tops_m
    top_m = np.clip((low + high) / 2 + (high - low) / 4 * tops, low, 1.15 * high)
    reach = math.degrees(math.atan((1.2 * high - canvas.eye_m) / distance_m)) + 1.0
    rows = canvas.rows(-math.degrees(math.atan(canvas.eye_m / distance_m)) - 0.5, reach)
    height = canvas.height_m(rows, distance_m)
    clump = canvas.noise(canvas.clumps, rows, slice(None))
    leaf = canvas.noise(canvas.leaves, rows, slice(None))
    pixel_m = canvas.step * distance_m
    cover = edge(top_m[None, :] - height + pixel_m * (0.7 * clump + 0.9 * leaf), 1.5 * pixel_m)
    # Light comes from above: tops are bright, the foot of the wood is dark.
    shade = np.clip(0.45 + 0.75 * height / top_m[None, :], 0.25, 1.2)
    shade = shade * (1.0 + 0.16 * clump + 0.14 * leaf) * (1.0 + 0.12 * shape[1])[None, :]
    hue = np.stack([1.0 + 0.14 * shape[2], np.ones(width), 1.0 + 0.1 * shape[3]], axis=1)
    colour = canvas.faded(LEAVES * hue * foliage_light(light) / math.pi, distance_m)
    canvas.paint(rows, slice(None), cover, colour, shade)


def hedge(canvas: Canvas, light: Lighting, distance_m: float, top_m: float) -> None:
    """A clipped hedge all round."""
    rows = canvas.rows(
        -math.degrees(math.atan(canvas.eye_m / distance_m)) - 0.3,
        math.degrees(math.atan((top_m + 0.4 - canvas.eye_m) / distance_m)) + 0.5,
    )
    height = canvas.height_m(rows, distance_m)
    leaf = canvas.noise(canvas.leaves, rows, slice(None))
    clump = canvas.noise(canvas.clumps, rows, slice(None))
    cover = edge(top_m - height + 0.05 * leaf + 0.03 * clump, canvas.step * distance_m)
    cover *= edge(height, canvas.step * distance_m)
    shade = (0.45 + 0.5 * np.clip(height / top_m, 0, 1)) * (1.0 + 0.10 * clump + 0.16 * leaf)
    colour = LEAVES * np.array([0.85, 1.0, 0.9]) * foliage_light(light) / math.pi
    canvas.paint(rows, slice(None), cover, colour, shade)


def tree(
    canvas: Canvas,
    light: Lighting,
    azimuth: float,
    distance_m: float,
    height_m: float,
    stem: float = 0.24,
) -> None:
    """One tree, about as wide as 0.75 of its height; the crown begins at `stem` of it.

    A shrub has no stem.
    """
    random = canvas.random
    spread = 0.37 * height_m * random.uniform(0.8, 1.15)
    half = 1.35 * spread / distance_m
    columns = canvas.columns(azimuth, half)
    top_deg = min(math.degrees(math.atan((1.1 * height_m - canvas.eye_m) / distance_m)), 44.0)
    rows = canvas.rows(-math.degrees(math.atan(canvas.eye_m / distance_m)) - 0.3, top_deg)
    z = canvas.height_m(rows, distance_m)
    away = (canvas.azimuth[columns] - azimuth + math.pi) % (2 * math.pi) - math.pi
    x = (away * distance_m).astype(np.float32)[None, :]
    pixel_m = canvas.step * distance_m
    tint = np.array([random.uniform(0.85, 1.3), random.uniform(0.9, 1.15), 1.0])
    lit = foliage_light(light) / math.pi

    # Trunk, thinner upwards and a little bent.
    middle = 0.03 * height_m * np.sin(2.2 * z / height_m + random.uniform(0, 6))
    thick = np.maximum(0.022 * height_m * (1.0 - 0.8 * z / height_m), 0.02)
    trunk = edge(thick - np.abs(x - middle), pixel_m) * edge(0.7 * height_m - z, pixel_m)
    trunk *= edge(z, pixel_m)
    side = (1.0 - 0.4 * (x - middle) / thick).astype(np.float32)
    canvas.paint(rows, columns, trunk, BARK * lit, np.clip(side, 0.3, 1.5))

    field, shade = _crown(random, x, z, (stem * height_m, height_m), spread)
    leaf = canvas.noise(canvas.leaves, rows, columns)
    clump = canvas.noise(canvas.clumps, rows, columns)
    # The sky shows between leaves at the rim and in a few gaps.
    cover = smooth_step(0.0, 0.22, field + 0.09 * leaf + 0.07 * clump)
    shade = shade * (1.0 + 0.20 * leaf + 0.14 * clump)
    colour = canvas.faded(LEAVES * tint * lit, distance_m)
    canvas.paint(rows, columns, cover, colour, np.maximum(shade, 0.1))


def _crown(
    random: np.random.Generator, x: F32, z: F32, reach_m: tuple[float, float], spread: float
) -> tuple[F32, F32]:
    """Depth inside the nearest of a crown's bunches of leaves, and how it is lit."""
    field = np.full((z.shape[0], x.shape[1]), -9.0, np.float32)
    shade = np.ones_like(field)
    low, high = reach_m
    for number in range(18):
        t = (number + random.uniform(0.0, 1.0)) / 18
        reach = spread * math.sin(math.pi * (0.18 + 0.76 * t)) * 0.62
        cx, cz = random.uniform(-reach, reach), low + (high - low) * (0.16 + 0.70 * t)
        r = spread * random.uniform(0.36, 0.56) * (1.0 - 0.35 * t)
        depth = 1.0 - np.sqrt(((x - cx) / r) ** 2 + ((z - cz) / (0.8 * r)) ** 2)
        nearer = depth > field
        lit = 0.62 + 0.30 * (z - cz) / r + 0.35 * t - 0.10 * (x - cx) / r
        shade = np.where(nearer, lit.astype(np.float32), shade)
        field = np.maximum(field, depth.astype(np.float32))
    return field, shade


def lawn(canvas: Canvas, light: Lighting, house_m: float) -> None:
    """Grass to the horizon, a terrace near by, the shadow of a house so high on both."""
    rows = canvas.rows(-90.0, -40.0)
    terrace, _ = _terrace(light, house_m, _ground_m(canvas, rows))
    canvas.paint(rows, slice(None), np.ones((1, 1), np.float32), terrace)
    rows = canvas.rows(-42.0, 0.0)
    distance = _ground_m(canvas, rows)
    # Dry patches lie on the ground: their places are metres, not pixels.
    x, y = distance * np.sin(canvas.azimuth), distance * np.cos(canvas.azimuth)
    patch = np.sin(0.9 * x + 1.3 * np.sin(0.37 * y)) * np.sin(0.7 * y + 1.1 * np.sin(0.53 * x))
    shade = 1.0 + np.float32(0.14) * np.exp(-distance / 30.0) * patch
    shade *= 1.0 + 0.07 * canvas.noise(canvas.leaves, rows, slice(None))
    stone, in_sun = _terrace(light, house_m, distance)
    grass = GRASS * (light.sky + in_sun * light.sun_level) / math.pi
    colour = stone + smooth_step(3.4, 3.5, distance)[..., None] * (grass - stone)
    # The terrace is even; noise is for the grass.
    shade = np.where(distance > 3.45, shade, np.float32(1.0))
    canvas.paint(rows, slice(None), np.ones((1, 1), np.float32), colour, shade)


def _ground_m(canvas: Canvas, rows: slice) -> F32:
    """Plan distance of level ground at each row, (rows, 1)."""
    down = np.maximum(-canvas.elevation[rows], 1e-4)
    return np.asarray(canvas.eye_m / np.tan(down), np.float32)[:, None]


def _terrace(light: Lighting, house_m: float, distance: F32) -> tuple[F32, F32]:
    """Luminance of the terrace (rows, 1 or n, 3), and how much sun falls there (..., 1)."""
    shadow_m = house_m * np.asarray(light.shadow, np.float32)
    in_sun = smooth_step(shadow_m - 0.3, shadow_m + 0.3, distance)[..., None]
    stone = STONE * (0.8 * light.sky + in_sun * light.sun_level) / math.pi
    return np.asarray(stone, np.float32), in_sun
