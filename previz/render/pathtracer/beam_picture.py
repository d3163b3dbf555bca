"""A beam as the picture that a spot light throws, for where no integrator can shape a surface."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.physics.beam import profile_angles_rad
from previz.stage.stage import Emitter

Array = NDArray[np.float64]

SIZE_PX = 1025
"""Odd, so that the axis lies in the middle of a pixel."""
FAINT = 0.001
"""Share of the greatest intensity below which a beam is taken to have ended."""
WIDEST_RAD = math.radians(85.0)
"""The picture lies on a plane across the axis: at 90 degrees it would be endless."""


def beam_reach_rad(emitter: Emitter) -> float:
    """Angle off axis up to which the picture goes."""
    rows = _rows(emitter)
    angle = profile_angles_rad(rows.shape[1])
    intensity = (rows * np.cos(angle)).max(axis=0)
    last = int(np.flatnonzero(intensity > FAINT * intensity.max())[-1])
    return float(min(angle[min(last + 1, len(angle) - 1)], WIDEST_RAD))


def beam_picture(emitter: Emitter, reach_rad: float) -> Array:
    """Intensity over (luminance x area), (SIZE_PX, SIZE_PX, 1), on a plane across the axis.

    Columns run along the emitter's +X, rows along its +Y, both from -tan(reach) to tan(reach).
    """
    rows = _rows(emitter)
    place = ((np.arange(SIZE_PX) + 0.5) / SIZE_PX * 2.0 - 1.0) * math.tan(reach_rad)
    x, y = np.meshgrid(place, place)
    cosine = 1.0 / np.sqrt(1.0 + x * x + y * y)
    step, step_share = _between(np.sqrt(1.0 - cosine) * (rows.shape[1] - 1), rows.shape[1] - 1)
    turn, turn_share = _between((np.arctan2(y, -x) / (2.0 * np.pi) % 1.0) * len(rows), len(rows))
    after = (turn + 1) % len(rows)
    luminance = sum(
        rows[row, column] * row_share * column_share
        for row, row_share in ((turn, 1.0 - turn_share), (after, turn_share))
        for column, column_share in ((step, 1.0 - step_share), (step + 1, step_share))
    )
    return np.asarray(luminance * cosine, float)[..., None]


def _between(place: Array, count: int) -> tuple[NDArray[np.int64], Array]:
    """Index below `place`, less than `count`, and how far it lies past that."""
    low = np.minimum(place.astype(np.int64), count - 1)
    return low, place - low


def _rows(emitter: Emitter) -> Array:
    """Luminance by azimuth and step, (azimuths, count)."""
    assert emitter.profile is not None
    return np.atleast_2d(emitter.profile)
