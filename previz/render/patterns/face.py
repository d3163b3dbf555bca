"""Skin of a head, on the square that `geometry.people.chart` lays heads out on.

Heights are millimetres. Lines lie where muscles fold the skin and deepen with age; depths of
lines (0.1 to 0.5 mm), pores 1 mm apart and furrows of 0.03 to 0.08 mm are typical of adults,
from memory. How many freckles, spots and moles there are is an estimate.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from previz.geometry.people.archive import Array, BodyData, default_archive, load_archive
from previz.geometry.people.chart import SIDE_M, Complexion, head_points, places
from previz.geometry.people.skin import beard_zone
from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import F32, Random, cells, fractal, noise, smooth_step

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

SIDE_PX = 1280
COARSE_PX = 160
FAR_M = 0.02  # from the nearest point of the head: there is none
PORE_M = 0.0011
HAIR_M = 0.0009  # between the roots of a beard
Way = Sequence[tuple[float, float]]
Fold = Literal["smile", "raised"]


@dataclass(frozen=True)
class Line:
    """A line of the face: its way in millimetres from between the eyes (x to the person's left,
    z up), how deep it is at most, how wide, from which age on it shows, and which of the two folds
    of an expression deepens it."""

    way: Way
    depth_mm: float
    width_m: float
    from_years: float
    fold: Fold | None = None

    def strength(self, complexion: Complexion) -> float:
        """How much of its depth it has, 0 to 1.5: by age, and by what the face does.

        Folds of a smile show at any age, faintly on the young: an estimate, judged by eye.
        """
        years = complexion.age_years
        own = float(np.clip((years - self.from_years) / 38.0, 0.0, 1.1) ** 0.8)
        if self.fold is None:
            return own
        share = complexion.smile_pct if self.fold == "smile" else complexion.raised_pct
        lasting = float(np.clip((years - 18.0) / 40.0, 0.0, 1.0))
        return min(own + share / 100.0 * (0.22 + 0.60 * lasting), 1.5)


_ONE_SIDE = (
    # Crow's feet, under the eye, from the nose round the mouth, down from its corner.
    Line([(50, 3), (56, 7), (62, 12)], 0.28, 0.0009, 32, "smile"),
    Line([(51, 0), (58, 1), (66, 2)], 0.30, 0.0009, 30, "smile"),
    Line([(50, -4), (57, -8), (64, -10)], 0.28, 0.0009, 34, "smile"),
    Line([(53, -8), (58, -14), (62, -20)], 0.16, 0.0010, 50),
    Line([(18, -11), (26, -16), (36, -17), (45, -13)], 0.26, 0.0011, 30, "smile"),
    Line([(17, -15), (25, -22), (36, -24), (46, -20)], 0.22, 0.0013, 45),
    Line([(22, -9), (32, -12), (42, -10)], 0.14, 0.0007, 28),
    Line([(20, -36), (26, -46), (31, -58), (35, -70), (36, -76)], 0.55, 0.0019, 25, "smile"),
    Line([(28, -77), (32, -84), (35, -95)], 0.36, 0.0017, 42),
    Line([(41, -60), (45, -72), (44, -84)], 0.20, 0.0016, 60),
    Line([(7, 10), (8, 19), (6, 29)], 0.30, 0.0011, 35),
)
_ACROSS = (
    # Forehead, root of the nose, under the lip, neck.
    Line([(-38, 37), (-20, 42), (0, 40), (20, 43), (38, 37)], 0.26, 0.0013, 30, "raised"),
    Line([(-42, 47), (-20, 52), (0, 49), (22, 52), (42, 46)], 0.30, 0.0013, 32, "raised"),
    Line([(-40, 57), (-18, 61), (0, 59), (20, 61), (40, 56)], 0.24, 0.0013, 40, "raised"),
    Line([(-30, 66), (0, 68), (30, 65)], 0.16, 0.0013, 50),
    Line([(-9, 3), (0, 5), (9, 3)], 0.22, 0.0010, 45),
    Line([(-13, -91), (0, -93), (13, -91)], 0.35, 0.0020, 25),
    Line([(-42, -150), (-15, -158), (15, -157), (42, -149)], 0.45, 0.0018, 30),
    Line([(-44, -172), (-14, -180), (14, -179), (44, -171)], 0.45, 0.0018, 38),
    Line([(-44, -192), (0, -199), (44, -191)], 0.35, 0.0018, 50),
)


def face(complexion: Complexion) -> PatternFigure:
    """The figure of one person's head: share of the second colour is blood."""
    random = np.random.default_rng([complexion.seed, 11])
    sheet = _Sheet.of(load_archive(default_archive()))
    old = float(np.clip((complexion.age_years - 25.0) / 50.0, 0.0, 1.2))
    light = float(np.clip((complexion.ita_deg + 10.0) / 60.0, 0.0, 1.0))
    grain = _grain().rolled(random)
    # Blood in patches, never even; the fine grain of skin in its colour.
    blood = 0.30 + 0.075 * grain.patches
    tone = 1.0 + 0.022 * grain.fine + 0.020 * grain.elsewhere
    height = np.zeros_like(tone)
    _pores(sheet, grain, old, tone, height)
    for line in _lines_of(random, complexion.age_years):
        _carve(sheet, line, line.strength(complexion), random, tone, blood, height)
    # Old skin is slack: fine creases that cross each other.
    height += np.float32(0.045 * max(old - 0.4, 0.0)) * grain.creases
    _lips(sheet, random, old, tone, height)
    _spots(sheet, random, complexion, light, tone, blood, height)
    if complexion.stubble_pct:
        _stubble(sheet, grain, random, complexion.stubble_pct / 100.0, tone, height)
    return PatternFigure(
        SIDE_M, np.clip(blood, 0.0, 1.0), np.clip(tone, 0.25, 1.6), height.astype(np.float32)
    )


