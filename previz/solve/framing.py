"""The inverse of framing: how far away, and tilted how, for a head of this size with this room.

Pan, tilt and distance are found on the real geometry of the head, hair and all, so that what is
measured afterwards is what was asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from previz.measure.camera.framing import HeadInFrame, eyeline_of, head_in_frame, looks_to
from previz.model.rules import ShotSize, ShotSizes
from previz.physics.optics import distance_for_field
from previz.stage.placing import composed
from previz.stage.stage import Array, StageCamera, StagePerson

HEADROOM_PCT: dict[ShotSize, float] = {
    "extreme_close_up": -24.0,
    "big_close_up": -5.0,
    "close_up": 6.0,
    "medium_close_up": 9.0,
    "medium_shot": 10.0,
    "medium_wide_shot": 10.0,
    "wide_shot": 12.0,
    "extreme_wide_shot": 25.0,
}
"""Usual space over the head, % of the height; cut where negative. Common practice, no source."""
CENTRED_PCT = 50.0
THIRD_PCT = 100.0 * 2.0 / 3.0
PROFILE_DEG = 45.0
"""Where the face stands in the width: middle, or a third of it left behind one turned this far.
Common practice, no source."""
STEPS = [0.6] * 30 + [0.2] * 90 + [0.06] * 200
"""Share of each correction that is made, round by round: steep views overshoot otherwise."""
SIZE_TOLERANCE = 1e-5
PLACE_TOLERANCE_PCT = 1e-3


@dataclass(frozen=True)
class Wish:
    """The frame asked for: the height of the head without its hair and the space over the hair,
    % of the frame's height; the space before the eyes, % of the width.
    """

    head_pct: float
    headroom_pct: float
    look_room_pct: float


@dataclass(frozen=True, eq=False)
class Subject:
    """Who is framed, and the points (n, 3) of their head."""

    person: StagePerson
    head_points_m: Array


@dataclass(frozen=True, eq=False)
class FramedCamera:
    """A camera that gives the frame, and where the eyes lie in it, % from left and top."""

    camera: StageCamera
    eyes_from_left_pct: float
    eyes_from_top_pct: float
    head: HeadInFrame


def usual_head_pct(size: ShotSize, sizes: ShotSizes) -> float:
    """Middle of a size's range of head heights, in stops of size."""
    limits = sizes.limits()
    names = [name for name, _ in limits]
    if size == "extreme_wide_shot":
        return 0.7 * limits[-1][1]
    index = names.index(size)
    least = limits[index][1]
    most = limits[index - 1][1] if index else 1.3 * least
    return math.sqrt(least * most)


def usual_look_room_pct(yaw_deg: float) -> float:
    """Half the width when looking into the lens, two thirds from 45 degrees beside it on."""
    share = min(abs(yaw_deg), PROFILE_DEG) / PROFILE_DEG
    return CENTRED_PCT + (THIRD_PCT - CENTRED_PCT) * share


def place_camera(
    camera: StageCamera, subject: Subject, wish: Wish, *, direction: Array, height_m: float
) -> FramedCamera:
    """Move a camera along a plan direction (2,) from the eyes until it frames a head so.

    ValueError when no distance does: the lens would have to be nearer than its height allows.
    """
    marks = subject.person.landmarks
    eyes = marks["eyes"]
    tall = float(np.linalg.norm(marks["head_top"] - marks["chin"]))
    filled_m = camera.sensor_height_m * wish.head_pct / 100.0
    away = distance_for_field(filled_m, camera.focal_length_m, tall)
    top = 40.0
    for step in STEPS:
        plan = _plan_m(away, height_m - float(eyes[2]))
        position = np.append(eyes[:2] + plan * np.asarray(direction, float), height_m)
        framed = _framed(camera, subject, position, (wish.look_room_pct, top))
        size = framed.head.skull_height_pct / wish.head_pct
        off = wish.headroom_pct - framed.head.top_pct
        if abs(size - 1.0) < SIZE_TOLERANCE and abs(off) < PLACE_TOLERANCE_PCT:
            return framed
        if not (math.isfinite(size) and size > 0.0):
            break
        away *= size**step
        top += step * off
    raise ValueError("no distance gives this frame with this lens from this height")


def _plan_m(away_m: float, over_m: float) -> float:
    """Distance in plan of a lens `away_m` from the eyes and `over_m` over them."""
    if away_m <= abs(over_m):
        raise ValueError(
            f"the lens has to be {away_m:.2f} m from the eyes and its height alone puts it "
            f"{abs(over_m):.2f} m away"
        )
    return math.sqrt(away_m**2 - over_m**2)


def focal_length_for(camera: StageCamera, subject: Subject, wish: Wish) -> float:
    """Focal length, metres, with which a camera frames a head so from where it stands."""
    top = 40.0
    for step in STEPS:
        framed = _framed(camera, subject, camera.position_m, (wish.look_room_pct, top))
        size = framed.head.skull_height_pct / wish.head_pct
        off = wish.headroom_pct - framed.head.top_pct
        if abs(size - 1.0) < SIZE_TOLERANCE and abs(off) < PLACE_TOLERANCE_PCT:
            return camera.focal_length_m
        if not (math.isfinite(size) and size > 0.0):
            break
        camera = replace(camera, focal_length_m=camera.focal_length_m / size**step)
        top += step * off
    raise ValueError("no focal length gives this frame from here")


def _framed(
    camera: StageCamera, subject: Subject, position_m: Array, room: tuple[float, float]
) -> FramedCamera:
    """The camera at a position with the eyes at a look room and a height from the top, %."""
    look_room_pct, top_pct = room
    person = subject.person
    pose = np.eye(4)
    pose[:3, 3] = position_m
    side = looks_to(eyeline_of(replace(camera, pose=pose), person))
    left_pct = {"left": look_room_pct, "right": 100.0 - look_room_pct}.get(side, CENTRED_PCT)
    across = (left_pct / 100.0 - 0.5) * camera.sensor_width_m / camera.focal_length_m
    up = (0.5 - top_pct / 100.0) * camera.sensor_height_m / camera.focal_length_m
    moved = replace(camera, pose=composed(position_m, person.landmarks["eyes"], across, up))
    head = head_in_frame(moved, subject.head_points_m, person)
    return FramedCamera(moved, left_pct, top_pct, head)
