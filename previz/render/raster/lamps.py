"""Glowing faces of lights, and the world outside windows. Import after a context is open."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811

from previz.render.faces import face_of
from previz.render.raster.pool import ALBEDO, NORMAL, POSITION, THING
from previz.render.raster.programs import Program
from previz.stage.environment import Environment, Sun
from previz.stage.stage import Emitter

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class _Lamp:
    """A lit emitter, where its triangles lie, and its beam: a texture, 0 where it is matt."""

    emitter: Emitter
    thing: int
    first: int
    count: int
    beam: int
    azimuths: int


class Lamps:
    """All lit emitters of a stage."""

    def __init__(self) -> None:
        self._array = gl.glGenVertexArrays(1)
        self._buffer = gl.glGenBuffers(1)
        self._beams: list[int] = []
        self._lamps: list[_Lamp] = []
        self._panorama = 0
        self._outside: Environment | None = None
        self._brightest = 0.0

    def load(
        self, emitters: Sequence[Emitter], things: Sequence[int], environment: Environment | None
    ) -> None:
        """Take lights in; those that are off are left to the meshes."""
        self._load_environment(environment)
        if self._beams:
            gl.glDeleteTextures(self._beams)
        self._beams, self._lamps = [], []
        corners: list[F32] = []
        first = 0
        for emitter, thing in zip(emitters, things, strict=True):
            if not emitter.lit:
                continue
            face = face_of(emitter.shape)
            beam, azimuths = self._beam_of(emitter)
            self._lamps.append(_Lamp(emitter, thing, first, len(face), beam, azimuths))
            corners.append(face)
            first += len(face)
        joined = np.concatenate([np.zeros((0, 6), np.float32), *corners])
        gl.glBindVertexArray(self._array)
        gl.glBindBuffer(gl.GL_ARRAY_BUFFER, self._buffer)
        gl.glBufferData(gl.GL_ARRAY_BUFFER, joined.nbytes, joined, gl.GL_STATIC_DRAW)
        for attribute, offset in ((POSITION, 0), (NORMAL, 12)):
            gl.glEnableVertexAttribArray(attribute)
            gl.glVertexAttribPointer(attribute, 3, gl.GL_FLOAT, False, 24, gl.GLvoidp(offset))

    def _beam_of(self, emitter: Emitter) -> tuple[int, int]:
        """Texture of a beam's table, and how many azimuths it has; 0, 0 where there is none."""
        if emitter.profile is None:
            return 0, 0
        rows = np.ascontiguousarray(np.atleast_2d(emitter.profile), np.float32)
        texture = _texture(gl.GL_NEAREST)
        shape = (gl.GL_TEXTURE_2D, 0, gl.GL_R32F, rows.shape[1], len(rows), 0)
        gl.glTexImage2D(*shape, gl.GL_RED, gl.GL_FLOAT, rows)
        self._beams.append(texture)
        return texture, len(rows)

    def _load_environment(self, environment: Environment | None) -> None:
        if environment is self._outside:
            return
        if self._panorama:
            gl.glDeleteTextures([self._panorama])
        self._outside, self._panorama = environment, 0
        if environment is None:
            return
        # The first column again at the end, so that the seam at plan south interpolates.
        picture = environment.panorama
        picture = np.concatenate([picture, picture[:, :1]], axis=1)
        # Half floats end at 65504 cd/m2, which a bright cloud passes.
        self._brightest = max(float(picture.max(initial=0.0)), 1e-6)
        shares = np.ascontiguousarray(picture / self._brightest, np.float32)
        self._panorama = _texture(gl.GL_LINEAR)
        shape = (gl.GL_TEXTURE_2D, 0, gl.GL_RGB16F, shares.shape[1], shares.shape[0], 0)
        gl.glPixelStorei(gl.GL_UNPACK_ALIGNMENT, 1)
        gl.glTexImage2D(*shape, gl.GL_RGB, gl.GL_FLOAT, shares)

    def draw(
        self,
        program: Program,
        camera: F64,
        lens_m: F64,
        scale: F64,
        limit: float,
        alone: str | None = None,
    ) -> None:
        """Draw all faces in their luminance times `scale`, up to `limit`.

        camera  (4, 4) from world to clip space
        lens_m  where it stands
        alone   the one light layer whose faces are not black
        """
        if not self._lamps:
            return
        gl.glBindVertexArray(self._array)
        gl.glDisable(gl.GL_CULL_FACE)
        program.use(camera=camera, lens=lens_m, beam=1, panorama=2, limit=limit)
        program.use(brightest=self._brightest, **self._sun())
        gl.glActiveTexture(gl.GL_TEXTURE2)
        gl.glBindTexture(gl.GL_TEXTURE_2D, self._panorama)
        gl.glActiveTexture(gl.GL_TEXTURE1)
        for lamp in self._lamps:
            gl.glBindTexture(gl.GL_TEXTURE_2D, lamp.beam)
            pose = lamp.emitter.shape.pose
            dark = alone is not None and lamp.emitter.layer != alone
            program.use(
                power=np.zeros(3) if dark else lamp.emitter.power * scale,
                window=int(lamp.emitter.window and self._outside is not None),
                azimuths=lamp.azimuths,
                zero=-pose[:3, 0],
                quarter=pose[:3, 1],
            )
            gl.glDrawArrays(gl.GL_TRIANGLES, lamp.first, lamp.count)
        gl.glActiveTexture(gl.GL_TEXTURE0)

    def draw_guides(self) -> None:
        """Draw all faces for the guides, with the program that is in use: they are white."""
        gl.glBindVertexArray(self._array)
        gl.glDisable(gl.GL_CULL_FACE)
        gl.glVertexAttrib3f(ALBEDO, 1.0, 1.0, 1.0)
        for lamp in self._lamps:
            gl.glVertexAttribI1ui(THING, lamp.thing)
            gl.glDrawArrays(gl.GL_TRIANGLES, lamp.first, lamp.count)

    def _sun(self) -> dict[str, object]:
        sun: Sun | None = None if self._outside is None else self._outside.sun
        if sun is None:
            return {"sun": np.zeros(3), "sun_radius": 0.0, "sun_light": np.zeros(3)}
        sine = math.sin(sun.radius_rad)
        light = sun.light / (math.pi * sine * sine)
        return {"sun": sun.direction, "sun_radius": sine, "sun_light": light}


def _texture(how: int) -> int:
    """A texture that ends at its edges, bound."""
    texture = gl.glGenTextures(1)
    gl.glBindTexture(gl.GL_TEXTURE_2D, texture)
    for name, value in (
        (gl.GL_TEXTURE_MIN_FILTER, how),
        (gl.GL_TEXTURE_MAG_FILTER, how),
        (gl.GL_TEXTURE_WRAP_S, gl.GL_CLAMP_TO_EDGE),
        (gl.GL_TEXTURE_WRAP_T, gl.GL_CLAMP_TO_EDGE),
    ):
        gl.glTexParameteri(gl.GL_TEXTURE_2D, name, value)
    return int(texture)