@dataclass(frozen=True, eq=False)
class _Sheet:
    """The square: masks of the head on it, and where points of a face seen from before lie."""

    lips: F32
    beard: F32
    oily: F32
    onto: _Onto

    @staticmethod
    @lru_cache(maxsize=1)
    def of(data: BodyData) -> _Sheet:
        """The square of a base body."""
        from scipy.ndimage import zoom  # noqa: PLC0415 - only who draws a face anew needs it
        from scipy.spatial import cKDTree  # noqa: PLC0415

        index, at = head_points(data)
        body = data.base[index]
        eyes = [data.base[data.part(f"eye_{side}")].mean(axis=0) for side in ("left", "right")]
        middle = 0.5 * (eyes[0] + eyes[1])
        nose = _near(body, middle + np.array([0.0, -0.04, -0.036]), 0.016)
        below = [np.array([0.004 * np.sign(e[0]), -0.02, -0.034]) for e in eyes]
        cheeks = sum(_near(body, e + b, 0.016) for e, b in zip(eyes, below, strict=True))
        brow = _near(body, middle + np.array([0.0, -0.02, 0.045]), 0.028)
        chin = _near(body, middle + np.array([0.0, -0.02, -0.10]), 0.016)
        oily = np.clip(1.2 * nose + 0.8 * cheeks + 0.6 * brow + 0.6 * chin, 0.0, 1.2)
        values = np.stack([data.masks["lips"][index], beard_zone(data, data.base)[index], oily], 1)
        coarse = (np.arange(COARSE_PX) + 0.5) * SIDE_M / COARSE_PX
        grid = np.stack(np.meshgrid(coarse, coarse), axis=-1)
        planes = _between(at, values, grid)
        large = [
            zoom(planes[..., k].astype(np.float32), SIDE_PX / COARSE_PX, order=1) for k in range(3)
        ]
        front = body[:, 1] < middle[1] + 0.075
        flat = (body[front][:, [0, 2]] - middle[[0, 2]]) * 1000.0
        onto = _Onto(cKDTree(flat), places(data, body[front]))
        return _Sheet(large[0], large[1], large[2], onto)

    def along(self, way: Way, step_mm: float = 0.6) -> Array:
        """A way over the face as points on the square (k, 2), smoothed."""
        knots = np.asarray(way, float)
        for _ in range(2):
            inner = np.empty((2 * len(knots), 2))
            inner[0], inner[-1] = knots[0], knots[-1]
            inner[1:-1:2] = 0.75 * knots[:-1] + 0.25 * knots[1:]
            inner[2:-1:2] = 0.25 * knots[:-1] + 0.75 * knots[1:]
            knots = inner
        length = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(knots, axis=0), axis=1))])
        t = np.linspace(0.0, length[-1], max(int(length[-1] / step_mm), 4))
        dense = np.stack([np.interp(t, length, knots[:, k]) for k in (0, 1)], axis=1)
        found = self.onto(dense)
        return np.asarray(found[np.isfinite(found).all(axis=1)])


