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
    """What cameras saw, until what is loaded changes.

    loads  how often that happened
    """

    def __init__(self, pools: Sequence[Pool], targets: Targets) -> None:
        self._pools, self._targets = pools, targets
        self._program = Program("number", "number")
        self.loads = 0
        # By camera and size: where it stood, and what it saw once that was asked for again.
        self._known: dict[tuple[str, tuple[int, int]], tuple[bytes, list[Picked] | None]] = {}

    def forget(self) -> None:
        """Something else is loaded."""
        self.loads += 1
        for _, picked in self._known.values():
            let_go(picked)
        self._known.clear()

    def by(self, view: View, name: str, size: tuple[int, int]) -> list[Picked]:
        """What to draw of each pool: all that is in view the first time, what is seen from then on.

        size  samples across and down
        """
        key, stands = (name, size), view.to_clip.tobytes()
        stood, picked = self._known.pop(key) if key in self._known else (b"", None)
        if stood != stands:
            let_go(picked)
            self._known[key] = stands, None
            while len(self._known) > MOST:
                let_go(self._known.pop(next(iter(self._known)))[1])
            return [pool.in_view(view, name) for pool in self._pools]
        # Taken out and in again: the one asked for longest ago is the first to go.
        picked = picked or self.picked(self.triangles(view, name, size))
        self._known[key] = stands, picked
        return picked

    def triangles(self, view: View, name: str, size: tuple[int, int]) -> NDArray[np.bool_]:
        """Draw the number of every triangle, and see which are left: (f,), of all pools in turn."""
        target = self._targets.of(size, [gl.GL_R32UI], depth=True)
        target.use()
        gl.glEnable(gl.GL_DEPTH_TEST)
        gl.glClear(gl.GL_DEPTH_BUFFER_BIT)
        gl.glClearBufferuiv(gl.GL_COLOR, 0, np.zeros(4, np.uint32))
        self._program.use(camera=view.to_clip)
        # Number 0 is nothing.
        for pool, start in zip(self._pools, self._starts, strict=False):
            for run in pool.in_view(view, name).runs:
                self._program.use(first=int(start + run.first + 1))
                pool.draw([run])
        numbers = np.empty((size[1], size[0]), np.uint32)
        target.read(0, gl.GL_RED_INTEGER, gl.GL_UNSIGNED_INT, numbers)
        seen: NDArray[np.bool_] = np.zeros(int(self._starts[-1]) + 1, bool)
        seen[numbers] = True
        return seen[1:]

    def beside(self, seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Those triangles (f,), and all that share a corner with one of them."""
        pairs = zip(self._pools, self._starts[:-1], self._starts[1:], strict=True)
        return np.concatenate([pool.beside(seen[start:end]) for pool, start, end in pairs])

    def picked(self, seen: NDArray[np.bool_]) -> list[Picked]:
        """Some of all triangles (f,), to be drawn alone; whoever asks lets go of them."""
        pairs = zip(self._pools, self._starts[:-1], self._starts[1:], strict=True)
        return [pool.pick(seen[start:end]) for pool, start, end in pairs]

    @property
    def _starts(self) -> NDArray[np.int64]:
        return np.cumsum([0, *(len(pool.faces) for pool in self._pools)])


def let_go(picked: list[Picked] | None) -> None:
    """Give the memory of picked triangles back."""
    buffers = [some.faces for some in picked or []]
    if buffers:
        gl.glDeleteBuffers(len(buffers), buffers)
