"""The path tracer in a compiled variant: all light layers in one pass. Import after setting it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import replace
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.contract import LightLayers, RenderSettings
from previz.render.pathtracer.arriving import ArrivingLight
from previz.render.pathtracer.assemble import Assembled, assemble, sensor
from previz.render.pathtracer.beams import beam_table
from previz.render.pathtracer.integrator import (
    EmitterTable,
    LayeredPaths,
    meter_pass,
    render_pass,
)
from previz.render.pathtracer.loading import aligned, forget_others, kept_sum
from previz.render.pathtracer.own_gear import stands_in_own_way
from previz.render.pathtracer.rows import number_of
from previz.render.pathtracer.seeds import pass_seed
from previz.render.pathtracer.sunlight import sun_table
from previz.stage.environment import Environment
from previz.stage.stage import Stage

METER_BATCH = 4096


def emitter_table(stage: Stage) -> EmitterTable:
    """What the integrator must know of a stage's emitters."""
    numbers = {layer: number for number, layer in enumerate(stage.layers)}
    lit = [emitter for emitter in stage.emitters if emitter.lit]
    window = [np.full(3, emitter.luminance_cd_m2 if emitter.window else 0.0) for emitter in lit]
    return EmitterTable(
        layer=np.array([numbers[emitter.layer] for emitter in lit], np.int64),
        window=np.array(window).reshape(-1, 3),
        beams=beam_table(lit),
        environment=None if stage.environment is None else stage.environment.panorama,
        sun=None if stage.environment is None else sun_table(stage.environment.sun, lit),
    )


class CompiledRenderer:
    """A stage in the compiled path tracer.

    One scene serves all cameras and meters, but a camera that would see its own tripod. Only
    the latest scene is kept, or memory would grow with the number of cameras.
    """

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        self.assembled: Assembled = assemble(stage)
        self._table = emitter_table(stage)
        self._latest: tuple[str | None, LayeredPaths] | None = None

    def paths(self, camera: str | None = None, max_depth: int = -1) -> LayeredPaths:
        """The tracer for what `camera` sees, for light paths of up to `max_depth` segments.

        Without a camera, for meters; without a depth, paths end by chance alone.
        """
        without = camera if camera and stands_in_own_way(self.stage, camera) else None
        if self._latest is None or self._latest[0] != without:
            self._latest = None
            forget_others()
            scene = self.assembled.scene(without)
            count = len(self.stage.layers)
            paths = LayeredPaths(scene, self._table, count, self.assembled.clear)
            paths.relief = self.assembled.relief
            paths.beneath = self.assembled.beneath
            paths.guides = self.assembled.guides
            self._latest = (without, paths)
        return self._latest[1].up_to(max_depth)

    def under(self, environment: Environment) -> CompiledRenderer:
        """The same stage in another environment; see `contract.Renderer`. Shares what is loaded."""
        other = copy(self)
        other.stage = replace(self.stage, environment=environment)
        other._table = emitter_table(other.stage)
        if self._latest is not None:
            other._latest = (self._latest[0], self._latest[1].under(other._table))
        return other

    def prepare(self) -> Iterator[float]:
        """Nothing comes before a picture."""
        return iter(())

    def expose(self, camera: str, settings: RenderSettings) -> CompiledExposing:
        """Begin a picture of `camera`."""
        return CompiledExposing(self, camera, settings)

    def arriving(self) -> ArrivingLight:
        """What reads the light at many points."""
        lamps = [(lamp.layer, lamp.window) for lamp in self.stage.emitters if lamp.lit]
        return ArrivingLight(self.paths(), self.stage.seed, lamps)

    def meter(
        self,
        points_m: NDArray[np.float64],
        normals: NDArray[np.float64],
        samples: int,
        first: int = 0,
    ) -> Mapping[str, NDArray[np.float64]]:
        """Illuminance by light on flat receptors, see `contract.Renderer`."""
        paths = self.paths()
        total = np.zeros((len(points_m), len(self.stage.layers), 3))
        done = 0
        while done < samples:
            batch = min(METER_BATCH, samples - done)
            seed = pass_seed(self.stage.seed, first + done)
            total += meter_pass(paths, points_m, normals, batch, seed).astype(float)
            done += batch
        return {layer: total[:, number] / samples for number, layer in enumerate(self.stage.layers)}


