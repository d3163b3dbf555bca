"""The whole way from scene-linear to a picture as one table, for whoever develops many a second.

`view.develop` is the truth; the table is sampled from it. It stands behind a logarithm that is
straight within each stop: the bits of a float, read as a whole number, which cost nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.develop.view import developed

F32 = NDArray[np.float32]

SIDE = 65
"""Places along each colour."""
FINE_SIDE = 97
"""For who adds errors of its own: interpolation then leaves no pixel more than a code value off."""
TOE = 0.18 * 2.0**-6
"""What is added before the logarithm, so that black has a place: from six stops under mid grey
down, steps turn from even in stops to even in light."""
MOST = 0.18 * 2.0**7
"""The brightest that is told apart in each colour: all views end before it."""
CLIP = 1.0
"""Where the straight view ends at once. It has a place of its own: between two places the bend
would be cut off."""


@dataclass(frozen=True, eq=False)
class DevelopTable:
    """A view, with its LUT, on a lattice of colours.

    values      (n, n, n, 3) float32, sRGB from 0 to 1, by place of blue, green and red in this
                order
    toe         added to scene-linear before its bits are taken
    first_bits  of the first place
    step_bits   from one place to the next
    """

    values: F32
    toe: float
    first_bits: int
    step_bits: float

    @property
    def side(self) -> int:
        """Places along each colour."""
        return len(self.values)

    def places(self, linear: F32) -> F32:
        """Where scene-linear values of any shape lie between the places, 0 to side - 1."""
        bits = _bits(np.maximum(linear, np.float32(0.0)) + np.float32(self.toe))
        place = (bits - self.first_bits) * np.float32(1.0 / self.step_bits)
        return np.asarray(np.clip(place, 0.0, self.side - 1.0), np.float32)

    def develop(self, linear: F32) -> NDArray[np.uint8]:
        """As `view.develop`, within a code or two: (height, width, 3), 8 bit sRGB.

        Only where the film view lets a channel sink to nothing, in light of nearly one colour, is
        it off by up to a dozen. Interpolates within tetrahedra, which keeps greys grey.
        """
        place = self.places(linear)
        low = np.minimum(place.astype(np.int64), self.side - 2)
        share = place - low
        # From the corner at `low` on along the axes, that with the greatest share first.
        axes = np.argsort(-share, axis=-1, kind="stable")
        sorted_ = np.take_along_axis(share, axes, axis=-1)
        at = low.copy()
        total: F32 = (1.0 - sorted_[..., :1]) * self._at(at)
        for turn in range(3):
            step = np.zeros_like(at)
            np.put_along_axis(step, axes[..., turn : turn + 1], 1, axis=-1)
            at += step
            after = sorted_[..., turn + 1 : turn + 2] if turn < 2 else 0.0
            total += (sorted_[..., turn : turn + 1] - after) * self._at(at)
        return np.asarray(total * 255.0 + 0.5, np.uint8)

    def _at(self, place: NDArray[np.int64]) -> F32:
        return self.values[place[..., 2], place[..., 1], place[..., 0]]


def table_of(view: str, lut: Path | None = None, side: int = SIDE) -> DevelopTable:
    """The table of a view, with a .cube file laid over it; the same object until the file changes.

    `view` is a key of `view.VIEWS`, `side` the places along each colour. Takes about a tenth
    of a second when it is made.
    """
    if lut is None:
        return _made(view, None, side, 0, 0)
    stamp = lut.stat()
    return _made(view, lut, side, stamp.st_mtime_ns, stamp.st_size)


@lru_cache(maxsize=6)
def _made(view: str, lut: Path | None, side: int, mtime_ns: int, size: int) -> DevelopTable:
    """`mtime_ns` and `size` make an edited file another one."""
    del mtime_ns, size
    first, clip, most = (int(_bits(np.float32(end + TOE))) for end in (0.0, CLIP, MOST))
    # The step that puts CLIP on a place and the last place at MOST or a little beyond.
    step = (clip - first) / np.floor((side - 1) * (clip - first) / (most - first))
    bits = np.round(first + step * np.arange(side)).astype(np.int32)
    axis = np.maximum(bits.view(np.float32) - np.float32(TOE), 0.0)
    blue, green, red = np.meshgrid(axis, axis, axis, indexing="ij")
    lattice = np.stack([red, green, blue], axis=-1).astype(np.float32)
    values = developed(lattice.reshape(side, side * side, 3), view, lut).reshape(lattice.shape)
    return DevelopTable(values, TOE, first, float(step))


def _bits(positive: F32 | np.float32) -> NDArray[np.int32]:
    """The bits of floats as whole numbers: a logarithm to base 2, straight within each stop."""
    return np.asarray(positive, np.float32).view(np.int32)
