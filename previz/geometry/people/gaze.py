"""Looking at something: eyes first, then the head, as people do."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.figure import Pose
from previz.geometry.people.posture import Posed, head_world, pose_head
from previz.geometry.people.rig import FORWARD
from previz.geometry.people.skeleton import apply, unit

# The eyes turn this far in their sockets before the head takes the rest. Beyond about 15 to 25
# degrees the head joins in (common practice, no source).
EYE_YAW_DEG = 22.0
EYE_UP_DEG = 14.0
EYE_DOWN_DEG = 20.0
HEAD_YAW_DEG = 65.0
HEAD_PITCH_DEG = 35.0


@dataclass(frozen=True, eq=False)
class Gaze:
    """Where the eyes look.

    centres       (2, 3) of the left and the right eyeball, metres
    axes          (2, 3) unit, one an eye
    direction     (3,) unit, from between the eyes
    face_forward  (3,) unit
    eye_pitch_rad, eye_yaw_rad   of the eyes in the head; up and to the person's left positive
    """

    centres: Array
    axes: Array
    direction: Array
    face_forward: Array
    eye_pitch_rad: float
    eye_yaw_rad: float


def look(posed: Posed, pose: Pose, rest_centres: Array) -> tuple[Posed, Gaze]:
    """Turn the head as far as the gaze needs, and say where each eye looks.

    The visual axis is taken as the axis of the eyeball: the few degrees between them in a real
    eye are left out, so that pupils and gaze agree.
    """
    yaw = pitch = 0.0
    head = posed.rig.data.joint("head")
    for _ in range(8):
        world = head_world(pose, yaw, pitch)
        posed = pose_head(posed, world)
        centres = apply(posed.transforms[head], rest_centres)
        if pose.gaze_target is None:
            break
        wish = unit(np.array(pose.gaze_target) - centres.mean(axis=0))
        left, up = _angles(world.T @ wish)
        over_yaw = left - np.clip(left, -np.radians(EYE_YAW_DEG), np.radians(EYE_YAW_DEG))
        over_up = up - np.clip(up, -np.radians(EYE_DOWN_DEG), np.radians(EYE_UP_DEG))
        if abs(over_yaw) + abs(over_up) < 1e-4:
            break
        yaw = float(np.clip(yaw + over_yaw, -np.radians(HEAD_YAW_DEG), np.radians(HEAD_YAW_DEG)))
        pitch = float(
            np.clip(pitch + over_up, -np.radians(HEAD_PITCH_DEG), np.radians(HEAD_PITCH_DEG))
        )
    if pose.gaze_target is None:
        axes = np.tile(world @ FORWARD, (2, 1))
        direction = world @ FORWARD
    else:
        axes = unit(np.array(pose.gaze_target) - centres)
        direction = unit(np.array(pose.gaze_target) - centres.mean(axis=0))
    left, up = _angles(world.T @ direction)
    return posed, Gaze(centres, axes, direction, world @ FORWARD, up, left)


def _angles(direction: Array) -> tuple[float, float]:
    """Angles of a direction from -Y: towards +X, and up."""
    left = float(np.arctan2(direction[0], -direction[1]))
    return left, float(np.arcsin(np.clip(direction[2], -1.0, 1.0)))