def _near(points: Array, centre: Array, radius_m: float) -> Array:
    return np.asarray(np.exp(-((points - centre) ** 2).sum(axis=1) / (2.0 * radius_m**2)))


@dataclass(frozen=True, eq=False)
class _Onto:
    """From a face seen from before, in millimetres, to the square: a plane through what is near.

    A triangulation would do the same, and take a second to be made ready.
    """

    seen: cKDTree
    places: Array

    def __call__(self, points_mm: Array) -> Array:
        """Places (n, 2) of points (n, 2) in metres; not a number where there is no face."""
        away, index = self.seen.query(points_mm, k=8)
        apart = self.seen.data[index] - points_mm[:, None]
        rows = np.concatenate([np.ones((*away.shape, 1)), apart], axis=2)
        weighted = rows * (1.0 / (away + 0.5) ** 2)[..., None]
        # A touch of stiffness, so that points in one line still give a plane.
        squares = np.einsum("nki,nkj->nij", weighted, rows) + 1e-4 * np.eye(3)
        found = np.linalg.solve(squares, np.einsum("nki,nkj->nij", weighted, self.places[index]))
        return np.asarray(np.where(away[:, :1] < FAR_M * 1000.0, found[:, 0], np.nan))


def _between(at: Array, values: Array, places: Array) -> Array:
    """Values (n, k) at scattered points, by their nearness at other places (..., 2); 0 far away."""
    from scipy.spatial import cKDTree  # noqa: PLC0415 - only who draws a face anew needs it

    away, index = cKDTree(at).query(places, k=4)
    weight = 1.0 / (away + 1e-5) ** 2
    mean = (weight[..., None] * values[index]).sum(axis=-2) / weight.sum(axis=-1)[..., None]
    return np.asarray(np.where(away[..., :1] < FAR_M, mean, 0.0))


@dataclass(frozen=True, eq=False)
class _Grain:
    """What all skin has: noise of about unit spread, pits from 0 to 1 and the furrows between."""

    patches: F32
    elsewhere: F32
    fine: F32
    creases: F32
    uneven: F32
    pit: F32
    furrow: F32
    dot: F32

    def rolled(self, random: Random) -> _Grain:
        """The same from another place on, for another person."""
        by = tuple(int(k) for k in random.integers(0, SIDE_PX, 2))
        return _Grain(*(np.roll(plane, by, (0, 1)) for plane in vars(self).values()))


