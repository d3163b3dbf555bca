"""Pictures made of whole pictures: averaged, blurred, developed. Import after a context is open."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from OpenGL import GL as gl  # noqa: N811

from previz.render.raster.programs import Program
from previz.render.raster.targets import Target


class Passes:
    """Programs that make every pixel of one target from others, compiled when first asked for."""

    def __init__(self) -> None:
        self._nothing = gl.glGenVertexArrays(1)
        self._programs: dict[tuple[str, int], Program] = {}

    def run(
        self, name: str, target: Target, sources: Mapping[str, int], samples: int = 1, **values: Any
    ) -> None:
        """Make every pixel of `target` by the shader called `name`.

        sources  texture by the name that the shader has for it
        samples  along each side of a pixel, where it averages
        """
        key = (name, samples)
        if key not in self._programs:
            self._programs[key] = Program("whole", name, SAMPLES=samples)
        target.use()
        gl.glDisable(gl.GL_DEPTH_TEST)
        gl.glDisable(gl.GL_CULL_FACE)
        for place, texture in reversed(list(enumerate(sources.values()))):
            gl.glActiveTexture(gl.GL_TEXTURE0 + place)
            gl.glBindTexture(gl.GL_TEXTURE_2D, texture)
        places = {source: place for place, source in enumerate(sources)}
        self._programs[key].use(**places, **values)
        gl.glBindVertexArray(self._nothing)
        gl.glDrawArrays(gl.GL_TRIANGLES, 0, 3)