def _keep_out_of_the_kernel(lens: Any) -> None:
    """Aperture and focus as memory, not as text of the kernel: another stop compiles nothing."""
    settings = mi.traverse(lens)
    for name in ("aperture_radius", "focus_distance"):
        settings[name] = dr.opaque(mi.Float, settings[name][0])
    settings.update()


class CompiledExposing:
    """A picture in the making; see `contract.Exposing`."""

    def __init__(self, renderer: CompiledRenderer, camera: str, settings: RenderSettings) -> None:
        self._renderer = renderer
        self._settings = settings
        self._camera = renderer.stage.cameras[camera]
        self._paths = renderer.paths(camera, settings.max_depth)
        self._size = (settings.width_px, settings.height_px)
        self._sensor = sensor(self._camera, self._size)
        _keep_out_of_the_kernel(self._sensor)
        channels = 3 * len(renderer.stage.layers) + 6
        part = settings.part
        self._shape = (part.height_px, part.width_px, channels)
        # Real memory from the start: adding to a mere constant would be a kernel of its own.
        self._sum = dr.opaque(mi.Float, 0.0, math.prod(self._shape))
        self.done = 0

    def advance(self, samples: int) -> None:
        """Trace `samples` more paths per pixel."""
        seed = pass_seed(self._settings.seed, self.done)
        part = self._settings.part
        render_pass(self._paths, self._sensor, self._size, part, samples, seed, self._sum)
        self.done += samples

    def light(self) -> LightLayers:
        """What was gathered so far, averaged."""
        mean = self._gathered() / np.float32(max(self.done, 1))
        layers = self._renderer.stage.layers
        depth, objects = self._guides()
        return LightLayers(
            layers={name: mean[..., 3 * i : 3 * i + 3] for i, name in enumerate(layers)},
            albedo=mean[..., -6:-3],
            normal=mean[..., -3:],
            depth=depth,
            objects=objects,
            samples=self.done,
        )

    def state(self) -> dict[str, NDArray[np.generic]]:
        """Sum of the samples and their number."""
        return {"sum": self._gathered(), "done": np.array(self.done)}

    def restore(self, state: Mapping[str, NDArray[np.generic]]) -> None:
        """Go on from an earlier `state`."""
        self._sum = mi.Float(aligned(kept_sum(state["sum"], self._shape), np.float32))
        self.done = int(state["done"])

    def _gathered(self) -> NDArray[np.float32]:
        return np.asarray(self._sum.numpy(), np.float32).reshape(self._shape)

    def _guides(self) -> tuple[NDArray[np.float32], NDArray[np.uint16]]:
        """Depth along the axis and thing number, through the pixels' centres of a pinhole."""
        part = self._settings.part
        width, height = part.width_px, part.height_px
        pinhole = sensor(self._camera, self._size, pinhole=True)
        pixel = dr.arange(mi.UInt32, width * height)
        corner = mi.Point2f(pixel % width + part.left_px, pixel // width + part.top_px)
        position = (corner + 0.5) / mi.Point2f(*self._size)
        ray, _ = pinhole.sample_ray(0.0, 0.5, position, mi.Point2f(0.5))
        ray.maxt = dr.largest(mi.Float)
        found = self._paths.scene.ray_intersect_preliminary(ray, coherent=True)
        hit = found.is_valid()
        # The ray starts on the near clipping plane; depth counts from the lens.
        lens = mi.Point3f(*[float(v) for v in self._camera.position_m])
        forward = mi.Vector3f(*[float(v) for v in self._camera.forward])
        depth = dr.select(hit, dr.dot(ray(found.t) - lens, forward), dr.inf)
        shape = dr.select(hit, dr.reinterpret_array(mi.UInt32, found.shape), 0)
        objects = self._renderer.assembled.things_at(
            np.asarray(shape.numpy()), np.asarray(found.prim_index.numpy()), number_of
        )
        return (
            np.asarray(depth.numpy(), np.float32).reshape(height, width),
            objects.reshape(height, width),
        )
