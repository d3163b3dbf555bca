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

LOOKS = 2
"""Looks at what is met first and at a lamp from there, for one path: a look costs a fifth of it.
Four were better for straight light, and dearer than what they brought to the cleaned picture."""
STRIP_PX = 4
"""Rows whose pixels are lanes side by side."""


class Pixels:
    """A lane for each pixel of a part; `done` samples of each have been traced before.

    Samples are numbered by pixel of the whole picture and go on from pass to pass, so that they are
    the same in every part and after every stop.
    """

    def __init__(
        self, sensor: Any, size: tuple[int, int], part: Part, seed: int, samples: int, done: int
    ) -> None:
        # Kept out of the kernel's text: one kernel serves all sizes.
        left, top, across, down = (dr.opaque(mi.UInt32, value) for value in astuple(part))
        width, height = (dr.opaque(mi.UInt32, side) for side in size)
        lane = dr.arange(mi.UInt32, part.width_px * part.height_px)
        # By strips of some rows and down their columns: lanes that run in step are then a square
        # of pixels, and their rays go through the same part of the set.
        strip = lane // (across * STRIP_PX)
        rows = dr.minimum(down - strip * STRIP_PX, STRIP_PX)
        lane -= strip * STRIP_PX * across
        column = lane // rows
        row = strip * STRIP_PX + lane - column * rows
        self.place = row * across + column
        column += left
        row += top
        self._sensor = sensor
        self._corner, self._size = mi.Point2f(column, row), mi.Point2f(width, height)
        self._name, self._other = mi.sample_tea_32(
            row * width + column, dr.opaque(mi.UInt32, seed % (1 << 32))
        )
        self._samples, self._done = dr.opaque(mi.UInt32, samples), dr.opaque(mi.UInt32, done)
        self.pixel_rad = dr.opaque(mi.Float, pixel_angle_rad(sensor, size[0]))

    def first(self) -> tuple[Any, Any]:
        """Random numbers and ray of each pixel's first path."""
        return self._begun(mi.UInt32(0))

    def anew(self, ended: Any, turn: Any, sampler: Any, ray: Any) -> tuple[Any, Any, Any]:
        """As `integrator.Begun.anew`."""
        anew = ended & (turn < self._samples)
        its_sampler, its_ray = self._begun(turn)
        return anew, dr.select(anew, its_sampler, sampler), dr.select(anew, its_ray, ray)

    def _begun(self, turn: Any) -> tuple[Any, Any]:
        sampler = Even(self._done + turn, self._name)
        return sampler, self._ray(sampler)

    def _ray(self, sampler: Any) -> Any:
        """A ray somewhere through the square of each pixel."""
        position = (self._corner + sampler.next_2d()) / self._size
        return mi.Ray3f(self._sensor.sample_ray(0.0, 0.5, position, sampler.next_2d())[0])

    @dr.syntax
    def looked(self, paths: LayeredPaths) -> tuple[list[Any], Any, Any]:
        """Sums over `LOOKS` looks for each path: light by layer, albedo and normal."""
        layers = [mi.Color3f(0.0) for _ in range(paths.layer_count)]
        albedo, normal = mi.Color3f(0.0), mi.Vector3f(0.0)
        count, done = self._samples * LOOKS, self._done * LOOKS
        turn = mi.UInt32(0)
        while dr.hint(turn < count, label="looks"):
            sampler = Even(done + turn, self._other)
            ray = self._ray(sampler)
            found, seen, facing = paths.look(sampler, ray, self.pixel_rad, LOOKS)
            for light in found:
                layers = paths.shared_out(layers, *light)
            albedo += seen
            normal += facing
            turn += 1
        return layers, albedo, normal


def render_pass(
    paths: LayeredPaths,
    sensor: Any,
    size: tuple[int, int],
    part: Part,
    samples: int,
    seed: int,
    total: Any,
    done: int = 0,
) -> None:
    """Add `samples` paths in the square of each pixel of `part` to `total`, in place, after `done`.

    `total` is a flat Float of the part's height x width x (3 x layers + 6); the last six channels
    are albedo and normal. Memory does not grow with `samples`: a lane is a pixel, sums all of its
    paths one after the other and writes once, so that a picture repeats to the last bit whichever
    thread comes first.
    """
    pixels = Pixels(sensor, size, part, seed, samples, done)
    looked, albedo, normal = pixels.looked(paths)
    # The previous pass was computed while this one was recorded. Wait for it, so that there are
    # never more than two under way.
    dr.sync_thread()
    values = [value / LOOKS for value in (*looked, albedo, normal)]
    _add(pixels.place, values, total, len(values))
    layers = paths.trace(
        pixels, dr.full(mi.Bool, True, dr.width(pixels.place)), pixels.pixel_rad, LOOKS
    )
    _add(pixels.place, layers, total, len(values))


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
    _add(index, layers, total, len(layers))
    return np.asarray(total.numpy(), np.float32).reshape(count, -1, 3)


def _seeded(seed: int, size: int) -> Any:
    """A sampler; its seed is kept out of the kernel's text so that no pass compiles anew."""
    sampler = load({"type": "independent"})
    sampler.seed(dr.opaque(mi.UInt32, seed), size)
    return sampler


def _add(index: Any, values: Sequence[Any], total: Any, colours: int) -> None:
    """Add colours to the first of `colours` at each `index` of `total`."""
    channels = [value[i] for value in values for i in range(3)]
    # A card adds faster one by one than by first adding up among neighbours.
    mode = dr.ReduceMode.Direct if "cuda" in mi.variant() else dr.ReduceMode.Auto
    for offset, channel in enumerate(channels):
        dr.scatter_add(total, channel, index * (3 * colours) + offset, mode=mode)
    dr.eval(total)
