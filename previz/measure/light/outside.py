"""What a camera sees outside a window, from the panorama alone: nothing is rendered for it."""

from __future__ import annotations

import numpy as np

from previz.develop.exposure import exposure_scale
from previz.physics.colour import luminance
from previz.physics.exposure import stops_over_grey
from previz.stage.stage import Emitter, Stage, StageCamera

ACROSS = 24
"""Points of a window along each side: an estimate that holds a mean to some per cent."""


def outside_stops(stage: Stage, camera: StageCamera, window: Emitter) -> float | None:
    """Stops over mid grey of the mean of what is seen through a window; None where none is.

    Behind its film. What stands before the window, and what it mirrors, is left out.
    """
    if stage.environment is None:
        return None
    shape = window.shape
    steps = (np.arange(ACROSS) + 0.5) / ACROSS - 0.5
    across, up = (g.reshape(-1, 1) for g in np.meshgrid(steps, steps))
    points = shape.position_m + shape.width_m * across * shape.pose[:3, 0]
    points = points + shape.height_m * up * shape.pose[:3, 1]
    # A point behind the camera lies nowhere in its picture.
    seen = camera.project(points, 1, 1)
    points = points[((seen >= 0.0) & (seen <= 1.0)).all(axis=1)]
    if not len(points):
        return None
    light = stage.environment.towards(points - camera.position_m) * window.power
    return float(stops_over_grey(luminance(light).mean() * exposure_scale(camera)))
