"""Which lamp to look at from where: chosen by what each gives there. Import after a variant is set.

From any vertex one lamp is sampled. Chosen by power alone, a face that one key lights would look
at it one time in ten and be noisy ten times over. So the set is cut into cells, and once, when
a scene is loaded, random points of every cell look at every lamp past what stands in the way.
A lamp's chance in a cell is its share of the light there, with a remainder by power alone, so
that no lamp is ever left out: whatever the chances are, the light is right, only its noise
differs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.pathtracer.loading import aligned, load

Array = NDArray[np.float64]

MOST_CELLS = 4000
LEAST_CELL_M = 0.25
LOOKS = 16
"""Random points in each cell."""
BY_POWER = 0.2
"""Share of the choice that goes by power alone."""
SEED = 20_011


@dataclass(frozen=True, eq=False)
class Grid:
    """Cells of a box: `low` its least corner (3,), `cell_m` the side, `counts` along each axis."""

    low: Array
    cell_m: float
    counts: tuple[int, int, int]

    @classmethod
    def over(cls, low: Array, high: Array) -> Grid:
        """Cells of equal sides over a box, at most `MOST_CELLS` of them."""
        size = np.maximum(high - low, 1e-3)
        cell = max(LEAST_CELL_M, float(np.prod(size) / MOST_CELLS) ** (1.0 / 3.0))
        while math.prod(np.ceil(size / cell).astype(int).tolist()) > MOST_CELLS:
            cell *= 1.1
        x, y, z = (int(n) for n in np.ceil(size / cell))
        return cls(low, cell, (x, y, z))

    @property
    def size(self) -> int:
        """How many cells there are."""
        return math.prod(self.counts)


class Lamps:
    """Chances of a scene's lamps by cell, drawn by the alias method (Walker 1977)."""

    def __init__(self, scene: Any, numbers: list[int], grid: Grid, chances: Array) -> None:
        """`numbers` are the emitters' registry numbers; `chances` (cells, lamps) sum to 1."""
        self._count = len(numbers)
        self._emitters = scene.emitters_dr()
        self._grid = grid
        self._low = mi.Point3f(*(dr.opaque(mi.Float, float(v)) for v in grid.low))
        self._scale = dr.opaque(mi.Float, 1.0 / grid.cell_m)
        self._cells = mi.Point3u(*(dr.opaque(mi.UInt32, n) for n in grid.counts))
        place = np.zeros(max(numbers, default=0) + 1, np.uint32)
        place[numbers] = np.arange(self._count)
        self._place = mi.UInt32(aligned(place, np.uint32))
        share, other = alias_tables(chances)
        self._chance = mi.Float(aligned(chances, np.float32))
        self._share = mi.Float(aligned(share, np.float32))
        self._other = mi.UInt32(aligned(other, np.uint32))

    def _row(self, point: Any) -> Any:
        """Where a point's cell begins in the tables; outside the box, the nearest cell's."""
        at = (point - self._low) * self._scale
        # Through the nearest whole number that is a cell: what is no number has none.
        at = dr.select(at > 0.0, at, 0.0)
        cell = dr.minimum(mi.Point3u(dr.minimum(at, 1e6)), self._cells - 1)
        return ((cell.z * self._cells.y + cell.y) * self._cells.x + cell.x) * self._count

    def sample(self, si: Any, sample: Any, active: Any) -> tuple[Any, Any]:
        """A point on some lamp seen from `si`, and its radiance over density."""
        row = self._row(si.p)
        at = sample.x * self._count
        column = dr.minimum(mi.UInt32(at), self._count - 1)
        rest = at - mi.Float(column)
        share = dr.gather(mi.Float, self._share, row + column, active)
        own = rest < share
        other = dr.gather(mi.UInt32, self._other, row + column, active)
        lamp = dr.select(own, column, other)
        again = dr.select(own, rest / share, (rest - share) / (1.0 - share))
        again = dr.clip(dr.select(dr.isfinite(again), again, 0.5), 0.0, 1.0 - 1e-7)
        chance = dr.gather(mi.Float, self._chance, row + lamp, active)
        emitter = dr.gather(mi.EmitterPtr, self._emitters, lamp, active)
        ds, weight = emitter.sample_direction(si, mi.Point2f(again, sample.y), active)
        ds.emitter = emitter
        ds.pdf *= chance
        return ds, dr.select(ds.pdf > 0.0, weight / chance, 0.0)

    def density(self, reference: Any, ds: Any, active: Any) -> Any:
        """Density with which `sample` from `reference` would have come to `ds`."""
        number = dr.reinterpret_array(mi.UInt32, ds.emitter)
        lit = active & (number != 0)
        lamp = dr.gather(mi.UInt32, self._place, number, lit)
        chance = dr.gather(mi.Float, self._chance, self._row(reference.p) + lamp, lit)
        return ds.emitter.pdf_direction(reference, ds, lit) * chance


