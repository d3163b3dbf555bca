"""Drawing at once as a back end: pictures without noise, of light that another has baked.

It is given its light stage by stage and knows neither the bake nor who bakes. Importing this loads
nothing of OpenGL; drawing does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from previz.errors import MissingError
from previz.model.records import Material
from previz.render.contract import Ability, Arriving, Image, LightLayers, RenderSettings
from previz.render.drawn import DrawnMesh
from previz.render.names import RASTER
from previz.render.raster.canvas import Canvas
from previz.render.raster.context import Context
from previz.stage.environment import Environment
from previz.stage.stage import Stage

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

NAME = RASTER
ABILITIES = frozenset(
    {
        Ability.LIGHT_LAYERS,
        Ability.BOUNCES,
        Ability.BEAMS,
        Ability.ENVIRONMENT,
        Ability.SUN,
        Ability.METER,
        Ability.CLEAR_GLASS,
        Ability.NOISELESS,
    }
)
APPROXIMATE = "no defocus, no gloss, no relief, hair as ribbons"
"""What its pictures lack, for people."""
PASS_PATHS = 1 << 30
"""A picture is drawn in one go."""


class Lighted(Protocol):
    """A stage with its light, from whoever has it."""

    def prepare(self) -> Iterator[float]:
        """Work out the light, once; how far that is, 0 to 1."""

    @property
    def meshes(self) -> Sequence[DrawnMesh]:
        """All surfaces."""

    @property
    def patterns(self) -> Sequence[Material]:
        """The materials that the meshes' patterns number."""

    def light(self, layers: Sequence[str]) -> Sequence[F32]:
        """Light over pi at the vertices of each mesh (v, 3) from these layers together."""

    def meter(self, points_m: F64, normals: F64, samples: int, first: int) -> Mapping[str, F64]:
        """See `contract.Renderer.meter`."""

    def under(self, environment: Environment) -> Lighted:
        """The same in another environment."""


def drawn_by() -> str:
    """What would draw here, for people: "OpenGL 4.5, in software (EGL)".

    MissingError where nothing does. Not for a thread that has a canvas open.
    """
    context = Context()
    try:
        return context.drawn_by
    finally:
        context.close()


def load(
    canvas: Canvas, stage: Stage, meshes: Sequence[DrawnMesh], patterns: Sequence[Material]
) -> None:
    """Take a stage into a canvas: its surfaces, and what glows and is seen through windows."""
    lit = [emitter for emitter in stage.emitters if emitter.lit]
    things = [stage.object_ids.get(emitter.thing, 0) for emitter in lit]
    canvas.load(meshes, patterns, lit, stage.environment, things)


class Raster:
    """Draws stages whose light `lit` has, worked out on `variant`."""

    name = NAME
    abilities = ABILITIES
    pass_paths = PASS_PATHS
    on_card = False

    def __init__(self, variant: str, lit: Callable[[Stage], Lighted]) -> None:
        self.variant, self._lit = variant, lit

    def load(self, stage: Stage) -> RasterRenderer:
        """Take a stage in; its light is worked out when it is first needed."""
        return RasterRenderer(stage, self._lit(stage))


class RasterRenderer:
    """A stage to draw."""

    def __init__(self, stage: Stage, lighted: Lighted) -> None:
        self.stage, self.lighted = stage, lighted

    def prepare(self) -> Iterator[float]:
        """Work out the light; see `contract.Renderer`."""
        return self.lighted.prepare()

    def expose(self, camera: str, settings: RenderSettings) -> RasterExposing:
        """Begin a picture of `camera`. Of the settings only the size counts."""
        return RasterExposing(self, camera, settings)

    def under(self, environment: Environment) -> RasterRenderer:
        """The same stage with another environment outside its windows."""
        stage = replace(self.stage, environment=environment)
        return RasterRenderer(stage, self.lighted.under(environment))

    def meter(self, points_m: F64, normals: F64, samples: int, first: int = 0) -> Mapping[str, F64]:
        """Illuminance by light, read by who works out the light; see `contract.Renderer`."""
        return self.lighted.meter(points_m, normals, samples, first)

    def arriving(self) -> Arriving:
        """It reads no light itself."""
        raise NotImplementedError


class RasterExposing:
    """A picture that is drawn at the first `advance`; another adds nothing."""

    def __init__(self, renderer: RasterRenderer, camera: str, settings: RenderSettings) -> None:
        self._stage, self._lighted = renderer.stage, renderer.lighted
        self._camera = renderer.stage.cameras[camera]
        self._size, self._only = (settings.width_px, settings.height_px), settings.only
        self._drawn: LightLayers | None = None
        self.done = 0

    def advance(self, samples: int) -> None:
        """Count `samples`, of which one is as good as many."""
        self.light()
        self.done += samples

    def light(self) -> LightLayers:
        """What the camera receives."""
        if self._drawn is None:
            self._drawn = self._draw()
        return self._drawn

    def state(self) -> dict[str, NDArray[np.generic]]:
        """Drawing anew is quicker than reading what was drawn."""
        return {"done": np.array(self.done)}

    def restore(self, state: Mapping[str, NDArray[np.generic]]) -> None:
        """Go on from an earlier `state`."""
        self.done = int(state["done"])

    def _draw(self) -> LightLayers:
        meshes, patterns = self._lighted.meshes, self._lighted.patterns
        # A thread draws into its newest context: it is opened for each picture and left to nobody.
        with Canvas() as canvas:
            if max(self._size) > canvas.most_px:
                raise MissingError(f"pictures over {canvas.most_px} pixels wide cannot be drawn")
            load(canvas, self._stage, meshes, patterns)
            layers: dict[str, Image] = {}
            for layer in self._stage.layers:
                canvas.shine(self._lighted.light((layer,)))
                layers[layer] = canvas.light(self._camera, self._size, alone=layer, only=self._only)
            guides = canvas.guides(self._camera, self._size, self._only)
        return LightLayers(
            layers, guides.albedo, guides.normal, guides.depth, guides.objects, samples=1
        )
