"""What lies around the house: garden, street, rooftops or nothing but ground and sky."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

import numpy as np

from previz.stage.backdrop.buildings import BuildingRow, facades, house, roofs, wall_light
from previz.stage.backdrop.canvas import Array, Canvas, edge
from previz.stage.backdrop.lamps import far_lamps
from previz.stage.backdrop.plants import hedge, lawn, tree, treeline
from previz.stage.backdrop.skies import Lighting
from previz.stage.lattice import smooth_step

View = Literal["street", "garden", "rooftops", "plain"]

EYE_M: dict[View, float] = {"garden": 2.0, "street": 4.6, "rooftops": 15.5, "plain": 2.0}
"""Height of a seated eye over the ground outside: ground floor, first floor, fifth floor.
Estimates."""

ASPHALT = np.array([0.085, 0.085, 0.088])
PAVING = np.array([0.26, 0.25, 0.23])
FIELD = np.array([0.17, 0.17, 0.10])
"""Reflectances: estimates, from memory."""


def garden(canvas: Canvas, light: Lighting) -> None:
    """Lawn, hedge, trees at every distance, a wood behind, houses here and there."""
    random = canvas.random
    lit, light = light, replace(light, lamps=np.zeros(3))  # no street lamp shines this far
    lawn(canvas, light, 6.5)
    treeline(canvas, light, 95.0, (9.0, 16.0))
    far_lamps(canvas, lit, 24, (60.0, 160.0))  # of a road before the wood, seen between trees
    for azimuth in _spread(random, 4, 0.25):
        house(canvas, light, azimuth, random.uniform(42.0, 60.0), random.uniform(9.0, 13.0))
    treeline(canvas, light, 38.0, (1.5, 5.5))
    for azimuth in _spread(random, 12, 0.35):
        tree(canvas, light, azimuth, random.uniform(20.0, 34.0), random.uniform(7.0, 11.0))
    hedge(canvas, light, 16.0, 1.7)
    for azimuth in _spread(random, 26, 0.45):
        tree(canvas, light, azimuth, random.uniform(13.5, 15.5), random.uniform(0.7, 2.4), 0.0)
    for azimuth in _spread(random, 7, 0.35):
        tree(canvas, light, azimuth, random.uniform(8.5, 13.0), random.uniform(3.4, 6.0), 0.3)


def street(canvas: Canvas, light: Lighting) -> None:
    """Fronts across the street on every side, gaps at the corners, trees, cars at the kerb."""
    random = canvas.random
    half_m = 15.0
    treeline(canvas, light, 140.0, (10.0, 18.0))
    far = BuildingRow.of(random, 40, (8.0, 14.0), (2.0, 3.5))
    around = (canvas.azimuth * np.float32(80.0)).astype(np.float32)
    rows = canvas.rows(-4.0, 12.0)
    roofs(canvas, light, far, around, 80.0, rows, 12.0)
    facades(canvas, light, far, around, 80.0, rows, 12.0)
    _roads(canvas, light, half_m)
    far_lamps(canvas, light, 60, (70.0, 140.0))  # down the side streets, over the houses hidden

    side = np.floor(canvas.azimuth / np.float32(math.pi / 2) + 0.5)
    away = canvas.azimuth - side * np.float32(math.pi / 2)
    distance = (half_m / np.cos(away)).astype(np.float32)[None, :]
    along = (half_m * np.tan(away)).astype(np.float32)
    place = along + (side % 4) * np.float32(40.0) + 20.0
    closed = edge(12.6 - np.abs(along), 0.1)
    width_m = 6.3
    # The line starts at -12.6 on each side, so that no house is cut by a corner.
    place = place - np.float32(20.0 - 12.6) + (side % 4) * np.float32(4 * width_m - 40.0)
    row = BuildingRow.of(random, 16, (9.3, 12.9), (1.8, 3.0))
    roofs(canvas, light, row, place, distance, canvas.rows(11.0, 42.0), width_m, closed)
    facades(canvas, light, row, place, distance, canvas.rows(-18.0, 30.0), width_m, closed)
    for azimuth in _spread(random, 6, 0.4):
        tree(canvas, light, azimuth, 12.5, random.uniform(5.0, 7.5))
    for quarter in range(4):
        for offset in (-7.5, -2.3, 3.1, 8.2):
            if random.random() < 0.7:
                _car(canvas, light, quarter * math.pi / 2, offset + random.uniform(-0.4, 0.4))


def rooftops(canvas: Canvas, light: Lighting) -> None:
    """Roofs in rows below, chimneys against the sky, woods on the horizon."""
    random = canvas.random
    _ground(canvas, ASPHALT * light.sky * 0.5 / math.pi)
    treeline(canvas, light, 900.0, (20.0, 42.0))
    for distance_m, width_m, eaves_m, ridge_m in (
        (420.0, 22.0, (9.0, 21.0), (2.0, 5.0)),
        (210.0, 15.0, (8.0, 16.0), (2.5, 4.5)),
        (115.0, 12.0, (7.5, 13.5), (2.5, 4.0)),
        (66.0, 10.0, (7.0, 11.5), (2.5, 4.0)),
        (38.0, 9.0, (6.5, 9.5), (2.8, 4.2)),
        (23.0, 8.5, (6.0, 8.0), (2.8, 4.0)),
    ):
        count = round(2.0 * math.pi * distance_m / width_m)
        row = BuildingRow.of(random, count, eaves_m, ridge_m)
        # A whole number of houses round, so that the seam shows none cut.
        place = canvas.azimuth * np.float32(count * width_m / (2 * math.pi))
        place = (place + random.uniform(0.0, width_m)).astype(np.float32)
        low = -math.degrees(math.atan(canvas.eye_m / distance_m)) - 0.5
        high = math.degrees(math.atan((eaves_m[1] + ridge_m[1] + 2.0 - canvas.eye_m) / distance_m))
        rows = canvas.rows(max(low, -40.0), high + 0.5)
        roofs(canvas, light, row, place, distance_m, rows, width_m)
        facades(canvas, light, row, place, distance_m, rows, width_m)
        if distance_m < 200.0:
            for azimuth in _spread(random, round(6 + distance_m / 15), 0.5):
                tree(canvas, light, azimuth, 0.85 * distance_m, random.uniform(7.0, 11.0))


def plain(canvas: Canvas, light: Lighting) -> None:
    """Level ground to a low line of hills."""
    _ground(canvas, FIELD * (light.sky + light.sun_level) / math.pi)
    treeline(canvas, light, 1400.0, (10.0, 55.0))
    far_lamps(canvas, light, 60, (250.0, 1300.0))


VIEWS: dict[View, Callable[[Canvas, Lighting], None]] = {
    "garden": garden,
    "street": street,
    "rooftops": rooftops,
    "plain": plain,
}


def _spread(random: np.random.Generator, count: int, jitter: float) -> list[float]:
    """Azimuths evenly round, each moved by up to `jitter` of a step."""
    steps = (np.arange(count) + random.uniform(-jitter, jitter, count)) / count
    return [float(a) for a in (steps + random.uniform()) % 1.0 * 2.0 * math.pi]


def _ground(canvas: Canvas, colour: Array) -> None:
    height = canvas.planes.shape[1]
    rows = slice(height // 2, height)
    distance = canvas.eye_m / np.tan(np.maximum(-canvas.elevation[rows], 1e-4))
    left = np.exp(-distance / canvas.haze_m)[:, None]
    shown = left * colour + (1.0 - left) * canvas.haze
    canvas.paint(rows, slice(None), np.ones((1, 1), np.float32), shown[:, None, :])


def _roads(canvas: Canvas, light: Lighting, half_m: float) -> None:
    """Pavements, carriageway and its marks; distances are those of a square round the house."""
    shade = 0.75 * light.sky + light.lamps
    _ground(canvas, PAVING * shade / math.pi)
    # The pavement before the house is plain from 5 m inwards, 43 degrees down.
    rows = canvas.rows(-44.0, -1.0)
    distance = (canvas.eye_m / np.tan(-canvas.elevation[rows]))[:, None]
    x = np.abs(distance * np.sin(canvas.azimuth))
    y = np.abs(distance * np.cos(canvas.azimuth))
    out = np.maximum(x, y)
    road = (out > 4.95) & (out < 12.45) | (out > half_m)
    mark = (np.abs(out - 8.7) < 0.07) & (np.minimum(x, y) % 4.0 < 2.0)
    tone = 1.0 + 0.05 * canvas.noise(canvas.clumps, rows, slice(None))
    colours = np.stack([PAVING, ASPHALT, np.full(3, 0.45)]) / math.pi
    number = road + (road & mark).astype(np.int8)
    # Four shades: shadow or sun; each pixel picks one.
    shadow_m = 12.0 * np.asarray(light.shadow, np.float32)
    in_sun = smooth_step(shadow_m - 0.4, shadow_m + 0.4, out)
    dark = (colours * shade).astype(np.float32)[number]
    dark += in_sun[..., None] * (colours * light.sun_level).astype(np.float32)[number]
    canvas.paint(rows, slice(None), np.ones((1, 1), np.float32), dark, tone)


def _car(canvas: Canvas, light: Lighting, quarter: float, offset_m: float) -> None:
    """A plain car at the kerb across the street, its side towards the window."""
    distance_m = 11.3
    centre = math.atan(offset_m / distance_m)
    columns = canvas.columns(quarter + centre, 0.26)
    rows = canvas.rows(-26.0, -9.0)
    away = (canvas.azimuth[columns] - quarter + math.pi) % (2 * math.pi) - math.pi
    x = (distance_m * np.tan(away) - offset_m).astype(np.float32)[None, :]
    z = canvas.height_m(rows, (distance_m / np.cos(away)).astype(np.float32)[None, :])
    pixel_m = canvas.step * distance_m * 1.2
    paint = np.array([[0.02] * 3, [0.35] * 3, [0.6] * 3, [0.18, 0.19, 0.2], [0.03, 0.05, 0.10]])
    body = paint[canvas.random.integers(0, len(paint))] * wall_light(light) / math.pi
    body = body + 0.05 * light.sky / math.pi
    glass = 0.12 * light.sky / math.pi
    lower = edge(np.minimum(2.1 - np.abs(x), np.minimum(0.92 - z, z - 0.30)), pixel_m)
    cabin = np.minimum(1.45 - z, z - 0.9)
    cabin = np.minimum(cabin, 1.25 + 0.5 * (0.92 - z) - np.abs(x + 0.15))
    shadow = edge(np.minimum(2.2 - np.abs(x), np.minimum(0.34 - z, z + 0.25)), 3 * pixel_m)
    canvas.paint(rows, columns, 0.75 * shadow, ASPHALT * 0.15 * light.sky / math.pi)
    canvas.paint(rows, columns, edge(cabin, pixel_m), body)
    canvas.paint(rows, columns, edge(cabin - 0.1, pixel_m), glass)
    bright = np.clip(0.8 + 0.5 * (z - 0.5), 0.5, 1.2).astype(np.float32)
    canvas.paint(rows, columns, lower, body, bright)
    for wheel in (-1.35, 1.3):
        tyre = edge(0.32 - np.hypot(x - wheel, z - 0.32), pixel_m)
        canvas.paint(rows, columns, tyre, 0.02 * light.wall / math.pi)
