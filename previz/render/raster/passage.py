"""What a camera sees on its way: the triangles of a stretch of frames, found where it begins and
ends. A fifth of what lies in the picture, as of a camera that stands. Import after a context is
open.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from previz.render.raster.pool import Picked
from previz.render.raster.seen import Seen, let_go
from previz.render.raster.view import View
from previz.stage.moving.shutter import shift_px
from previz.stage.stage import StageCamera

LONGEST = 16
"""Frames of a stretch at most: an estimate."""
SHORTEST = 4
"""Where stretches are shorter than this, finding out costs more than it spares."""
FARTHEST = 1 / 8
"""Of the picture's width: farther nothing may go over a stretch, or what shows only in between
would be missed. An estimate."""
FINER = 2
"""Looked at in so many samples along each side of a pixel: the frames take theirs elsewhere."""


class Passage:
    """The cameras of a film in order, and what is seen on each stretch of it.

    What is beside a triangle that is seen counts as seen: it may show a frame later.
    """

    def __init__(
        self, seen: Seen, cameras: Sequence[StageCamera], size: tuple[int, int], reversed_: bool
    ) -> None:
        self._seen, self._cameras, self._reversed = seen, cameras, reversed_
        self._size = (size[0] * FINER, size[1] * FINER)
        self._stations = stations(cameras, size[0])
        self._of_stretch: dict[int, list[Picked] | None] = {}
        self._last: tuple[int, NDArray[np.bool_]] | None = None
        self._loads = seen.loads

    def at(self, number: int) -> list[Picked] | None:
        """What to draw of each pool for the camera of this number; None: all that is in view."""
        if self._loads != self._seen.loads:  # those triangles are gone
            self.close()
            self._loads = self._seen.loads
        stretch = int(np.searchsorted(self._stations, number, side="right")) - 1
        if stretch not in self._of_stretch:
            self._of_stretch[stretch] = self._found(stretch)
        return self._of_stretch[stretch]

    def close(self) -> None:
        """Give its memory back."""
        for picked in self._of_stretch.values():
            let_go(picked)
        self._of_stretch.clear()
        self._last = None

    def _found(self, stretch: int) -> list[Picked] | None:
        first = self._stations[stretch]
        end = self._stations[stretch + 1] if stretch + 1 < len(self._stations) else first
        if end - first < SHORTEST:
            return None
        both = self._triangles(first) | self._triangles(end)
        return self._seen.picked(self._seen.beside(both))

    def _triangles(self, number: int) -> NDArray[np.bool_]:
        """What is seen from one station; the end of a stretch begins the next."""
        if self._last is None or self._last[0] != number:
            camera = self._cameras[number]
            view = View(camera, self._reversed)
            self._last = number, self._seen.triangles(view, camera.name, self._size)
        return self._last[1]


def stations(cameras: Sequence[StageCamera], width_px: int) -> list[int]:
    """Where stretches begin, and the last of all."""
    found, last = [0], len(cameras) - 1
    while found[-1] < last:
        first = found[-1]
        end = min(first + LONGEST, last)
        while end > first + 1 and shift_px(cameras[first], cameras[end], width_px) > (
            FARTHEST * width_px
        ):
            end = first + (end - first) // 2
        found.append(end)
    return found
