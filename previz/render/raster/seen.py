"""What a camera that stands still sees: the triangles that reach any pixel, and no others.

Most of what lies in the picture is hidden or falls between pixels. While only light changes, the
same triangles are seen again, and to draw them alone takes half the time and gives the same
picture. Import after a context is open.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811

from previz.render.raster.pool import Picked, Pool
from previz.render.raster.programs import Program
from previz.render.raster.targets import Targets
from previz.render.raster.view import View

MOST = 8
"""Cameras and sizes to keep this of."""


class Seen:
    """What cameras saw, until what is loaded changes."""

    def __init__(self, pools: Sequence[Pool], targets: Targets) -> None:
        self._pools, self._targets = pools, targets
        self._program = Program("number", "number")
        # By camera and size: where it stood, and what it saw once that was asked for again.
        self._known: dict[tuple[str, tuple[int, int]], tuple[bytes, list[Picked] | None]] = {}

    def forget(self) -> None:
        """Something else is loaded."""
        for _, picked in self._known.values():
            _delete(picked)
        self._known.clear()

    def by(self, view: View, name: str, size: tuple[int, int]) -> list[Picked]:
        """What to draw of each pool: all that is in view the first time, what is seen from then on.

        size  samples across and down
        """
        key, stands = (name, size), view.to_clip.tobytes()
        stood, picked = self._known.pop(key) if key in self._known else (b"", None)
        if stood != stands:
            _delete(picked)
            self._known[key] = stands, None
            while len(self._known) > MOST:
                _delete(self._known.pop(next(iter(self._known)))[1])
            return [pool.in_view(view, name) for pool in self._pools]
        # Taken out and in again: the one asked for longest ago is the first to go.
        picked = picked or self._looked(view, name, size)
        self._known[key] = stands, picked
        return picked

    def _looked(self, view: View, name: str, size: tuple[int, int]) -> list[Picked]:
        """Draw the number of every triangle, and see which are left."""
        target = self._targets.of(size, [gl.GL_R32UI], depth=True)
        target.use()
        gl.glEnable(gl.GL_DEPTH_TEST)
        gl.glClear(gl.GL_DEPTH_BUFFER_BIT)
        gl.glClearBufferuiv(gl.GL_COLOR, 0, np.zeros(4, np.uint32))
        self._program.use(camera=view.to_clip)
        starts = np.cumsum([1, *(len(pool.faces) for pool in self._pools)])
        for pool, start in zip(self._pools, starts[:-1], strict=True):
            for run in pool.in_view(view, name).runs:
                self._program.use(first=int(start + run.first))
                pool.draw([run])
        numbers = np.empty((size[1], size[0]), np.uint32)
        target.read(0, gl.GL_RED_INTEGER, gl.GL_UNSIGNED_INT, numbers)
        wanted: NDArray[np.bool_] = np.zeros(int(starts[-1]), bool)
        wanted[numbers] = True
        return [
            pool.pick(wanted[start:end])
            for pool, start, end in zip(self._pools, starts[:-1], starts[1:], strict=True)
        ]


def _delete(picked: list[Picked] | None) -> None:
    buffers = [some.faces for some in picked or []]
    if buffers:
        gl.glDeleteBuffers(len(buffers), buffers)
