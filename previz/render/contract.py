"""What every renderer promises: stages in, light out. Light is cd/m2 and metres, never a picture.

A back end names its abilities. Whoever needs one it lacks asks another back end, and tests
hold every back end to each ability that it claims.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from previz.render.part import Part
from previz.stage.environment import Environment
from previz.stage.stage import Stage

Image = NDArray[np.float32]


class Ability(StrEnum):
    """What a back end can do."""

    LIGHT_LAYERS = "one image per light"
    ONE_PASS = "all light layers from one pass, for the price of one image"
    BOUNCES = "light between surfaces"
    LIT_LAMPS = "light that falls on lamps themselves"
    THIN_LENS = "defocus of a thin lens"
    BEAMS = "fixtures that throw more light on their axis"
    ENVIRONMENT = "surroundings seen through windows"
    HAIR = "hair as strands"
    METER = "illuminance at a point"
    SUN = "the sun's own light through windows"
    CLEAR_GLASS = "light that goes straight through clear glass"
    RELIEF = "relief of patterns where a camera looks"
    BAKE = "light read at points all over the set"
    NOISELESS = "pictures without noise"


@dataclass(frozen=True)
class RenderSettings:
    """How a picture is rendered.

    `max_depth` counts segments of a light path; -1 lets paths end by chance alone, so that no
    light is lost. Only comparisons with a closed form cut them short. With `only` that part alone
    is rendered, and all that comes of it has its size; its pixels are those of the whole picture.
    """

    width_px: int
    height_px: int
    samples: int
    max_depth: int = -1
    seed: int = 1
    only: Part | None = None

    @property
    def part(self) -> Part:
        """The pixels that are rendered."""
        return self.only or Part(0, 0, self.width_px, self.height_px)


@dataclass(frozen=True, eq=False)
class LightLayers:
    """What one camera receives.

    layers   by light: (height, width, 3) float32, linear BT.709, Y in cd/m2
    albedo   (height, width, 3) float32, reflectance of what is seen first
    normal   (height, width, 3) float32, its normal in the world
    depth    (height, width) float32, metres along the lens axis through pixel centres, inf: none
    objects  (height, width) uint16, `Stage.object_ids` through pixel centres, 0: none
    samples  paths per pixel so far
    """

    layers: Mapping[str, Image]
    albedo: Image
    normal: Image
    depth: Image
    objects: NDArray[np.uint16]
    samples: int

    @property
    def beauty(self) -> Image:
        """All lights together, (height, width, 3)."""
        return sum_layers(self.layers, self.albedo.shape)


def sum_layers(layers: Mapping[str, Image], shape: tuple[int, ...]) -> Image:
    """Sum of light layers; black of `shape` when there are none."""
    total = np.zeros(shape, np.float32)
    for image in layers.values():
        total += image
    return total


class Exposing(Protocol):
    """A picture in the making. Each `advance` adds one pass of samples to all layers."""

    @property
    def done(self) -> int:
        """Samples per pixel so far."""

    def advance(self, samples: int) -> None:
        """Trace `samples` more paths per pixel."""

    def light(self) -> LightLayers:
        """What was gathered so far, averaged."""

    def state(self) -> dict[str, NDArray[np.generic]]:
        """Everything needed to go on later, as arrays."""

    def restore(self, state: Mapping[str, NDArray[np.generic]]) -> None:
        """Go on from an earlier `state`."""


class Renderer(Protocol):
    """A stage loaded into a back end."""

    def prepare(self) -> Iterator[float]:
        """Do, once, what must come before any picture; how far that is, 0 to 1.

        Who does not ask for it waits for all of it with the first picture.
        """

    def expose(self, camera: str, settings: RenderSettings) -> Exposing:
        """Begin a picture of `camera`."""

    def meter(
        self,
        points_m: NDArray[np.float64],
        normals: NDArray[np.float64],
        samples: int,
        first: int = 0,
    ) -> Mapping[str, NDArray[np.float64]]:
        """Illuminance by light on flat receptors: layer -> (points, 3), linear BT.709, Y in lux.

        Samples are numbered and begin with `first`: each number is another random sample.
        """

    def under(self, environment: Environment) -> Renderer:
        """The same stage, loaded already, with another environment outside its windows."""

    def arriving(self) -> Arriving:
        """What reads the light at many points; only where it can `Ability.BAKE`."""


@dataclass(frozen=True, eq=False)
class Held:
    """Points of surfaces where light is read, n of them, each for one of some receptors.

    points_m  (n, 3), a little before the surface
    normals   (n, 3) unit vectors: which way each faces
    index     (n,) its receptor
    order     (n,) how many points of the same receptor come before it
    weight    (n,) its share of the receptor's mean
    """

    points_m: NDArray[np.float32]
    normals: NDArray[np.float32]
    index: NDArray[np.uint32]
    order: NDArray[np.uint32]
    weight: NDArray[np.float32]

    def __len__(self) -> int:
        return len(self.points_m)

    def part(self, start: int, stop: int) -> Held:
        """Those from one place to another."""
        return self.at(slice(start, stop))

    def at(self, which: slice | NDArray[np.int64]) -> Held:
        """Some of them."""
        return Held(*(array[which] for array in vars(self).values()))


@dataclass(frozen=True, eq=False)
class Met:
    """What rays met first, n of them.

    points_m  (n, 3) where
    facings   (n, 3) unit vectors out of what was met, to the side that the ray came from
    albedo    (n, 3) share of light that it sends back; zero where nothing was met, and of lamps
    away_m    (n,) how far away, inf: nothing
    """

    points_m: NDArray[np.float32]
    facings: NDArray[np.float32]
    albedo: NDArray[np.float32]
    away_m: NDArray[np.float32]


class Arriving(Protocol):
    """Reads what arrives at many points of a stage at once, for who keeps the light."""

    def straight(
        self, held: Held, count: int, only: Collection[str] | None = None
    ) -> Iterator[tuple[int, NDArray[np.float32]]]:
        """Light straight from lamps, windows and the sun, at `count` receptors; or of the layers
        `only`.

        It goes in steps and gives after each the points done, and the sum so far: (receptors,
        layers, 3), linear BT.709, Y in lux; after the last it is the mean.
        """

    def met(self, held: Held) -> Iterator[tuple[int, Met]]:
        """What is met by a ray from each point, spread by the cosine; the points done, and what
        the next of them met. Clear glass is looked through."""

    def opened(self, held: Held, count: int, reach_m: float, rays: int) -> NDArray[np.float32]:
        """Share (count,) of an even sky's light that nothing nearer than `reach_m` keeps off.

        Asked by so many `rays` from each point.
        """


class BackEnd(Protocol):
    """A way to render: its name, what ran underneath, what it can do."""

    @property
    def name(self) -> str:
        """Name of the back end."""

    @property
    def variant(self) -> str:
        """What it runs on, as recorded in the manifest."""

    @property
    def abilities(self) -> frozenset[Ability]:
        """What it can do."""

    @property
    def pass_paths(self) -> int:
        """Paths to trace between two looks at the clock: about as many as a second takes."""

    @property
    def on_card(self) -> bool:
        """Whether it computes on an NVIDIA graphics card."""

    def load(self, stage: Stage) -> Renderer:
        """Take a stage in."""
