"""A graphics context and what is loaded into it: pictures, light and guides of any camera."""

from __future__ import annotations

import threading
from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.contract import Image
from previz.render.drawn import DrawnMesh
from previz.render.part import Part
from previz.render.raster.context import Context
from previz.render.raster.shot import Shot
from previz.stage.environment import Environment
from previz.stage.stage import Emitter, StageCamera

if TYPE_CHECKING:
    from previz.render.raster.drawing import Drawing
    from previz.render.raster.passage import Passage

Picture = NDArray[np.uint8]
FINE = 2
"""Samples along each side of a pixel of a fine picture. In software four are cheaper so than as
samples of the library's own, for then each triangle is looked at four times at its edges."""


class ViewTable(Protocol):
    """How light becomes a picture, as `previz.develop.table.DevelopTable` has it."""

    @property
    def values(self) -> NDArray[np.float32]:
        """(n, n, n, 3), sRGB from 0 to 1, by place of blue, green and red."""

    @property
    def toe(self) -> float:
        """Added to scene-linear before its bits are taken."""

    @property
    def first_bits(self) -> int:
        """Bits of the first place."""

    @property
    def step_bits(self) -> float:
        """Bits from one place to the next."""


@dataclass(frozen=True, eq=False)
class Guides:
    """What is seen through the centre of each pixel, as in `contract.LightLayers`.

    albedo   (height, width, 3) float32; of lit lamps 1, of clear glass 0
    normal   (height, width, 3) float32, in the world; 0 where there is nothing
    depth    (height, width) float32, metres along the lens axis, inf: none
    objects  (height, width) uint16, numbers of things, 0: none
    """

    albedo: Image
    normal: Image
    depth: Image
    objects: NDArray[np.uint16]


class Canvas:
    """A graphics context and what is loaded into it. All calls come from the thread that made it.

    A thread has one at a time, for the latest that is made is the one that is drawn into; several
    threads may have one each. Use it as a context manager, or close it on its own thread; after
    that another can be made, as often as wanted. Sizes are (width, height) in pixels.
    """

    def __init__(self) -> None:
        """MissingError where there is nothing to draw with."""
        self._thread = threading.get_ident()
        self._context: Context | None = Context()
        try:
            from previz.render.raster.drawing import Drawing  # noqa: PLC0415 - needs a context

            self._loaded: Drawing | None = Drawing()
        except BaseException:
            self._context.close()
            raise

    @property
    def drawn_by(self) -> str:
        """What draws, for people: "OpenGL 4.5, in software (EGL)"."""
        self._drawing()
        assert self._context is not None
        return self._context.drawn_by

    def load(
        self,
        meshes: Sequence[DrawnMesh],
        patterns: Sequence[Material],
        emitters: Sequence[Emitter],
        environment: Environment | None,
        emitter_things: Sequence[int],
    ) -> None:
        """Take a set in, in place of what was loaded.

        patterns        the materials that the meshes' patterns number
        emitters        those that are lit are drawn; the others are for the meshes
        emitter_things  number of the thing of each emitter

        Meshes that are the same objects as before cost nothing while all of their kind (plain,
        patterned, clear) are; otherwise those of that kind are uploaded, and what was worked out
        of a mesh is kept. Meshes that were uploaded have no light until `shine`.
        """
        self._drawing().load(meshes, patterns, emitters, environment, emitter_things)

    def shine(self, light: Sequence[NDArray[np.float32]]) -> None:
        """Give the meshes their light, in the order in which they were loaded.

        light  of each mesh (v, 3): irradiance over pi at its vertices, linear BT.709, so that
               radiance is albedo x light, cd/m2; clear glass takes any array
        """
        self._drawing().shine(light)

    def picture(
        self,
        camera: StageCamera,
        size: tuple[int, int],
        scale: NDArray[np.floating],
        table: ViewTable,
        *,
        fine: bool = False,
        on: tuple[Passage, int] | None = None,
    ) -> Picture:
        """The developed picture (height, width, 3), 8 bit sRGB.

        scale  from cd/m2 to scene-linear by colour, (3,): exposure times gains of the white
        fine   four samples a pixel; else one, through its centre, at a third of the price
        on     the passage that the camera is on, and its number there: half the price
        """
        picked = on[0].at(on[1]) if on else None
        return self._drawing().picture(camera, size, scale, table, FINE if fine else 1, picked)

    def passage(self, cameras: Sequence[StageCamera], size: tuple[int, int]) -> Passage:
        """Cameras in order, of pictures of this size; close it on this thread."""
        return self._drawing().passage(cameras, size)

    def frame(
        self, shot: Shot, size: tuple[int, int], table: ViewTable, *, defocus: bool = True
    ) -> Picture:
        """As a fine `picture`, of a shot of one camera or several.

        With `defocus` what is out of focus is blurred as their lenses blur it, but for what shows
        only through blurred edges.
        """
        return self._drawing().frame(shot, size, table, defocus=defocus)

    def film(
        self,
        shots: Sequence[Shot],
        size: tuple[int, int],
        table: ViewTable,
        *,
        defocus: bool = True,
    ) -> Generator[Picture]:
        """A `frame` of each shot, of one camera that moves on from shot to shot.

        Edges are as smooth and each costs a third, since a frame goes on from the one before it.
        What a camera passes while the shutter is open is smeared where its shot has many cameras.
        """
        return self._drawing().film(shots, size, table, defocus=defocus)

    @property
    def most_px(self) -> int:
        """How wide or high light can be drawn."""
        return self._drawing().most_px // FINE

    def light(
        self,
        camera: StageCamera,
        size: tuple[int, int],
        *,
        alone: str | None = None,
        only: Part | None = None,
    ) -> Image:
        """Light (height, width, 3) float32, linear BT.709 in cd/m2, four samples a pixel.

        `alone`: a light layer; the lamps of all others are dark. What meshes send back is as
        `shine` has it. `only`: that part of the picture, and nothing else is shaded.
        """
        return self._drawing().light(camera, size, FINE, alone, only)

    def guides(
        self, camera: StageCamera, size: tuple[int, int], only: Part | None = None
    ) -> Guides:
        """What is there, through the centres of pixels; of `only` a part of the picture."""
        found = self._drawing().guides(camera, size)
        return Guides(*(found if only is None else (only.of(image) for image in found)))

    def close(self) -> None:
        """Let go of it. A second time does nothing."""
        if self._context is None:
            return
        self._drawing()
        self._loaded = None
        context, self._context = self._context, None
        context.close()

    def __enter__(self) -> Canvas:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _drawing(self) -> Drawing:
        if self._loaded is None:
            raise ValueError("this canvas is closed")
        if threading.get_ident() != self._thread:
            raise ValueError("a canvas is used on the thread that made it")
        return self._loaded
