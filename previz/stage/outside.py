"""What is seen through the windows: a picture of the world around, in cd/m2."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Outside:
    """Luminance of the surroundings as a panorama at infinity.

    `panorama` is (height, width, 3) float32, linear BT.709 in cd/m2: rows from straight up
    to straight down, columns from plan south through east, north and west back to south.
    """

    panorama: NDArray[np.float32]

    def mean_through(self, inward_normal: NDArray[np.float64]) -> NDArray[np.float64]:
        """Colour (3,) in cd/m2 of a matt surface that gives a window's plane the same light.

        That is the cosine-weighted mean over the half-space outside the window.
        """
        height, width = self.panorama.shape[:2]
        polar = (np.arange(height) + 0.5) / height * np.pi
        around = (np.arange(width) + 0.5) / width * 2.0 * np.pi
        x = np.sin(polar)[:, None] * np.sin(around)[None, :]
        y = -np.sin(polar)[:, None] * np.cos(around)[None, :]
        z = np.broadcast_to(np.cos(polar)[:, None], x.shape)
        towards = -(x * inward_normal[0] + y * inward_normal[1] + z * inward_normal[2])
        weight = np.clip(towards, 0.0, None) * np.sin(polar)[:, None]
        return np.einsum("hw,hwc->c", weight, self.panorama.astype(np.float64)) / weight.sum()
