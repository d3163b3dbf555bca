"""A spot meter: luminance anywhere in a camera's frame, by light."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.develop.exposure import exposure_scale
from previz.measure.light.light import TOTAL
from previz.physics.colour import luminance
from previz.physics.exposure import stops_over_grey
from previz.render.readings import Readings
from previz.stage.stage import Stage

SPOT_DEG = 1.0
"""Angle that a spot meter takes in: common practice, no source."""
FEWEST_PX = 1.5


@dataclass(frozen=True)
class Spot:
    """Where to look: a camera, and per cent of its frame from the left and from the top."""

    camera: str
    from_left_pct: float
    from_top_pct: float

    @classmethod
    def parse(cls, text: str) -> Spot:
        """`A:50,40`. ValueError, a sentence, for anything else."""
        camera, _, place = text.partition(":")
        try:
            left, top = (float(part) for part in place.split(","))
        except ValueError:
            left = top = math.nan
        if not camera or not (0.0 <= left <= 100.0 and 0.0 <= top <= 100.0):
            raise ValueError(
                f"a spot is CAMERA:LEFT,TOP in per cent of the frame, such as A:50,40, not {text!r}"
            )
        return cls(camera, left, top)


@dataclass(frozen=True)
class SpotLight:
    """What the meter reads there. `thing` is what lies in the middle of it, None: the sky."""

    spot: Spot
    luminance_cd_m2: Mapping[str, float]
    stops_over_grey: float
    thing: str | None


def read_spot(spot: Spot, stage: Stage, readings: Readings) -> SpotLight:
    """Mean luminance over one degree of the frame. ValueError for a camera that is not there."""
    if spot.camera not in stage.cameras:
        known = ", ".join(stage.cameras)
        raise ValueError(f"there is no camera {spot.camera}; the scene has {known}")
    camera, light = stage.cameras[spot.camera], readings.pictures[spot.camera]
    height, width = light.objects.shape
    x, y = spot.from_left_pct / 100.0 * width, spot.from_top_pct / 100.0 * height
    rows, columns = np.mgrid[0:height, 0:width] + 0.5
    per_degree = width / math.degrees(camera.horizontal_angle_rad)
    radius = max(0.5 * SPOT_DEG * per_degree, FEWEST_PX)
    inside = np.hypot(columns - x, rows - y) <= radius
    by_light = {n: float(luminance(image[inside]).mean()) for n, image in light.layers.items()}
    total = sum(by_light.values())
    middle = light.objects[min(int(y), height - 1), min(int(x), width - 1)]
    names = {number: name for name, number in stage.object_ids.items()}
    return SpotLight(
        spot,
        {**by_light, TOTAL: total},
        float(stops_over_grey(total * exposure_scale(camera))),
        names.get(int(middle)),
    )
