"""From the world to a camera's picture, as graphics libraries want it. Touches no OpenGL."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.stage.stage import StageCamera

NEAR_M = 0.01
"""Nothing nearer to the lens is drawn; the path tracer's near clipping plane."""


class View:
    """What a camera sees, as `StageCamera.project` has it; it ends nowhere.

    to_clip  (4, 4) from the world, metres, to clip space, whose w is the depth along the lens
             axis. With `reversed_` depth falls from 1 at the lens to 0 at infinity, where floats
             are fine; else it rises from -1 to 1.
    lens_m   where the lens is, (3,)

    `shift` moves the picture by shares of its half width and half height.
    """

    def __init__(
        self, camera: StageCamera, reversed_: bool, shift: tuple[float, float] = (0.0, 0.0)
    ) -> None:
        across = 2.0 * camera.focal_length_m / camera.sensor_width_m
        up = 2.0 * camera.focal_length_m / camera.sensor_height_m
        depth = [0.0, 0.0, 0.0, NEAR_M] if reversed_ else [0.0, 0.0, -1.0, -2.0 * NEAR_M]
        sides = [[across, 0.0, -shift[0], 0.0], [0.0, up, -shift[1], 0.0]]
        lens = np.array([*sides, depth, [0.0, 0.0, -1.0, 0.0]], float)
        pose = np.asarray(camera.pose, float)
        to_camera = np.eye(4)
        to_camera[:3, :3] = pose[:3, :3].T
        to_camera[:3, 3] = -pose[:3, :3].T @ pose[:3, 3]
        self.to_clip: NDArray[np.float64] = lens @ to_camera
        self.lens_m: NDArray[np.float64] = pose[:3, 3]
