"""What moves in the picture while the shutter is open."""

from __future__ import annotations

import math
from itertools import product

import numpy as np

from previz.stage.moving.move import StageMove
from previz.stage.stage import Array, StageCamera

STEP_PX = 1.0
"""Sub-frames this far apart melt into one smear: an estimate."""
FEWEST_SUB_FRAMES, MOST_SUB_FRAMES = 4, 24
"""Fewer show as edges beside each other, more take long and show little: an estimate."""
NEARER, FARTHER_M = 0.5, 20.0
"""Things between half the focus distance and the end of a large room count: an estimate."""
_ACROSS = (-0.9, 0.0, 0.9)


def sub_frame_times_s(move: StageMove, time_s: float, width_px: int) -> tuple[float, ...]:
    """Moments that share out the opening of the shutter at `time_s`, as many as it needs.

    `time_s` alone where nothing moves so far that one would see it.
    """
    opening, long = move.camera_at(time_s), move.before.shutter_s
    farthest = shift_px(opening, move.camera_at(time_s + long), width_px)
    if farthest <= STEP_PX:
        return (time_s,)
    count = math.ceil(min(max(farthest / STEP_PX, FEWEST_SUB_FRAMES), MOST_SUB_FRAMES))
    return tuple(time_s + long * (part + 0.5) / count for part in range(count))


def shift_px(one: StageCamera, other: StageCamera, width_px: int) -> float:
    """The farthest that something in the picture of `one` goes on its way to that of `other`."""
    width, height = one.picture_size(width_px)
    points = _points_seen(one)
    apart = one.project(points, width, height) - other.project(points, width, height)
    far = np.linalg.norm(apart[np.isfinite(apart).all(axis=1)], axis=1)
    return float(far.max()) if len(far) else math.inf


def _points_seen(camera: StageCamera) -> Array:
    """Points (27, 3) over the picture: near, in focus, far."""
    reach = 0.5 * np.array([camera.sensor_width_m, camera.sensor_height_m]) / camera.focal_length_m
    near = camera.focus_distance_m
    rays = np.array([(x * reach[0], y * reach[1], -1.0) for x, y in product(_ACROSS, _ACROSS)])
    local = [depth * rays for depth in (NEARER * near, near, max(FARTHER_M, near))]
    return np.asarray(np.concatenate(local) @ camera.pose[:3, :3].T + camera.position_m)
