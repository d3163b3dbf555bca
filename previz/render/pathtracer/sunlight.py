"""The sun through windows, sampled for its own sake: no path meets so small a disc by chance.

From any vertex one direction to the sun's disc is drawn. Where it leaves through a window's
rectangle and nothing stands in its way, the light joins that window's layer. Surface samples
that meet a window see the sky without the sun's disc, so nothing counts twice; what is left
out is the sun by way of a mirror on to another surface.

Compiled variants only. Must be imported after a variant is set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.pathtracer.obstacles import Obstacles
from previz.stage.environment import Sun
from previz.stage.stage import Emitter

BEYOND_M = 1e-3
"""How far outside a window's rectangle the rest of the way to the sun begins."""


@dataclass(frozen=True, eq=False)
class SunTable:
    """The sun, and the windows that it can shine through.

    windows  place in the order of `scene.emitters()`, and the emitter
    """

    sun: Sun
    windows: tuple[tuple[int, Emitter], ...]


def sun_table(sun: Sun | None, emitters: list[Emitter]) -> SunTable | None:
    """The table for the lit emitters of a stage; None when no sun reaches any window."""
    if sun is None or not np.any(sun.light > 0.0):
        return None
    reach = -math.sin(sun.radius_rad)
    faced = tuple(
        (number, emitter)
        for number, emitter in enumerate(emitters)
        if emitter.window and float(emitter.shape.direction @ -sun.direction) > reach
    )
    return SunTable(sun, faced) if faced else None


class Sunlight:
    """The sun over one loaded scene."""

    def __init__(self, obstacles: Obstacles, table: SunTable, numbers: list[int]) -> None:
        """`numbers` are the emitters' registry numbers."""
        self._obstacles = obstacles
        sun = table.sun
        # Kept out of the kernel's text: another hour compiles nothing anew.
        self._towards = _vector(sun.direction)
        self._radius = dr.opaque(mi.Float, math.sin(sun.radius_rad))
        self._windows = [
            _Window(numbers[place], emitter, sun.light * emitter.power)
            for place, emitter in table.windows
        ]

    def sample(self, si: Any, sample: Any, active: Any) -> tuple[Any, Any, Any, Any]:
        """A direction to the sun, its light over density, the window's number, where it arrives."""
        disc = mi.warp.square_to_uniform_disk_concentric(sample) * self._radius
        along = dr.sqrt(1.0 - dr.squared_norm(disc))
        towards = mi.Frame3f(self._towards).to_world(mi.Vector3f(disc.x, disc.y, along))
        nearest = mi.Float(dr.inf)
        number = mi.UInt32(0)
        light = mi.Color3f(0.0)
        for window in self._windows:
            distance = window.distance(si.p, towards)
            nearer = distance < nearest
            nearest = dr.select(nearer, distance, nearest)
            number = dr.select(nearer, window.number, number)
            light = dr.select(nearer, window.light, light)
        active = active & (nearest < dr.inf)
        leaving = si.p + towards * dr.select(active, nearest, 1.0)
        active &= ~self._obstacles.block(si.spawn_ray_to(leaving), active)
        # Outside, the wall's own reveal and other parts of the house cast shadows too.
        onward = mi.Ray3f(leaving + towards * BEYOND_M, towards)
        active &= ~self._obstacles.block(onward, active)
        return towards, light, number, active

    def seen(self, number: Any, direction: Any, active: Any) -> Any:
        """Luminance of the sun's disc where a ray leaves through window `number` towards it."""
        aside = dr.norm(dr.cross(direction, self._towards))
        active = active & (aside < self._radius) & (dr.dot(direction, self._towards) > 0.0)
        shown = mi.Color3f(0.0)
        for window in self._windows:
            shown = dr.select(active & (number == window.number), window.light, shown)
        return shown / (dr.pi * self._radius * self._radius)


class _Window:
    """One rectangle; `light` is what the sun gives through it on a surface that faces the sun."""

    def __init__(self, number: int, emitter: Emitter, light: NDArray[np.float64]) -> None:
        shape = emitter.shape
        self.number = dr.opaque(mi.UInt32, number)
        self.light = mi.Color3f(_vector(light))
        self._centre = _vector(shape.position_m)
        self._across = _vector(shape.pose[:3, 0] / (shape.width_m / 2.0))
        self._up = _vector(shape.pose[:3, 1] / (shape.height_m / 2.0))
        self._inward = _vector(shape.direction)

    def distance(self, point: Any, towards: Any) -> Any:
        """How far from `point` a ray passes out through the rectangle; infinite where it misses."""
        leaving = dr.dot(towards, self._inward)
        t = dr.dot(self._centre - point, self._inward) / leaving
        there = point + towards * t - self._centre
        inside = (abs(dr.dot(there, self._across)) <= 1.0) & (abs(dr.dot(there, self._up)) <= 1.0)
        return dr.select((leaving < 0.0) & (t > 0.0) & inside, t, dr.inf)


def _vector(values: Any) -> Any:
    return mi.Vector3f(*[dr.opaque(mi.Float, float(v)) for v in values])
