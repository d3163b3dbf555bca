"""Facades, roofs and houses, painted flat from far to near."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.stage.backdrop.canvas import Canvas, edge
from previz.stage.backdrop.skies import Lighting
from previz.stage.lattice import F32

Array = NDArray[np.float64]

WALLS = np.array(
    [
        [0.30, 0.13, 0.085],
        [0.38, 0.20, 0.13],
        [0.55, 0.48, 0.36],
        [0.62, 0.58, 0.50],
        [0.34, 0.32, 0.29],
        [0.44, 0.34, 0.22],
    ]
)
"""Brick, light brick, sandstone, pale render, grey render, ochre: reflectance from memory."""
ROOFS = np.array(
    [[0.23, 0.075, 0.045], [0.16, 0.06, 0.04], [0.075, 0.08, 0.09], [0.11, 0.10, 0.095]]
)
"""Two clay tiles, slate, weathered concrete tile: reflectance from memory."""
FRAME = np.array([0.6, 0.59, 0.56])
CURTAIN = np.array([0.5, 0.47, 0.42])
FLOOR_M = 3.1
"""Reflectance of window frames and of curtains behind glass, height of a floor: estimates."""


@dataclass(frozen=True, eq=False)
class BuildingRow:
    """Buildings side by side, per building (n,).

    wall, roof   numbers in `WALLS` and `ROOFS`
    eaves_m      height of the wall
    ridge_m      height of the ridge over the eaves
    tone         factor on the wall's colour
    hip          how far the roof's ends lean in, metres a metre of height; 0 for party walls
    gable        whether the gable is towards the one who looks
    """

    wall: NDArray[np.int64]
    roof: NDArray[np.int64]
    eaves_m: Array
    ridge_m: Array
    tone: Array
    hip: Array
    gable: NDArray[np.bool_]

    @classmethod
    def of(
        cls,
        random: np.random.Generator,
        count: int,
        eaves_m: tuple[float, float],
        ridge_m: tuple[float, float],
    ) -> BuildingRow:
        """`count` buildings of the given heights."""
        wall = random.integers(0, len(WALLS), count)
        # No two neighbours alike.
        same = wall == np.roll(wall, 1)
        return cls(
            wall=np.where(same, (wall + 1) % len(WALLS), wall),
            roof=random.integers(0, len(ROOFS), count),
            eaves_m=random.uniform(*eaves_m, count),
            ridge_m=random.uniform(*ridge_m, count),
            tone=random.uniform(0.8, 1.15, count),
            hip=np.where(random.random(count) < 0.35, random.uniform(0.4, 0.9, count), 0.0),
            gable=random.random(count) < 0.22,
        )


def wall_light(light: Lighting) -> Array:
    """Illuminance (3,) on a wall that faces the one who looks."""
    return light.wall + light.sun_wall


def window_light(canvas: Canvas, light: Lighting, count: int) -> Array:
    """Luminance (count, 3) of windows seen from outside: dark rooms, curtains, lit rooms."""
    random = canvas.random
    # Glass reflects a tenth of the light of the sky behind the viewer.
    reflected = 0.09 * light.sky / math.pi * 0.8
    room = 0.03 * wall_light(light) / math.pi * random.uniform(0.3, 1.5, (count, 1))
    curtain = CURTAIN * 0.45 * wall_light(light) / math.pi
    behind = np.where(random.random((count, 1)) < 0.3, curtain, room)
    shine = light.window * np.exp(random.normal(0.0, 0.6, (count, 1)))
    shine = shine * np.stack(
        [np.ones(count), random.uniform(0.85, 1.1, count), random.uniform(0.6, 1.3, count)], axis=1
    )
    lit = random.random((count, 1)) < light.lit_share
    return np.asarray(reflected + behind + np.where(lit, shine, 0.0))


def facades(
    canvas: Canvas,
    light: Lighting,
    row: BuildingRow,
    place: F32,
    distance_m: float | F32,
    rows: slice,
    width_m: float,
    open_to_sky: F32 | None = None,
) -> None:
    """Fronts with windows on a line of buildings `width_m` wide.

    place       (n,) metres along the line, for every column of the picture
    distance_m  plan distance of the line, one number or (1, n)
    open_to_sky (n,) cover that leaves gaps in the line, or None
    """
    z = canvas.height_m(rows, distance_m)
    unit = np.floor(place / width_m).astype(np.int64) % len(row.wall)
    x = place - np.floor(place / width_m) * np.float32(width_m)
    pixel_m = np.asarray(canvas.step * np.asarray(distance_m), np.float32)
    eaves = row.eaves_m.astype(np.float32)[unit][None, :]
    cover = edge(eaves - z, pixel_m) * edge(z, pixel_m)
    if open_to_sky is not None:
        cover = cover * open_to_sky[None, :]

    lit = wall_light(light)
    far = float(np.mean(distance_m))
    reflectance = WALLS[row.wall] * row.tone[:, None]
    walls = canvas.faded(reflectance * lit / math.pi, far).astype(np.float32)
    lamp = (reflectance * light.lamps / math.pi).astype(np.float32)
    # Fronts are darker near the ground, except where street lamps stand.
    foot = np.clip(0.72 + 0.28 * z / eaves, 0.6, 1.0)
    low = np.exp(-np.maximum(z, 0.0) / 3.0)
    shade = foot * (1.0 + 0.04 * canvas.noise(canvas.clumps, rows, slice(None)))
    # A cornice under the roof, its shadow below it, and the line between two houses.
    under = eaves - z
    shade = shade * (1.0 + 0.25 * (under < 0.35) - 0.30 * ((under > 0.35) & (under < 0.65)))
    joint = np.minimum(x, np.float32(width_m) - x)[None, :]
    shade = shade * (1.0 - 0.25 * np.clip(1.0 - joint / pixel_m, 0.0, 1.0))
    if light.lamps.any():
        walls = shade[..., None] * walls[unit] + low[..., None] * lamp[unit]
        canvas.paint(rows, slice(None), cover, walls)
    else:
        canvas.paint(rows, slice(None), cover, walls[unit], shade)
    _windows(canvas, light, row, unit, x, z, cover, rows, width_m, pixel_m, far)


def _windows(
    canvas: Canvas,
    light: Lighting,
    row: BuildingRow,
    unit: NDArray[np.int64],
    x: F32,
    z: F32,
    cover: F32,
    rows: slice,
    width_m: float,
    pixel_m: F32,
    far: float,
) -> None:
    """Sash windows in pale frames, one grid to each front, taller at the foot."""
    axes = max(2, round(width_m / 2.2))
    step = np.float32(width_m / axes)
    axis = np.floor(x / step)
    across = np.abs(x - (axis + 0.5) * step)[None, :]
    storey = np.clip(np.floor((z - 0.6) / FLOOR_M), 0.0, 9.0)
    up = z - 0.6 - storey * FLOOR_M
    room_for = row.eaves_m.astype(np.float32)[unit][None, :] - (storey + 1.0) * FLOOR_M - 0.4
    tall = np.where(storey == 0, np.float32(2.1), np.float32(1.75))
    inside = np.minimum(0.52 - across, np.minimum(up - 0.75, 0.75 + tall - up))
    shown = cover * (room_for > 0.0)
    frame = edge(inside + 0.10, pixel_m) * shown
    glass = edge(inside, pixel_m) * shown
    bar = np.abs(up - 0.75 - 0.5 * tall) < 0.04
    glass = glass * (1.0 - 0.8 * bar)
    lit = wall_light(light)
    canvas.paint(rows, slice(None), frame, canvas.faded(FRAME * lit / math.pi * 0.8, far))
    lights = canvas.faded(window_light(canvas, light, 1024), far).astype(np.float32)
    number = (unit * 37 + axis.astype(np.int64) * 11)[None, :] + storey.astype(np.int64) * 101
    canvas.paint(rows, slice(None), glass, lights[number % 1024])


def roofs(
    canvas: Canvas,
    light: Lighting,
    row: BuildingRow,
    place: F32,
    distance_m: float | F32,
    rows: slice,
    width_m: float,
    open_to_sky: F32 | None = None,
) -> None:
    """Roofs over a line of buildings, eaves towards the one who looks, and their chimneys."""
    z = canvas.height_m(rows, distance_m)
    unit = np.floor(place / width_m).astype(np.int64) % len(row.wall)
    x = (place - np.floor(place / width_m) * np.float32(width_m))[None, :]
    pixel_m = np.asarray(canvas.step * np.asarray(distance_m), np.float32)
    eaves = row.eaves_m.astype(np.float32)[unit][None, :]
    high = row.ridge_m.astype(np.float32)[unit][None, :]
    far = float(np.mean(distance_m))
    gap = 1.0 if open_to_sky is None else open_to_sky[None, :]

    # Chimneys stand behind the ridge: at one end of each house, or where its ends lean in,
    # beside the ridge's middle, or they would stand on nothing.
    leans = row.gable | (row.hip > 0.0)
    beside = np.where(leans, 0.5 * width_m + 0.5, 0.9).astype(np.float32)[unit][None, :]
    stack = edge(0.36 - np.abs(x - beside), pixel_m) * edge(eaves + high + 1.3 - z, pixel_m)
    stack = stack * (z > eaves) * gap
    walls = canvas.faded(WALLS[row.wall] * wall_light(light) / math.pi, far).astype(np.float32)
    canvas.paint(rows, slice(None), stack, 0.6 * walls[unit])

    # Ends lean in; a gable leans in to a point and is a wall under two edges of roof.
    lean = np.where(row.gable, 0.5 * width_m / row.ridge_m, row.hip).astype(np.float32)
    end_m = np.minimum(x, np.float32(width_m) - x) - lean[unit][None, :] * (z - eaves)
    cover = edge(eaves + high - z, pixel_m) * edge(z - eaves, pixel_m) * edge(end_m, pixel_m) * gap
    lit = 0.75 * light.sky + 0.25 * light.wall + light.sun_roof
    colour = canvas.faded(ROOFS[row.roof] * row.tone[:, None] * lit / math.pi, far)
    colour = colour.astype(np.float32)[unit]
    patchy = 1.0 + 0.08 * canvas.noise(canvas.clumps, rows, slice(None))
    # Weather bleaches a roof towards its ridge and darkens it over the gutter; courses of
    # tiles show where a pixel is finer than they are.
    slope = np.clip((z - eaves) / high, 0.0, 1.0)
    courses = np.sin((z - eaves) * np.float32(2.0 * math.pi / 0.3))
    fine = np.clip(0.12 / pixel_m - 1.0, 0.0, 1.0)
    patchy = patchy * (0.86 + 0.24 * slope + 0.07 * fine * courses)
    ridge = np.clip(1.0 - np.abs(eaves + high - z) / (0.12 + pixel_m), 0.0, 1.0)
    canvas.paint(rows, slice(None), cover, colour, patchy * (1.0 + 0.25 * ridge))
    face = edge(end_m - 0.35, pixel_m) * row.gable[unit][None, :]
    canvas.paint(rows, slice(None), cover * face, 0.92 * walls[unit], patchy)

    # A rooflight on some of the rest, half way up, throwing back the sky.
    glass = np.minimum(0.4 - np.abs(x - 0.62 * width_m), 0.55 - np.abs(z - eaves - 0.5 * high))
    some = ((unit * 7 + row.roof[unit]) % 5 < 2) & ~row.gable[unit]
    sky = canvas.faded(0.16 * light.sky / math.pi, far)
    canvas.paint(rows, slice(None), cover * edge(glass, pixel_m) * some[None, :], sky)


def house(
    canvas: Canvas, light: Lighting, azimuth: float, distance_m: float, width_m: float = 10.0
) -> None:
    """One house in its garden, gable roof, two storeys."""
    random = canvas.random
    columns = canvas.columns(azimuth, 0.62 * width_m / distance_m)
    rows = canvas.rows(
        -math.degrees(math.atan(canvas.eye_m / distance_m)) - 0.3,
        math.degrees(math.atan(10.5 / distance_m)),
    )
    z = canvas.height_m(rows, distance_m)
    away = (canvas.azimuth[columns] - azimuth + math.pi) % (2 * math.pi) - math.pi
    x = (away * distance_m).astype(np.float32)[None, :]
    pixel_m = canvas.step * distance_m
    eaves, ridge = 5.4, 8.6
    half = np.float32(0.5 * width_m)
    body = edge(half - np.abs(x), pixel_m) * edge(eaves - z, pixel_m) * edge(z, pixel_m)
    wall = WALLS[random.integers(0, len(WALLS))] * wall_light(light) / math.pi
    canvas.paint(rows, columns, body, canvas.faded(wall, distance_m))
    slope = (z - eaves) / (ridge - eaves)
    roof = edge(0.5 * width_m + 0.4 - 1.2 * slope - np.abs(x), pixel_m)
    roof = roof * edge(ridge - z, pixel_m) * edge(z - eaves + 0.2, pixel_m)
    tiles = ROOFS[random.integers(0, len(ROOFS))] * (0.8 * light.sky + light.sun_roof) / math.pi
    canvas.paint(rows, columns, roof, canvas.faded(tiles, distance_m))
    lights = window_light(canvas, light, 8)
    for number, (cx, cz) in enumerate((a, b) for b in (1.6, 4.2) for a in (-3.2, -1.1, 1.1, 3.2)):
        inside = np.minimum(0.55 - np.abs(x - cx), 0.75 - np.abs(z - cz))
        frame = canvas.faded(FRAME * wall_light(light) / math.pi * 0.8, distance_m)
        canvas.paint(rows, columns, edge(inside + 0.1, pixel_m), frame)
        canvas.paint(rows, columns, edge(inside, pixel_m), lights[number])
