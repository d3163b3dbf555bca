"""The part of the panorama near the horizon, and ways to paint on it from far to near."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from previz.stage.lattice import F32, lattice_noise

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Canvas:
    """A panorama with what is needed to paint on it.

    planes     (3, height, width), painted in place
    eye_m      height of the one who looks over the ground
    random     source of everything that varies
    haze       colour (3,) in cd/m2 that far things fade to, and the distance at which 63 %
               of them is gone
    """

    planes: F32
    eye_m: float
    random: np.random.Generator
    haze: Array
    haze_m: float
    azimuth: F32 = field(init=False)
    elevation: F32 = field(init=False)
    leaves: F32 = field(init=False)
    clumps: F32 = field(init=False)

    def __post_init__(self) -> None:
        height, width = self.planes.shape[1:]
        set_ = object.__setattr__
        set_(self, "azimuth", _steps(width) * np.float32(2 * np.pi))
        set_(self, "elevation", np.float32(np.pi / 2) - _steps(height) * np.float32(np.pi))
        # A quarter of the round is drawn and laid four times: nobody sees two quarters at once.
        size, quarter = (height // 2, width // 4), self.random
        fine = lattice_noise(quarter, size, (size[0] // 3, size[1] // 3))
        coarse = lattice_noise(quarter, size, (size[0] // 9, size[1] // 9))
        set_(self, "leaves", np.tile(fine, 4))
        set_(self, "clumps", np.tile(coarse, 4))

    @property
    def step(self) -> float:
        """Angle of one pixel's height, radians."""
        return math.pi / len(self.elevation)

    def rows(self, low_deg: float, high_deg: float) -> slice:
        """Rows between two elevations."""
        height = self.planes.shape[1]
        top = math.floor((90.0 - high_deg) / 180.0 * height)
        bottom = math.ceil((90.0 - low_deg) / 180.0 * height)
        return slice(max(0, top), min(height, bottom))

    def columns(self, centre: float, half: float) -> NDArray[np.int64]:
        """Columns within `half` radians of the azimuth `centre`, across the seam if need be."""
        width = len(self.azimuth)
        per_radian = width / (2.0 * math.pi)
        first = math.floor((centre - half) * per_radian)
        last = math.ceil((centre + half) * per_radian)
        return np.asarray(np.arange(first, last + 1) % width)

    def height_m(self, rows: slice, distance_m: float | F32) -> F32:
        """Height over the ground of what is seen at a plan distance: (rows, 1) or (rows, n)."""
        slope = np.tan(self.elevation[rows])[:, None]
        return np.asarray(self.eye_m + slope * distance_m, np.float32)

    def faded(self, colour: Array, distance_m: float) -> Array:
        """`colour` (..., 3) seen through the air."""
        left = math.exp(-distance_m / self.haze_m)
        return np.asarray(left * colour + (1.0 - left) * self.haze)

    def noise(self, which: F32, rows: slice, columns: NDArray[np.int64] | slice) -> F32:
        """A part of `leaves` or `clumps`, which span the rows around the horizon."""
        start = rows.start - self.planes.shape[1] // 4
        return np.asarray(which[start : start + rows.stop - rows.start, columns])

    def paint(
        self,
        rows: slice,
        columns: NDArray[np.int64] | slice,
        cover: F32,
        colour: Array | F32,
        shade: F32 | None = None,
    ) -> None:
        """Lay `colour` (3,), (n, 3) or (rows, n, 3), times `shade`, over the picture where
        `cover` says."""
        cover = np.asarray(cover, np.float32)
        colour = np.asarray(colour, np.float32)
        for channel, plane in enumerate(self.planes):
            old = plane[rows, columns]
            new = colour[..., channel] if shade is None else shade * colour[..., channel]
            plane[rows, columns] = old + cover * (new - old)


def _steps(count: int) -> F32:
    return ((np.arange(count, dtype=np.float32) + 0.5) / count).astype(np.float32)


def edge(inside: F32, pixel: float | F32) -> F32:
    """Cover of a shape from the distance inside its outline, one pixel soft."""
    return np.asarray(np.clip(inside / np.asarray(pixel, np.float32) + 0.5, 0.0, 1.0), np.float32)
