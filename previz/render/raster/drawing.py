"""How a set is drawn. Import after a context is open."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811

from previz.model.records import Material
from previz.render.drawn import DrawnMesh
from previz.render.part import Part
from previz.render.raster.defocus import Defocus, all_sharp, softness
from previz.render.raster.figures import Figure, Figures
from previz.render.raster.lamps import Lamps
from previz.render.raster.passage import Passage
from previz.render.raster.passes import Passes
from previz.render.raster.pool import Picked, Pool, alike
from previz.render.raster.programs import Program
from previz.render.raster.seen import Seen
from previz.render.raster.shot import Shot, shift
from previz.render.raster.steady import Steady
from previz.render.raster.targets import Target, Targets
from previz.render.raster.view import View
from previz.stage.environment import Environment
from previz.stage.stage import Emitter, StageCamera

if TYPE_CHECKING:
    from previz.render.raster.canvas import ViewTable

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]
MOST_HALF = 6.0e4
"""Exposed light is brought down to this: half floats end at 65504, and all views long before."""
MOST_FLOAT = 1.0e30
ENOUGH = 4
"""So many pictures of a smear smooth each other's edges, one sample a pixel each; fewer take four.
"""


class Drawing:
    """Everything that lives in one context."""

    def __init__(self) -> None:
        self._plain, self._patterned, self._clear = Pool(), Pool(), Pool()
        self._pools = (self._plain, self._patterned, self._clear)
        self._kinds: list[int] = []
        self._figures = Figures()
        self._of_pattern: list[Figure] = []
        self._lamps = Lamps()
        self._targets = Targets()
        self._seen_before = Seen((self._plain, self._patterned), self._targets)
        self._passes = Passes()
        self._defocus = Defocus(self._passes, self._targets)
        self._table: tuple[ViewTable, int] | None = None
        self._draw_plain = Program("plain", "plain")
        self._draw_patterned = Program("patterned", "patterned")
        self._draw_lamps = Program("lamp", "lamp")
        self._draw_glass = Program("glass", "glass")
        self._draw_guides = Program("guide", "guide")
        version = (gl.glGetIntegerv(gl.GL_MAJOR_VERSION), gl.glGetIntegerv(gl.GL_MINOR_VERSION))
        # Depth can run from 1 at the lens to 0: then floats tell sheets apart at any distance.
        self._reversed = version >= (4, 5)
        if self._reversed:
            gl.glClipControl(gl.GL_LOWER_LEFT, gl.GL_ZERO_TO_ONE)
        gl.glDepthFunc(gl.GL_GREATER if self._reversed else gl.GL_LESS)
        gl.glClearDepth(0.0 if self._reversed else 1.0)
        gl.glClearColor(0.0, 0.0, 0.0, 0.0)
        gl.glCullFace(gl.GL_BACK)

    def load(
        self,
        meshes: Sequence[DrawnMesh],
        patterns: Sequence[Material],
        emitters: Sequence[Emitter],
        environment: Environment | None,
        emitter_things: Sequence[int],
    ) -> None:
        """See `Canvas.load`."""
        self._of_pattern = self._figures.of(patterns)
        self._kinds = [2 if mesh.clear else int(mesh.pattern is not None) for mesh in meshes]
        others = False
        for kind, pool in enumerate(self._pools):
            of_kind = [m for m, k in zip(meshes, self._kinds, strict=True) if k == kind]
            others |= pool.load(of_kind, self._of_pattern if pool is self._patterned else ())
        self._lamps.load(emitters, emitter_things, environment)
        if others:
            self._seen_before.forget()

    def shine(self, light: Sequence[F32]) -> None:
        """See `Canvas.shine`."""
        for kind in (0, 1):
            of_kind = [a for a, k in zip(light, self._kinds, strict=True) if k == kind]
            self._pools[kind].shine(of_kind)

    def picture(
        self,
        camera: StageCamera,
        size: tuple[int, int],
        scale: NDArray[np.floating],
        table: ViewTable,
        samples: int,
        picked: list[Picked] | None = None,
    ) -> NDArray[np.uint8]:
        """See `Canvas.picture`; `samples` along each side of a pixel."""
        view = View(camera, self._reversed)
        exposed = np.asarray(scale, float)
        seen = self._seen(view, camera, size, exposed, samples, half=True, picked=picked)
        return self._developed(seen, size, table, samples)

    def frame(
        self,
        shot: Shot,
        size: tuple[int, int],
        table: ViewTable,
        *,
        defocus: bool,
    ) -> NDArray[np.uint8]:
        """See `Canvas.frame`."""
        light = self._smeared(shot, size, None, defocus=defocus)
        return self._developed(self._defocus.blurred(light) if defocus else light, size, table, 1)

    def film(
        self, shots: Sequence[Shot], size: tuple[int, int], table: ViewTable, *, defocus: bool
    ) -> Generator[NDArray[np.uint8]]:
        """See `Canvas.film`."""
        passage = self.passage([shot.cameras[0] for shot in shots], size)
        steady = Steady(self._passes, size)
        try:
            for number, shot in enumerate(shots):
                picked = passage.at(number)
                if len(shot.cameras) > 1:
                    light = self._smeared(shot, size, picked, defocus=defocus)
                    steady.forget()
                else:
                    light = self._steadied(shot, size, number, picked, steady, defocus=defocus)
                light = self._defocus.blurred(light) if defocus else light
                yield self._developed(light, size, table, 1)
        finally:
            passage.close()
            steady.close()

    def passage(self, cameras: Sequence[StageCamera], size: tuple[int, int]) -> Passage:
        """What is seen from cameras in order, to be drawn with less work."""
        return Passage(self._seen_before, cameras, size, self._reversed)

    def _smeared(
        self, shot: Shot, size: tuple[int, int], picked: list[Picked] | None, *, defocus: bool
    ) -> Target:
        """The mean of the light of a shot's cameras, with its softness."""
        samples = 1 if len(shot.cameras) >= ENOUGH else 2
        total = self._targets.of(size, [gl.GL_RGBA32F])
        for number, camera in enumerate(shot.cameras):
            view = View(camera, self._reversed, shift(number, size) if samples == 1 else (0.0, 0.0))
            seen = self._seen(view, camera, size, shot.scale, samples, half=True, picked=picked)
            lens = softness(camera, size[0]) if defocus else all_sharp()
            if number:  # the first takes the place of what was there
                gl.glEnable(gl.GL_BLEND)
                gl.glBlendFunc(gl.GL_ONE, gl.GL_ONE)
            light = {"light": seen.textures[0]}
            share = 1.0 / len(shot.cameras)
            self._passes.run("added", total, light, samples, share=share, **lens)
            gl.glDisable(gl.GL_BLEND)
        return total

    def _steadied(
        self,
        shot: Shot,
        size: tuple[int, int],
        number: int,
        picked: list[Picked] | None,
        steady: Steady,
        *,
        defocus: bool,
    ) -> Target:
        """The light of a shot of one camera, smoothed by the frames before it; its softness."""
        camera = shot.cameras[0]
        lens = softness(camera, size[0]) if defocus else all_sharp()
        if steady.begun:
            view = View(camera, self._reversed, shift(number, size))
            seen = self._seen(view, camera, size, shot.scale, 1, half=True, picked=picked)
            return steady.next(camera, seen, **lens)
        view = View(camera, self._reversed)
        seen = self._seen(view, camera, size, shot.scale, 2, half=True, picked=picked)
        return steady.first(camera, seen, **lens)

    def _developed(
        self, seen: Target, size: tuple[int, int], table: ViewTable, samples: int
    ) -> NDArray[np.uint8]:
        """The picture (height, width, 3) of light that is exposed already."""
        picture = self._targets.of(size, [gl.GL_RGBA8])
        gl.glActiveTexture(gl.GL_TEXTURE1)
        gl.glBindTexture(gl.GL_TEXTURE_3D, self._table_texture(table))
        self._passes.run(
            "develop",
            picture,
            {"light": seen.textures[0]},
            samples,
            table=1,
            toe=table.toe,
            first_bits=table.first_bits,
            places_a_bit=1.0 / table.step_bits,
        )
        result = np.empty((size[1], size[0], 3), np.uint8)
        picture.read(0, gl.GL_RGB, gl.GL_UNSIGNED_BYTE, result)
        return result

    @property
    def most_px(self) -> int:
        """The widest that can be drawn into."""
        return int(gl.glGetIntegerv(gl.GL_MAX_TEXTURE_SIZE))

    def light(
        self,
        camera: StageCamera,
        size: tuple[int, int],
        samples: int,
        alone: str | None,
        only: Part | None = None,
    ) -> F32:
        """See `Canvas.light`."""
        view = View(camera, self._reversed)
        seen = self._seen(
            view, camera, size, np.ones(3), samples, half=False, alone=alone, only=only
        )
        mean = self._targets.of(size, [gl.GL_RGBA32F])
        self._passes.run("mean", mean, {"light": seen.textures[0]}, samples)
        result = np.empty((size[1], size[0], 3), np.float32)
        mean.read(0, gl.GL_RGB, gl.GL_FLOAT, result)
        return result if only is None else np.ascontiguousarray(only.of(result))

    def guides(
        self, camera: StageCamera, size: tuple[int, int]
    ) -> tuple[F32, F32, F32, NDArray[np.uint16]]:
        """Albedo, normal, depth and objects: see `Canvas.guides`."""
        target = self._targets.of(size, [gl.GL_RGBA32F, gl.GL_RGBA32F], depth=True)
        self._begin(target)
        view = View(camera, self._reversed)
        program = self._draw_guides
        program.use(camera=view.to_clip, figure=0)
        for pool in self._pools:
            for runs in alike(pool.in_view(view, camera.name).runs):
                program.use(patterned=int(runs[0].figure >= 0))
                self._with_figure(program, runs[0].figure)
                pool.draw(runs)
        program.use(patterned=0)
        self._lamps.draw_guides()
        images = [np.empty((size[1], size[0], 4), np.float32) for _ in range(2)]
        for number, image in enumerate(images):
            target.read(number, gl.GL_RGBA, gl.GL_FLOAT, image)
        first, second = (image[::-1] for image in images)
        objects = np.ascontiguousarray(first[..., 3].astype(np.uint16))
        depth = np.where(objects > 0, second[..., 3], np.float32(np.inf))
        return (
            np.ascontiguousarray(first[..., :3]),
            np.ascontiguousarray(second[..., :3]),
            np.asarray(depth, np.float32),
            objects,
        )

    def _seen(
        self,
        view: View,
        camera: StageCamera,
        size: tuple[int, int],
        scale: F64,
        samples: int,
        half: bool,
        alone: str | None = None,
        picked: list[Picked] | None = None,
        only: Part | None = None,
    ) -> Target:
        """The light of a camera times `scale`, with `samples` along each side of a pixel.

        `picked`: what to draw of each pool, where that is known; `only`: where to draw.
        """
        kind = gl.GL_RGBA16F if half else gl.GL_RGBA32F
        samples_size = (size[0] * samples, size[1] * samples)
        target = self._targets.of(samples_size, [kind], depth=True)
        plain, patterned = picked or self._seen_before.by(view, camera.name, samples_size)
        self._begin(target)
        if only is not None:
            up = size[1] - only.top_px - only.height_px  # the library counts rows from below
            box = (only.left_px, up, only.width_px, only.height_px)
            gl.glEnable(gl.GL_SCISSOR_TEST)
            gl.glScissor(*(value * samples for value in box))
        shared = {"camera": view.to_clip, "scale": scale}
        for runs in alike(plain.runs):
            self._draw_plain.use(**shared)
            self._plain.draw(runs, plain.faces)
        for runs in alike(patterned.runs):
            self._draw_patterned.use(**shared, figure=0)
            self._with_figure(self._draw_patterned, runs[0].figure)
            self._patterned.draw(runs, patterned.faces)
        limit = MOST_HALF if half else MOST_FLOAT
        self._lamps.draw(self._draw_lamps, view.to_clip, camera.position_m, scale, limit, alone)
        self._darken(view, camera)
        gl.glDisable(gl.GL_SCISSOR_TEST)
        return target

    def _darken(self, view: View, camera: StageCamera) -> None:
        """Take from what is there what clear glass before it takes."""
        glass = alike(self._clear.in_view(view, camera.name).runs)
        if not glass:
            return
        gl.glEnable(gl.GL_BLEND)
        gl.glBlendFunc(gl.GL_ZERO, gl.GL_SRC_COLOR)
        gl.glDepthMask(False)
        self._draw_glass.use(camera=view.to_clip, lens=camera.position_m)
        for runs in glass:
            self._clear.draw(runs)
        gl.glDepthMask(True)
        gl.glDisable(gl.GL_BLEND)

    def _begin(self, target: Target) -> None:
        target.use()
        gl.glEnable(gl.GL_DEPTH_TEST)
        gl.glClear(gl.GL_COLOR_BUFFER_BIT | gl.GL_DEPTH_BUFFER_BIT)
        gl.glActiveTexture(gl.GL_TEXTURE0)

    def _with_figure(self, program: Program, number: int) -> None:
        if number >= 0:
            figure = self._of_pattern[number]
            gl.glBindTexture(gl.GL_TEXTURE_2D, figure.texture)
            program.use(most=figure.most)

    def _table_texture(self, table: ViewTable) -> int:
        """The table as a texture, until another is asked for."""
        if self._table is not None and self._table[0] is table:
            return self._table[1]
        if self._table is not None:
            gl.glDeleteTextures([self._table[1]])
        texture = gl.glGenTextures(1)
        gl.glBindTexture(gl.GL_TEXTURE_3D, texture)
        for name in (gl.GL_TEXTURE_MIN_FILTER, gl.GL_TEXTURE_MAG_FILTER):
            gl.glTexParameteri(gl.GL_TEXTURE_3D, name, gl.GL_NEAREST)
        codes = np.zeros((*table.values.shape[:3], 4), np.uint8)
        codes[..., :3] = np.rint(table.values * 255.0)
        side = len(codes)
        shape = (gl.GL_TEXTURE_3D, 0, gl.GL_RGBA8, side, side, side, 0)
        gl.glTexImage3D(*shape, gl.GL_RGBA, gl.GL_UNSIGNED_BYTE, codes)
        self._table = (table, int(texture))
        return int(texture)
