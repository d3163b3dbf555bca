"""Light arriving at points of surfaces, for who keeps it: from lamps, and by way of what.

The same lamps, beams, windows, sun and obstacles as pictures and meters have. Import after a
compiled variant is set.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.contract import Held, Met
from previz.render.pathtracer.integrator import LayeredPaths
from previz.render.pathtracer.loading import aligned, load

LANES = 1 << 21
"""About how many rays are sent at once."""
PLASTIC = 1.32471795724474602596
"""Of it is made the sequence R2, which fills a square evenly (M. Roberts 2018, from memory)."""


class ArrivingLight:
    """Reads the light of a loaded stage at points that are held; see `contract.Arriving`."""

    def __init__(self, paths: LayeredPaths, seed: int, lamps: Sequence[tuple[str, bool]]) -> None:
        """`lamps` are the layers of the scene's lamps in their order, and which are windows."""
        self._paths, self._seed, self._lamps = paths, seed, tuple(lamps)

    def straight(
        self, held: Held, count: int, only: Collection[str] | None = None
    ) -> Iterator[tuple[int, NDArray[np.float32]]]:
        """Mean light from lamps without a bounce, step by step; see `contract.Arriving`."""
        wanted = [n for n, (layer, _) in enumerate(self._lamps) if only is None or layer in only]
        total = np.zeros((count, self._paths.layer_count, 3), np.float32)
        step = max(1, LANES // max(len(wanted), 1))
        for start in range(0, len(held), step):
            part = held.part(start, start + step)
            total += self._straight(part, count, start, wanted)
            yield min(start + step, len(held)), total

    def met(self, held: Held) -> Iterator[tuple[int, Met]]:
        """What a ray from each point meets, step by step; see `contract.Arriving`."""
        for start in range(0, len(held), LANES // 2):
            part = held.part(start, start + LANES // 2)
            si, _, _ = self._points(part, 1, start)
            index = mi.UInt32(aligned(part.index, np.uint32))
            order = mi.UInt32(aligned(part.order, np.uint32))
            ray = _spread_ray(si, _even(index, order))
            point, facing, albedo, away = self._paths.first_met(ray)
            dr.eval(point, facing, albedo, away)
            points, facings, albedos = (
                np.array(a, np.float32).reshape(3, -1).T for a in (point, facing, albedo)
            )
            met = Met(points, facings, albedos, np.array(away, np.float32))
            yield min(start + LANES // 2, len(held)), met

    def opened(self, held: Held, count: int, reach_m: float, rays: int) -> NDArray[np.float32]:
        """Mean share (count,) of an even sky's light that comes from beyond `reach_m`."""
        total = dr.opaque(mi.Float, 0.0, count)
        for start in range(0, len(held), LANES // rays):
            part = held.part(start, start + LANES // rays)
            si, place, _ = self._points(part, rays, start)
            turn = dr.arange(mi.UInt32, len(part) * rays) - place * dr.opaque(mi.UInt32, rays)
            index = dr.gather(mi.UInt32, mi.UInt32(aligned(part.index, np.uint32)), place)
            order = dr.gather(mi.UInt32, mi.UInt32(aligned(part.order, np.uint32)), place)
            ray = _spread_ray(si, _even(index, order * rays + turn))
            ray.maxt = dr.opaque(mi.Float, reach_m)
            free = ~self._paths.obstacles.block(ray, mi.Bool(True))
            weight = dr.gather(mi.Float, mi.Float(aligned(part.weight, np.float32)), place)
            dr.scatter_add(total, dr.select(free, weight / rays, 0.0), index)
            dr.eval(total)
        return np.asarray(total.numpy(), np.float32)

    def _points(self, held: Held, times: int, step: int) -> tuple[Any, Any, Any]:
        """Each point `times` over as something lit, its place in `held`, and random numbers."""
        lanes = len(held) * times
        sampler = load({"type": "independent"})
        sampler.seed(dr.opaque(mi.UInt32, (self._seed * 7919 + step) % (1 << 31)), lanes)
        place = dr.arange(mi.UInt32, lanes) // dr.opaque(mi.UInt32, times)
        si = dr.zeros(mi.SurfaceInteraction3f, lanes)
        si.p = dr.gather(mi.Point3f, mi.Float(aligned(held.points_m, np.float32)), place)
        si.n = dr.gather(mi.Normal3f, mi.Float(aligned(held.normals, np.float32)), place)
        si.sh_frame = mi.Frame3f(si.n)
        si.t = mi.Float(1.0)
        return si, place, sampler

    def _straight(
        self, held: Held, count: int, step: int, wanted: list[int]
    ) -> NDArray[np.float32]:
        paths, lamps = self._paths, len(wanted)
        layers = paths.layer_count
        total = dr.opaque(mi.Float, 0.0, count * layers * 3)
        if lamps:
            si, place, _ = self._points(held, lamps, step)
            turn = dr.arange(mi.UInt32, len(held) * lamps) - place * dr.opaque(mi.UInt32, lamps)
            lamp = dr.gather(mi.UInt32, mi.UInt32(aligned(wanted, np.uint32)), turn)
            index = dr.gather(mi.UInt32, mi.UInt32(aligned(held.index, np.uint32)), place)
            order = dr.gather(mi.UInt32, mi.UInt32(aligned(held.order, np.uint32)), place)
            weight = dr.gather(mi.Float, mi.Float(aligned(held.weight, np.float32)), place)
            sample = _folded(_even(index * paths.lamp_count + lamp, order))
            light, layer, lit = paths.from_lamp(si, lamp, sample)
            _add(total, light * weight, (index * layers + layer) * 3, lit)
        if paths.has_sun and any(self._lamps[number][1] for number in wanted):
            si, place, sampler = self._points(held, 1, step + 1)
            index = mi.UInt32(aligned(held.index, np.uint32))
            light, layer, lit = paths.from_sun(si, sampler.next_2d())
            weight = mi.Float(aligned(held.weight, np.float32))
            _add(total, light * weight, (index * layers + layer) * 3, lit)
        return np.asarray(total.numpy(), np.float32).reshape(count, layers, 3)


def _spread_ray(si: Any, sample: Any) -> Any:
    """A ray into the half-space before each point, spread by the cosine."""
    local = mi.warp.square_to_cosine_hemisphere(sample)
    return si.spawn_ray(si.sh_frame.to_world(local))


def _even(name: Any, order: Any) -> Any:
    """The `order`-th point of a sequence that fills a square, moved by chance for each `name`."""
    x, y = mi.sample_tea_32(name, dr.opaque(mi.UInt32, 77))
    moved = [mi.Float(v >> 8) * (1.0 / (1 << 24)) for v in (x, y)]
    count = mi.Float(order)
    at = [count * (1.0 / PLASTIC) + moved[0], count * (1.0 / PLASTIC**2) + moved[1]]
    return mi.Point2f(*(dr.minimum(v - dr.floor(v), 1.0 - 1e-6) for v in at))


def _folded(sample: Any) -> Any:
    """A point of the square so that a sum over it, seen as one that goes on and on, has no jumps.

    The sequence is moved round the square's ends: light of a near lamp that differs from one end to
    the other was read with three times the error.
    """
    return mi.Point2f(*(1.0 - dr.abs(2.0 * v - 1.0) for v in (sample.x, sample.y)))


def _add(total: Any, light: Any, place: Any, active: Any) -> None:
    """Add colours to `total`, three numbers at each place."""
    for channel in range(3):
        sound = dr.select(dr.isfinite(light[channel]), light[channel], 0.0)
        dr.scatter_add(total, sound, place + channel, active)
    dr.eval(total)
