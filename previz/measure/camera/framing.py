"""How a person lies in a frame, measured from their geometry: size, headroom, look room, crops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from previz.measure.camera.crops import Crop, crops_of
from previz.measure.camera.sight import Box, Sight, picture_position
from previz.model.exposure import Delivery
from previz.model.rules import Rules, ShotSize
from previz.physics.projection import ACTION_SAFE_MARGIN, GRAPHICS_SAFE_MARGIN
from previz.stage.stage import Array, StageCamera, StagePerson

FRONTAL_DEG = 5.0
"""A gaze that falls off the lens by less looks to neither side: an estimate."""
STAND_IN_PCT = 3.0
"""The stand-in for hair and the hair seen differ by less, unless something hides the head: an
estimate."""
JOINTS = (
    "neck", "elbow_left", "elbow_right", "waist", "knee_left", "knee_right", "ankle_left",
    "ankle_right",
)  # fmt: skip


@dataclass(frozen=True)
class HeadInFrame:
    """Outline of the whole head, hair and all, % of the frame; may lie outside it.

    skull_pct  top of the skull under the hair: a head is as large whatever its hair
    """

    left_pct: float
    top_pct: float
    right_pct: float
    chin_pct: float
    skull_pct: float

    @property
    def height_pct(self) -> float:
        """Top of the hair, as it is seen, to the chin."""
        return self.chin_pct - self.top_pct

    @property
    def skull_height_pct(self) -> float:
        """Top of the skull to the chin: what sizes go by."""
        return self.chin_pct - self.skull_pct


@dataclass(frozen=True)
class Eyeline:
    """How far the gaze falls off the lens, seen from the eyes, degrees.

    Yaw is positive when the person looks past the lens to the right of the picture, pitch when
    they look over it.
    """

    yaw_deg: float
    pitch_deg: float


@dataclass(frozen=True)
class FramingNumbers:
    """Everything about one person in one frame.

    headroom_pct       frame top to the top of head or hair; negative when it is cut
    eye_height_pct     the eyes, from the frame's top
    look_room_pct      eyes to the edge on the side looked to; to the nearer edge when the person
                       looks into the lens
    subject_height_pct visible part of the person, top to bottom
    head_height_pct    top of the skull to the chin, whatever the hair: what the shot size goes by
    tilt_deg           of the lens axis, positive upwards; horizon_deg: roll, positive clockwise
    """

    subject: str
    shot_size: ShotSize
    headroom_pct: float
    eye_height_pct: float
    eye_from_left_pct: float
    look_room_pct: float
    looks_to: str
    subject_height_pct: float
    subject_box: Box | None
    head: HeadInFrame
    eyeline: Eyeline
    tilt_deg: float
    horizon_deg: float
    joints_cut: tuple[str, ...]
    action_safe: bool
    graphics_safe: bool
    crops: dict[str, Crop]

    @property
    def head_height_pct(self) -> float:
        """Height of the head without its hair, % of the frame's."""
        return self.head.skull_height_pct


def measure_framing(
    sight: Sight,
    person: StagePerson,
    head_points_m: Array,
    rules: Rules,
    mode_px: tuple[int, int],
    recorded_px: tuple[int, int],
    delivery: Sequence[Delivery] = (),
) -> FramingNumbers | None:
    """One person in one frame; None when they are behind the camera.

    head_points_m  (n, 3) of the person's head, hair and all
    mode_px        width and height of the picture that is delivered first
    recorded_px    of what the camera records
    delivery       all shapes that are delivered
    """
    camera = sight.camera
    if camera.axis_distance(person.landmarks["eyes"]) <= 0.0:
        return None
    head = head_in_frame(camera, head_points_m, person)
    eye_x, eye_y = picture_position(camera, person.landmarks["eyes"])
    box = sight.box(f"people.{person.name}")
    eyeline = eyeline_of(camera, person)
    side = looks_to(eyeline)
    room = {"left": eye_x, "right": 100.0 - eye_x}.get(side, min(eye_x, 100.0 - eye_x))
    return FramingNumbers(
        subject=person.name,
        shot_size=rules.shot_sizes.name_of(head.skull_height_pct),
        headroom_pct=_headroom_pct(head, box, sight.has_strands(person.name)),
        eye_height_pct=eye_y,
        eye_from_left_pct=eye_x,
        look_room_pct=room,
        looks_to=side,
        subject_height_pct=box.height_pct if box else 0.0,
        subject_box=box,
        head=head,
        eyeline=eyeline,
        tilt_deg=math.degrees(math.asin(float(camera.forward[2]))),
        horizon_deg=math.degrees(math.asin(float(np.clip(-camera.pose[2, 0], -1.0, 1.0)))),
        joints_cut=tuple(_joints_cut(sight, person, rules.joint_gap_pct)),
        action_safe=_inside(head, 100.0 * ACTION_SAFE_MARGIN),
        graphics_safe=_inside(head, 100.0 * GRAPHICS_SAFE_MARGIN),
        crops=crops_of(head, (eye_x, eye_y), mode_px, recorded_px, delivery, rules),
    )


