"""Passes over all pixels, and over all points of meters. Import after a compiled variant is set."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import astuple
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.part import Part
from previz.render.pathtracer.even import Even
from previz.render.pathtracer.integrator import LayeredPaths
from previz.render.pathtracer.loading import aligned, load

EXTRA = 3
"""Paths that end after the first thing met, for one that goes on."""


def render_pass(
    paths: LayeredPaths,
    sensor: Any,
    size: tuple[int, int],
    part: Part,
    samples: int,
    seed: int,
    total: Any,
    done: int = 0,
    extra: int = EXTRA,
) -> None:
    """Add `samples` paths in the square of each pixel of `part` to `total`, in place, after `done`.

    `total` is a flat Float of the part's height x width x (3 x layers + 6); the last six channels
    are albedo and normal. Memory does not grow with `samples`: the compiled kernel adds every
    path to its pixel as it goes. With every path go `extra` that see only what lamps give
    straight to what they meet: they cost little, and most of the noise is there. Paths are
    numbered through the whole picture of `size`, so that those of a part are the same; outside
    of it they end before they begin.
    """
    pixels = size[0] * size[1]
    # Kept out of the kernel's text: one kernel serves all sizes.
    width, height = (dr.opaque(mi.UInt32, side) for side in size)
    wholes, one, more = (
        dr.opaque(mi.UInt32, count) for count in (pixels * samples, samples, samples * extra)
    )
    number = dr.arange(mi.UInt32, pixels * samples * (1 + extra))
    whole = number < wholes
    each = dr.select(whole, one, more)
    number = dr.select(whole, number, number - wholes)
    pixel = number // each
    first = dr.select(whole, dr.opaque(mi.UInt32, done), dr.opaque(mi.UInt32, done * extra))
    name, other = mi.sample_tea_32(pixel, dr.opaque(mi.UInt32, seed % (1 << 32)))
    sampler = Even(first + number - pixel * each, dr.select(whole, name, other))
    row = pixel // width
    column = pixel - row * width
    position = (mi.Point2f(column, row) + sampler.next_2d()) / mi.Point2f(width, height)
    ray, _ = sensor.sample_ray(0.0, 0.5, position, sampler.next_2d())
    pixel_rad = dr.opaque(mi.Float, pixel_angle_rad(sensor, size[0]))
    share = dr.opaque(mi.Float, 1.0 / (1 + extra))
    left, top, across, down = (dr.opaque(mi.UInt32, value) for value in astuple(part))
    # What lies left of the part or above it wraps round to a large number.
    inside = (column - left < across) & (row - top < down)
    layers, albedo, normal = paths.trace(sampler, ray, inside, True, pixel_rad, whole, share)
    # The previous pass was computed while this one was recorded. Wait for it, so that there are
    # never more than two under way.
    dr.sync_thread()
    index = (row - top) * across + column - left
    _gather(index, [*layers, albedo, normal], total, inside)


def pixel_angle_rad(sensor: Any, width_px: int) -> float:
    """Angle between two neighbouring pixels in the middle of the picture."""
    half_rad = math.radians(float(mi.traverse(sensor)["x_fov"][0])) / 2.0
    return 2.0 * math.tan(half_rad) / width_px


def meter_pass(
    paths: LayeredPaths,
    points: NDArray[np.float64],
    normals: NDArray[np.float64],
    samples: int,
    seed: int,
) -> NDArray[np.float32]:
    """Sum of `samples` estimates of illuminance at each point: (points, layers, 3)."""
    count = len(points)
    sampler = _seeded(seed, count * samples)
    index = dr.arange(mi.UInt32, count * samples) // samples
    point = dr.gather(mi.Point3f, mi.Float(aligned(points, np.float32)), index)
    normal = dr.gather(mi.Normal3f, mi.Float(aligned(normals, np.float32)), index)
    layers = paths.receive(sampler, point, normal)
    total = dr.opaque(mi.Float, 0.0, count * paths.layer_count * 3)
    _gather(index, layers, total, mi.Bool(True))
    return np.asarray(total.numpy(), np.float32).reshape(count, -1, 3)


def _seeded(seed: int, size: int) -> Any:
    """A sampler; its seed is kept out of the kernel's text so that no pass compiles anew."""
    sampler = load({"type": "independent"})
    sampler.seed(dr.opaque(mi.UInt32, seed), size)
    return sampler


def _gather(index: Any, values: Sequence[Any], total: Any, active: Any) -> None:
    channels = [value[i] for value in values for i in range(3)]
    # A card adds faster one by one than by first adding up among neighbours.
    mode = dr.ReduceMode.Direct if "cuda" in mi.variant() else dr.ReduceMode.Auto
    for offset, channel in enumerate(channels):
        # A path that met a numerical accident must not black out its pixel for ever.
        sound = dr.select(dr.isfinite(channel), channel, 0.0)
        dr.scatter_add(total, sound, index * len(channels) + offset, active, mode=mode)
    dr.eval(total)
