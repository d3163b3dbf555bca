"""The path tracer where nothing can be compiled: one render per light. Slow, but always there.

Every light gets its share of the samples in a render of its own with the others dark, which
gives the same light layers. Beams are spot lights that throw a picture of the beam: right where
the face is seen small. Windows are matt surfaces of the same light. Import after a variant is set.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.geometry.shell import look_along
from previz.physics.photometry import illuminance_from_diffuse_lx
from previz.render.contract import Arriving, LightLayers, RenderSettings
from previz.render.pathtracer.assemble import (
    NEAR_CLIP_M,
    Assembled,
    assemble,
    axis_intensity,
    radiance_without_profile,
    sensor,
)
from previz.render.pathtracer.loading import kept_sum, load
from previz.render.pathtracer.own_gear import stands_in_own_way
from previz.render.pathtracer.seeds import pass_seed
from previz.stage.environment import Environment
from previz.stage.placing import looking
from previz.stage.stage import Stage, StageCamera

GUIDE_SAMPLES = 16
CARD_M = 0.02
CARD_DISTANCE_M = 0.1
CARD_REFLECTANCE = 0.5
F32 = NDArray[np.float32]


class ScalarRenderer:
    """A stage in the scalar variant."""

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        self.assembled = assemble(stage, compiled=False)

    def under(self, environment: Environment) -> ScalarRenderer:
        """The same stage under another sky; see `contract.Renderer`."""
        return ScalarRenderer(replace(self.stage, environment=environment))

    def prepare(self) -> Iterator[float]:
        """Nothing comes before a picture."""
        return iter(())

    def expose(self, camera: str, settings: RenderSettings) -> ScalarExposing:
        """Begin a picture of `camera`."""
        return ScalarExposing(self, camera, settings)

    def arriving(self) -> Arriving:
        """Nothing reads many points at once where nothing is compiled."""
        raise NotImplementedError

    def meter(
        self,
        points_m: NDArray[np.float64],
        normals: NDArray[np.float64],
        samples: int,
        first: int = 0,
    ) -> Mapping[str, NDArray[np.float64]]:
        """Illuminance by light on flat receptors, see `contract.Renderer`.

        Each point gets a small matt card that is looked at from close by: E = pi L / rho.
        """
        readings = [
            self._read_card(point, normal, samples, first)
            for point, normal in zip(points_m, normals, strict=True)
        ]
        return {
            layer: np.array([reading[layer] for reading in readings]) for layer in self.stage.layers
        }

    def _read_card(
        self, point: NDArray[np.float64], normal: NDArray[np.float64], samples: int, first: int
    ) -> dict[str, NDArray[np.float64]]:
        pose = look_along(point, normal)
        card = {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f(pose) @ mi.ScalarTransform4f().scale(CARD_M / 2.0),
            "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": CARD_REFLECTANCE}},
        }
        eye = point + CARD_DISTANCE_M * normal
        view = StageCamera(
            name="card",
            pose=looking(eye, point),
            sensor_width_m=CARD_M / 2.0,
            sensor_height_m=CARD_M / 2.0,
            focal_length_m=CARD_DISTANCE_M,
            f_number=1.0e4,
            t_number=1.0e4,
            focus_distance_m=CARD_DISTANCE_M,
            fps=25.0,
            shutter_s=0.02,
            iso=100.0,
            nd_density=0.0,
        )
        lights = _Lights(self.assembled, self.assembled.scene(extra={"card": card}))
        integrator = load({"type": "path", "max_depth": -1})
        eyepiece = sensor(view, (1, 1), pinhole=True)
        readings = {}
        for number, layer in enumerate(self.stage.layers):
            lights.only(layer)
            seed = pass_seed(self.stage.seed + number, first)
            image = mi.render(
                lights.scene, sensor=eyepiece, integrator=integrator, spp=samples, seed=seed
            )
            luminance = np.array(image, float)[0, 0, :3]
            readings[layer] = illuminance_from_diffuse_lx(luminance, CARD_REFLECTANCE)
        return readings


class _Lights:
    """The lights of one scene, to be switched on one at a time."""

    def __init__(self, assembled: Assembled, scene: Any) -> None:
        self.scene = scene
        self._assembled = assembled
        self._parameters = mi.traverse(scene)

    def only(self, layer: str) -> None:
        """Leave the lights of one layer on; dark ones take no samples either."""
        for number, (emitter, _) in enumerate(self._assembled.lamps):
            if not emitter.lit:
                continue
            on = emitter.layer == layer
            if emitter.profile is not None:
                light, colour = f"lamp_{number}", axis_intensity(emitter)
                value = f"{light}.intensity.value"
            else:
                light = f"lamp_{number}.emitter"
                colour = radiance_without_profile(emitter, self._assembled.stage)
                value = f"{light}.radiance.value"
            self._parameters[value] = mi.Color3f([float(v) if on else 0.0 for v in colour])
            self._parameters[f"{light}.sampling_weight"] = 1.0 if on else 0.0
        self._parameters.update()


class ScalarExposing:
    """A picture in the making; see `contract.Exposing`."""

    def __init__(self, renderer: ScalarRenderer, camera: str, settings: RenderSettings) -> None:
        self._stage = renderer.stage
        self._assembled = renderer.assembled
        self._settings = settings
        self._camera = renderer.stage.cameras[camera]
        self._size = (settings.width_px, settings.height_px)
        own = stands_in_own_way(renderer.stage, camera)
        self._scene = renderer.assembled.scene(without=camera if own else None)
        self._sensor = sensor(self._camera, self._size, only=settings.only)
        self._integrator = load({"type": "path", "max_depth": settings.max_depth})
        self._lights = _Lights(renderer.assembled, self._scene)
        shape = (settings.part.height_px, settings.part.width_px, 3)
        self._sums = {layer: np.zeros(shape, np.float32) for layer in self._stage.layers}
        self.done = 0

    def advance(self, samples: int) -> None:
        """Trace `samples` more paths per pixel, shared out among the lights."""
        share = max(1, round(samples / max(1, len(self._sums))))
        for number, layer in enumerate(self._sums):
            self._lights.only(layer)
            seed = pass_seed(self._settings.seed + number, self.done)
            image = mi.render(
                self._scene,
                sensor=self._sensor,
                integrator=self._integrator,
                spp=share,
                seed=seed,
            )
            self._sums[layer] += samples * np.array(image, np.float32)[..., :3]
        self.done += samples

    def light(self) -> LightLayers:
        """What was gathered so far, averaged."""
        count = np.float32(max(self.done, 1))
        albedo, normal = self._first_hits()
        depth, objects = self._guides()
        layers = {layer: image / count for layer, image in self._sums.items()}
        return LightLayers(layers, albedo, normal, depth, objects, self.done)

    def state(self) -> dict[str, NDArray[np.generic]]:
        """Sum of the samples by layer and their number."""
        return {"done": np.array(self.done), **{f"sum_{k}": v for k, v in self._sums.items()}}

    def restore(self, state: Mapping[str, NDArray[np.generic]]) -> None:
        """Go on from an earlier `state`."""
        for layer, blank in self._sums.items():
            self._sums[layer] = kept_sum(state[f"sum_{layer}"], blank.shape)
        self.done = int(state["done"])

    def _first_hits(self) -> tuple[F32, F32]:
        values = self._auxiliary("a:albedo,n:sh_normal", GUIDE_SAMPLES, self._sensor)
        return values[..., :3], values[..., 3:6]

    def _guides(self) -> tuple[F32, NDArray[np.uint16]]:
        """Depth along the axis and thing number, through the pixels' centres of a pinhole."""
        only = self._settings.only
        pinhole = sensor(self._camera, self._size, pinhole=True, centred=True, only=only)
        values = self._auxiliary("d:depth,s:shape_index,p:prim_index", 1, pinhole)
        ray_length, shape, triangle = values[..., 0], values[..., 1], values[..., 2]
        # The plugin counts from the near clipping plane.
        depth = np.where(ray_length > 0.0, ray_length * self._axis_cosine() + NEAR_CLIP_M, np.inf)
        order = {str(s.id()): i + 1 for i, s in enumerate(self._scene.shapes())}

        def number_of(handle: Any) -> int:
            """What the picture of shapes calls it; a spot light has no face that could be seen."""
            return order.get(str(handle.id()), -1) if isinstance(handle, mi.Shape) else -1

        objects = self._assembled.things_at(shape, triangle.astype(int), number_of)
        return depth.astype(np.float32), objects

    def _axis_cosine(self) -> F32:
        """Cosine between the lens axis and the ray through each pixel's centre."""
        width, height = self._size
        tangent = math.tan(self._camera.horizontal_angle_rad / 2.0)
        x = ((np.arange(width) + 0.5) / width * 2.0 - 1.0) * tangent
        y = ((np.arange(height) + 0.5) / height * 2.0 - 1.0) * tangent * height / width
        cosine = 1.0 / np.sqrt(1.0 + x[None, :] ** 2 + y[:, None] ** 2)
        return np.asarray(self._settings.part.of(cosine), np.float32)

    def _auxiliary(self, channels: str, samples: int, view: Any) -> F32:
        integrator = load({"type": "aov", "aovs": channels})
        image = mi.render(self._scene, sensor=view, integrator=integrator, spp=samples)
        return np.array(image, np.float32)