def head_in_frame(camera: StageCamera, points_m: Array, person: StagePerson) -> HeadInFrame:
    """Outline of the points (n, 3) of a person's head, and where skull and chin lie."""
    at = camera.project(points_m, 100, 100)
    left, top = np.nanmin(at, axis=0)
    marks = [person.landmarks["chin"], person.landmarks["head_top"]]
    chin, skull = (float(y) for y in camera.project(np.stack(marks), 100, 100)[:, 1])
    return HeadInFrame(float(left), float(top), float(np.nanmax(at[:, 0])), chin, skull)


def _headroom_pct(head: HeadInFrame, box: Box | None, strands: bool) -> float:
    """Space over the head. Where hair is strands, the mesh that stands in for it is a little
    off: then the highest strand seen counts.
    """
    if strands and box is not None and 0.0 < box.top_pct < head.top_pct + STAND_IN_PCT:
        return box.top_pct
    return head.top_pct


def eyeline_of(camera: StageCamera, person: StagePerson) -> Eyeline:
    """How far a person's gaze falls off a lens."""
    to_lens = camera.position_m - person.landmarks["eyes"]
    gaze = person.gaze
    # Seen from the camera, right of the picture is anticlockwise round the person in plan.
    turn = _bearing(gaze) - _bearing(to_lens)
    yaw = (turn + 180.0) % 360.0 - 180.0
    return Eyeline(yaw, _elevation(gaze) - _elevation(to_lens))


def looks_to(eyeline: Eyeline) -> str:
    """Side of the picture a person looks to: left, right, or lens."""
    if abs(eyeline.yaw_deg) < FRONTAL_DEG:
        return "lens"
    return "right" if eyeline.yaw_deg > 0.0 else "left"


def _bearing(direction: Array) -> float:
    return math.degrees(math.atan2(float(direction[1]), float(direction[0])))


def _elevation(direction: Array) -> float:
    return math.degrees(
        math.atan2(float(direction[2]), math.hypot(float(direction[0]), float(direction[1])))
    )


def _inside(head: HeadInFrame, margin_pct: float) -> bool:
    least, most = margin_pct, 100.0 - margin_pct
    within = least <= head.left_pct and head.right_pct <= most
    return within and least <= head.top_pct and head.chin_pct <= most


def _joints_cut(sight: Sight, person: StagePerson, gap_pct: float) -> list[str]:
    """Visible joints that lie on the frame's lower or side edge."""
    mask = sight.mask(f"people.{person.name}")
    rows, columns = mask.shape
    found = []
    for joint in JOINTS:
        if joint not in person.landmarks:
            continue
        x, y = picture_position(sight.camera, person.landmarks[joint])
        if not (-gap_pct < x < 100.0 + gap_pct and 0.0 < y < 100.0 + gap_pct):
            continue
        aspect = sight.camera.aspect
        if min(abs(y - 100.0), abs(x) * aspect, abs(x - 100.0) * aspect) > gap_pct:
            continue
        row = min(int(y / 100.0 * rows), rows - 1)
        column = min(max(int(x / 100.0 * columns), 0), columns - 1)
        if mask[row, column]:
            found.append(joint)
    return found