@lru_cache(maxsize=1)
def _grain() -> _Grain:
    random, n = np.random.default_rng(5), SIDE_PX
    pits = cells(random, n, round(SIDE_M / PORE_M))
    hairs = cells(random, n, round(SIDE_M / HAIR_M), 1.0)
    creases = fractal(random, n, 90, 50, 3, 0.7) + fractal(random, n, 50, 90, 3, 0.7)
    patches = fractal(random, n, 14, 14, 5, 0.75)
    return _Grain(
        patches=patches,
        # The same patches half a head away, for what is darker without being redder.
        elsewhere=np.roll(patches, (n // 2, n // 3), (0, 1)),
        fine=fractal(random, n, 80, 80, 4, 1.0),
        creases=creases,
        uneven=np.clip(1.0 + 0.35 * noise(random, n, 60, 60), 0.3, 2.0).astype(np.float32),
        pit=np.exp(-((pits.nearest / np.float32(0.30)) ** 2)),
        furrow=np.exp(-(((pits.second - pits.nearest) / np.float32(0.22)) ** 2)),
        dot=np.exp(-((hairs.nearest / np.float32(0.28)) ** 2)),
    )


def _pores(sheet: _Sheet, grain: _Grain, old: float, tone: F32, height: F32) -> None:
    """Pits with a furrow between each and the next; wider and deeper where skin is oily."""
    deep = (0.030 + 0.080 * sheet.oily * (0.8 + 0.4 * old)) * grain.uneven
    height -= deep * grain.pit + np.float32(0.026 + 0.020 * old) * grain.uneven * grain.furrow
    tone *= 1.0 - np.minimum(0.06 + deep * 1.8, 0.22) * grain.pit


def _lines_of(random: Random, age_years: float) -> Iterator[Line]:
    """The lines of a face, both sides, each with its own luck."""
    for line in _ONE_SIDE:
        for side in (1.0, -1.0):
            yield _lucky(line, [(side * x, z) for x, z in line.way], random)
    for line in _ACROSS:
        yield _lucky(line, line.way, random)
    if age_years > 48.0:
        for x in np.linspace(-17.0, 17.0, 9) + random.uniform(-1.2, 1.2, 9):
            low = -62.5 - 0.012 * x * x
            way = [(x, low), (1.06 * x, low + 4.0), (1.10 * x, low + random.uniform(6.0, 9.0))]
            yield Line(way, 0.12 * random.uniform(0.4, 1.0), 0.0007, 48)


def _lucky(line: Line, way: Way, random: Random) -> Line:
    moved = [(x + random.normal(0.0, 0.7), z + random.normal(0.0, 0.9)) for x, z in way]
    luck = random.uniform(0.55, 1.1)
    from_years = line.from_years + random.uniform(-4, 6)
    return replace(line, way=moved, depth_mm=line.depth_mm * luck, from_years=from_years)


def _carve(
    sheet: _Sheet, line: Line, strength: float, random: Random, tone: F32, blood: F32, height: F32
) -> None:
    """Press one line into the skin: a groove between two low ridges, darker at its bottom."""
    # Drawn for every line, or spots would wander with an expression.
    luck = random.uniform(0.5, 1.1, 7)
    points = sheet.along(line.way)
    if strength <= 0.0 or len(points) < 4:
        return
    reach = 4.0 * line.width_m
    step = SIDE_M / SIDE_PX
    low = np.maximum(((points.min(axis=0) - reach) / step).astype(int), 0)
    high = np.minimum(((points.max(axis=0) + reach) / step).astype(int) + 1, SIDE_PX)
    if (high <= low).any():
        return
    u = (np.arange(low[0], high[0], dtype=np.float32) + 0.5) * step
    v = (np.arange(low[1], high[1], dtype=np.float32) + 0.5) * step
    away = np.full((len(v), len(u)), np.inf, np.float32)
    share = np.zeros_like(away)
    uneven = np.interp(np.arange(len(points)), np.linspace(0, len(points), 7), luck)
    ends = np.sin(np.pi * np.clip(np.linspace(0.04, 0.96, len(points)), 0.0, 1.0)) ** 0.6
    for (pu, pv), here in zip(points, uneven * ends, strict=True):
        # A window round each point: lines are long, and thin.
        i0, i1 = np.searchsorted(v, [pv - reach, pv + reach])
        j0, j1 = np.searchsorted(u, [pu - reach, pu + reach])
        far = (u[None, j0:j1] - pu) ** 2 + (v[i0:i1, None] - pv) ** 2
        nearer = far < away[i0:i1, j0:j1]
        away[i0:i1, j0:j1] = np.where(nearer, far, away[i0:i1, j0:j1])
        share[i0:i1, j0:j1] = np.where(nearer, here, share[i0:i1, j0:j1])
    across = np.sqrt(away) / np.float32(line.width_m)
    groove = share * np.exp(-(across**2) * 1.4)
    ridge = share * np.exp(-((across - 1.7) ** 2) * 1.2)
    deep = np.float32(1.5 * line.depth_mm * strength)
    window = (slice(low[1], high[1]), slice(low[0], high[0]))
    height[window] += deep * (0.30 * ridge - groove)
    tone[window] *= 1.0 - np.minimum(0.55 * deep, 0.32) * groove
    blood[window] += 0.45 * deep * groove


def _lips(sheet: _Sheet, random: Random, old: float, tone: F32, height: F32) -> None:
    """Lines down the lips."""
    n = SIDE_PX
    lips = smooth_step(0.35, 0.9, sheet.lips)
    lines = noise(random, n, 60, 320) + 0.5 * noise(random, n, 90, 520)
    height += lips * np.float32(0.05 + 0.04 * old) * lines
    tone *= 1.0 + lips * np.float32(0.06) * lines


def _spots(
    sheet: _Sheet,
    random: Random,
    complexion: Complexion,
    light: float,
    tone: F32,
    blood: F32,
    height: F32,
) -> None:
    """Freckles on light skin, moles on any, spots of age."""
    freckled = light > 0.8 and random.random() < 0.4
    for _ in range(int(freckled) * int(random.integers(90, 300))):
        x, z = random.normal(0.0, 30.0), random.normal(-26.0, 20.0)
        _dot(sheet, (x, z), random.uniform(0.0004, 0.0010), (0.20 * random.random() + 0.04, 0.25),
             tone, blood)  # fmt: skip
    age = complexion.age_years
    for _ in range(int(max(age - 42, 0) * (0.35 + 0.55 * light) * random.uniform(0.4, 1.2))):
        x, z = random.uniform(-62.0, 62.0), random.uniform(-95.0, 68.0)
        _dot(sheet, (x, z), random.uniform(0.0008, 0.0026), (random.uniform(0.04, 0.17), 0.18),
             tone, blood)  # fmt: skip
    for _ in range(int(random.integers(2, 8))):
        x, z = random.uniform(-60.0, 60.0), random.uniform(-150.0, 60.0)
        _dot(sheet, (x, z), random.uniform(0.0005, 0.0010), (random.uniform(0.25, 0.5), 0.3),
             tone, blood, height, 0.25)  # fmt: skip


def _dot(
    sheet: _Sheet,
    at_mm: tuple[float, float],
    radius_m: float,
    dark: tuple[float, float],
    tone: F32,
    blood: F32,
    height: F32 | None = None,
    high_mm: float = 0.0,
) -> None:
    """One spot: `dark` is what it takes from the tone, and what it adds to the blood over that."""
    place = sheet.onto(np.array([at_mm]))[0]
    if not np.isfinite(place).all():
        return
    step = SIDE_M / SIDE_PX
    centre = place / step
    reach = int(3.0 * radius_m / step) + 2
    low = np.maximum(centre.astype(int) - reach, 0)
    high = np.minimum(centre.astype(int) + reach + 1, SIDE_PX)
    if (high <= low).any():
        return
    i, j = (np.arange(low[k], high[k]) + 0.5 - centre[k] for k in (1, 0))
    angle = np.arctan2(i[:, None], j[None, :])
    phase = 7.0 * centre[0]
    round_ = 1.0 + 0.22 * np.sin(2.0 * angle + phase) + 0.12 * np.sin(3.0 * angle + 2.0 * phase)
    away = np.hypot(i[:, None], j[None, :]) * step / (radius_m * round_)
    spot = (1.0 - smooth_step(0.6, 1.3, away.astype(np.float32))).astype(np.float32)
    window = (slice(low[1], high[1]), slice(low[0], high[0]))
    tone[window] *= 1.0 - np.float32(dark[0]) * spot
    blood[window] += np.float32(dark[1] * dark[0] / 0.2) * spot
    if height is not None:
        height[window] += np.float32(high_mm) * spot


def _stubble(
    sheet: _Sheet, grain: _Grain, random: Random, share: float, tone: F32, height: F32
) -> None:
    """Hairs cut short where a beard would grow: dots, and a shadow between them."""
    thick = sheet.beard * np.clip(0.8 + 0.3 * noise(random, SIDE_PX, 24, 24), 0.2, 1.2)
    tone *= 1.0 - np.float32(0.55 * share) * thick * grain.dot
    height += np.float32(0.02 * min(3.0 * share, 1.0)) * thick * grain.dot
