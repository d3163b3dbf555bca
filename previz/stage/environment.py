"""What is seen through the windows: a picture of the world around, in cd/m2."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Sun:
    """The sun's disc, even all over.

    direction   unit vector to it in the world, (3,)
    normal_lx   illuminance of a surface outdoors that faces it
    rgb         colour, linear BT.709 with Y = 1, (3,)
    radius_rad  half of the angle that it fills
    """

    direction: NDArray[np.float64]
    normal_lx: float
    rgb: NDArray[np.float64]
    radius_rad: float

    @property
    def light(self) -> NDArray[np.float64]:
        """Illuminance by colour of a surface that faces it, (3,)."""
        return self.normal_lx * np.asarray(self.rgb, float)

    @property
    def horizontal_lx(self) -> float:
        """What it gives on open level ground."""
        return self.normal_lx * max(float(self.direction[2]), 0.0)


@dataclass(frozen=True, eq=False)
class Environment:
    """Luminance of the surroundings as a panorama at infinity, and the sun, if it shines.

    `panorama` is (height, width, 3) float32, linear BT.709 in cd/m2: rows from straight up
    to straight down, columns from plan south through east, north and west back to south. The
    sun's disc is not painted in it.
    """

    panorama: NDArray[np.float32]
    sun: Sun | None = None

    def mean_through(self, inward_normal: NDArray[np.float64]) -> NDArray[np.float64]:
        """Colour (3,) in cd/m2 of a matt surface that gives a window's plane the same light.

        That is the cosine-weighted mean over the half-space outside the window.
        """
        directions, solid, light = self._parcels
        weight = np.clip(-(directions @ np.asarray(inward_normal, float)), 0.0, None)
        return np.asarray(weight @ light / (weight @ solid), float)

    def towards(self, directions: NDArray[np.float64]) -> NDArray[np.float64]:
        """Light that comes from directions (n, 3), which need not be unit vectors: (n, 3)."""
        height, width = self.panorama.shape[:2]
        x, y, z = np.asarray(directions, float).T
        down = np.arctan2(np.hypot(x, y), z) / np.pi
        around = np.arctan2(x, -y) / (2.0 * np.pi) % 1.0
        row = np.minimum((down * height).astype(int), height - 1)
        column = np.minimum((around * width).astype(int), width - 1)
        return np.asarray(self.panorama[row, column], float)

    @cached_property
    def _parcels(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """The panorama in parcels of about 1.5 degrees: mean direction (n, 3), solid angle
        (n,), light (n, 3)."""
        height, width = self.panorama.shape[:2]
        down, across = max(1, height // 128), max(1, width // 256)
        polar = (np.arange(height) + 0.5) / height * np.pi
        around = (np.arange(width) + 0.5) / width * 2.0 * np.pi
        rows, columns = np.arange(0, height, down), np.arange(0, width, across)
        ring = np.sin(polar) * (np.pi / height) * (2.0 * np.pi / width)
        of_row = np.add.reduceat(ring, rows)
        of_column = np.add.reduceat(np.ones(width), columns)
        solid = of_row[:, None] * of_column[None, :]
        light = np.add.reduceat(self.panorama, columns, axis=1).astype(float)
        light = np.add.reduceat(light * ring[:, None, None], rows, axis=0)

        # Mean sine and cosine over a parcel, so that the parcels' size does not show.
        sine = np.add.reduceat(ring * np.sin(polar), rows) / of_row
        cosine = np.add.reduceat(ring * np.cos(polar), rows) / of_row
        east = np.add.reduceat(np.sin(around), columns) / of_column
        south = np.add.reduceat(np.cos(around), columns) / of_column
        directions = np.stack(
            [
                sine[:, None] * east[None, :],
                -sine[:, None] * south[None, :],
                np.broadcast_to(cosine[:, None], solid.shape),
            ],
            axis=-1,
        )
        return directions.reshape(-1, 3), solid.reshape(-1), light.reshape(-1, 3)
