"""Turning and placing things on the floor plan. Turn 0 faces plan south (-Y), positive to east."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

NEAREST_AIM_M = 0.01
"""From less far away nothing can be aimed at, for which way would be chance: an estimate."""


def no_direction(position_m: ArrayLike, target_m: ArrayLike) -> bool:
    """Whether the target is where the position is, so that there is no way from one to the other.

    Such a thing looks north until `stage.checks` has said so.
    """
    apart = np.asarray(target_m, float) - np.asarray(position_m, float)
    return bool(np.linalg.norm(apart) < NEAREST_AIM_M)


def aimed(position_m: ArrayLike, target_m: ArrayLike) -> Array:
    """The target (3,), or a point north of the position if the two are one."""
    if no_direction(position_m, target_m):
        return np.asarray(np.asarray(position_m, float) + np.array([0.0, 1.0, 0.0]))
    return np.asarray(target_m, float)


def turn_towards_deg(here_m: ArrayLike, there_m: ArrayLike) -> float:
    """Turn (degrees) with which something at `here_m` faces `there_m`, both in plan."""
    here, there = np.asarray(here_m, float), np.asarray(there_m, float)
    return turn_along_deg(there[:2] - here[:2])


def turn_along_deg(direction: ArrayLike) -> float:
    """Turn (degrees) with which something faces along a plan direction; 0 for none."""
    x, y = np.asarray(direction, float)[:2]
    return math.degrees(math.atan2(x, -y)) if x or y else 0.0


def placed(turn_deg: float, at_m: ArrayLike) -> Array:
    """4x4 that turns about the vertical and then moves to `at_m` (2 or 3 coordinates)."""
    turn = math.radians(turn_deg)
    matrix = np.eye(4)
    matrix[:2, :2] = [[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]
    at = np.asarray(at_m, float)
    matrix[: len(at), 3] = at
    return matrix


def applied(matrix: Array, point_m: ArrayLike) -> Array:
    """A point (3,) under a 4x4 matrix."""
    return np.asarray(matrix[:3, :3] @ np.asarray(point_m, float) + matrix[:3, 3])


def round_subject(
    subject_m: ArrayLike,
    camera_m: ArrayLike,
    *,
    camera_left: bool,
    azimuth_deg: float,
    elevation_deg: float,
    distance_m: float,
) -> Array:
    """Point (3,) round a subject: azimuth from the camera's side, elevation over its level.

    `camera_left` is the side of the picture it lies on. Azimuth 0 is straight from the camera,
    180 behind the subject.
    """
    subject, camera = np.asarray(subject_m, float), np.asarray(camera_m, float)
    frontal = camera[:2] - subject[:2]
    length = float(np.linalg.norm(frontal))
    frontal = frontal / length if length else np.array([0.0, -1.0])
    # Looking along -frontal, the left of the picture is this way in plan.
    left = np.array([frontal[1], -frontal[0]])
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    sideways = left if camera_left else -left
    plan = math.cos(azimuth) * frontal + math.sin(azimuth) * sideways
    offset = np.append(math.cos(elevation) * plan, math.sin(elevation))
    return subject + distance_m * offset


def looking(position_m: ArrayLike, target_m: ArrayLike) -> Array:
    """4x4 camera-to-world at `position_m` looking along -Z at `target_m`, +Y up, horizon level."""
    position = np.asarray(position_m, float)
    back = position - np.asarray(target_m, float)
    back /= np.linalg.norm(back)
    right = np.cross([0.0, 0.0, 1.0], back)
    if np.linalg.norm(right) < 1e-9:
        right = np.array([1.0, 0.0, 0.0])
    right /= np.linalg.norm(right)
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([right, np.cross(back, right), back])
    pose[:3, 3] = position
    return pose


def composed(position_m: ArrayLike, target_m: ArrayLike, x: float, y: float) -> Array:
    """Pose like `looking`, but with the target at image-plane tangents (x right, y up).

    Pan and tilt are solved exactly and the horizon stays level: the elevation of the view is
    what brings the target to height y at x, then the pan follows.
    """
    position = np.asarray(position_m, float)
    ray = np.asarray(target_m, float) - position
    ray /= np.linalg.norm(ray)
    # In camera axes the target lies along (x, y, -1); its height over the horizon fixes the tilt:
    # y cos(tilt) + sin(tilt) = ray_z * length.
    length = math.sqrt(1.0 + x * x + y * y)
    reach = math.hypot(1.0, y)
    sine = max(-1.0, min(1.0, float(ray[2]) * length / reach))
    tilt = math.asin(sine) - math.atan2(y, 1.0)
    # Seen from above, the target lies this far ahead of and beside the lens axis.
    ahead = math.cos(tilt) - y * math.sin(tilt)
    pan = math.atan2(float(ray[1]), float(ray[0])) + math.atan2(x, ahead)
    forward = np.array(
        [math.cos(tilt) * math.cos(pan), math.cos(tilt) * math.sin(pan), math.sin(tilt)]
    )
    return looking(position, position + forward)