class Dark:
    """A scene in which nothing gives light."""

    def sample(self, si: Any, *_: Any) -> tuple[Any, Any]:
        """Nowhere, and nothing."""
        return dr.zeros(mi.DirectionSample3f, dr.width(si)), mi.Color3f(0.0)

    def density(self, *_: Any) -> Any:
        """Nothing is ever sampled."""
        return mi.Float(0.0)


def learn(scene: Any, numbers: list[int], weigh: Callable[[Any, Any, Any], Any]) -> Lamps | Dark:
    """Chances of all lamps in all cells.

    `weigh(ds, weight, si)` is the unobstructed luminance of a sample over its density.
    """
    count = len(numbers)
    if not count:
        return Dark()
    box = scene.bbox()
    grid = Grid.over(np.array(box.min, float).ravel(), np.array(box.max, float).ravel())
    power = np.array([float(e.sampling_weight()) for e in scene.emitters()])
    power /= power.sum()
    if count == 1:
        return Lamps(scene, numbers, grid, np.ones((grid.size, 1)))
    seen = _looked_at(scene, grid, count, weigh)
    seen = 0.5 * seen + 0.5 * _spread(seen, grid.counts)
    total = seen.sum(axis=1, keepdims=True)
    share = np.where(total > 0.0, seen / np.maximum(total, 1e-30), power)
    return Lamps(scene, numbers, grid, BY_POWER * power + (1.0 - BY_POWER) * share)


def _looked_at(scene: Any, grid: Grid, count: int, weigh: Callable[[Any, Any, Any], Any]) -> Array:
    """Light of each lamp past what stands in the way, (cells, lamps), in any unit."""
    index = dr.arange(mi.UInt32, grid.size * count * LOOKS) // LOOKS
    sampler = load({"type": "independent"})
    sampler.seed(SEED, dr.width(index))
    lamps, across = (dr.opaque(mi.UInt32, n) for n in (count, grid.counts[0]))
    rows = dr.opaque(mi.UInt32, grid.counts[1])
    cell = index // lamps
    plane = cell // across
    corner = mi.Vector3f(cell - plane * across, plane - plane // rows * rows, plane // rows)
    low = mi.Point3f(*(dr.opaque(mi.Float, float(v)) for v in grid.low))
    side = dr.opaque(mi.Float, grid.cell_m)
    inside = mi.Vector3f(sampler.next_1d(), *sampler.next_2d())
    si = dr.zeros(mi.SurfaceInteraction3f, dr.width(index))
    si.p, si.t = low + (corner + inside) * side, mi.Float(1.0)
    emitter = dr.gather(mi.EmitterPtr, scene.emitters_dr(), index - cell * lamps)
    ds, weight = emitter.sample_direction(si, sampler.next_2d())
    ds.emitter = emitter
    light = weigh(ds, weight, si)
    total = dr.zeros(mi.Float, grid.size * count)
    dr.scatter_add(total, dr.select(dr.isfinite(light), light, 0.0), index)
    return np.asarray(total.numpy(), float).reshape(grid.size, count)


def _spread(values: Array, counts: tuple[int, int, int]) -> Array:
    """Mean of every cell and its 26 neighbours: a shadow's edge runs through cells."""
    x, y, z = counts
    padded = np.pad(values.reshape(z, y, x, -1), ((1, 1), (1, 1), (1, 1), (0, 0)), mode="edge")
    total = sum(
        padded[i : i + z, j : j + y, k : k + x]
        for i in range(3) for j in range(3) for k in range(3)
    )  # fmt: skip
    return np.asarray(total, float).reshape(values.shape) / 27.0


def alias_tables(chances: Array) -> tuple[Array, NDArray[np.int64]]:
    """Walker's tables of every row: share of a column kept for itself, and whose the rest is.

    chances  (rows, n), each row summing to 1
    """
    rows, count = chances.shape
    left = chances * count
    share, other = np.ones((rows, count)), np.tile(np.arange(count), (rows, 1))
    settled = np.zeros((rows, count), bool)
    every = np.arange(rows)
    for _ in range(count - 1):
        # The poorest column not yet settled is filled up by the richest.
        poor = np.where(settled, np.inf, left).argmin(axis=1)
        rich = np.where(settled, -np.inf, left).argmax(axis=1)
        share[every, poor] = np.clip(left[every, poor], 0.0, 1.0)
        other[every, poor] = rich
        left[every, rich] -= 1.0 - share[every, poor]
        settled[every, poor] = True
    return share, other
