"""From cd/m2 to scene-linear values: the stop, the shutter, the ISO, the ND, the white."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.physics.exposure import scene_linear_scale
from previz.physics.white import neutral_gains
from previz.stage.stage import StageCamera

F32 = NDArray[np.float32]


def exposure_scale(camera: StageCamera) -> float:
    """Factor from cd/m2 to scene-linear, where a surface of reflectance rho metered by an
    incident meter (ISO 2720, C = 250) comes out as rho.
    """  # fmt: skip
    return scene_linear_scale(camera.t_number, camera.shutter_s, camera.iso, camera.nd_density)


def expose(light: F32, scale: float, white: tuple[float, float]) -> F32:
    """Scene-linear BT.709 (height, width, 3) of an image in cd/m2, neutral for light at `white`."""
    return np.ascontiguousarray(light * (scale * neutral_gains(white)).astype(np.float32))
