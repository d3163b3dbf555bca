"""From a pose in words to a posed skeleton: sitting, standing, leaning, hands and head."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.figure import Figure, Pose
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.rig import FORWARD, SIDES, UP, Rig, curl, gather, hand_world
from previz.geometry.people.shape import RestBody, erect_turns
from previz.geometry.people.skeleton import about_axis, skin

SPINE = ("spine05", "spine04", "spine03", "spine02", "spine01")
NECK = ("neck01", "neck02", "neck03", "head")
X, Y, Z = np.eye(3)

SOLE_M = 0.005  # of the shoe, under the bare foot that the survey measures
FLESH_M = 0.006  # by which the seat presses the flesh flat
RECLINE_DEG = {"chair": 0.0, "stool": 0.0, "sofa": 10.0}
# How far people bend forward.
LEAN_DEG = {"leaning": 24.0, "leaning_in": 12.0, "at_bench": 9.0}
BENCH_M = 0.90  # height of a bench where none is near: common practice, no source
# How far the thighs may slope down to let short legs reach the floor.
SLOPE_DEG = {"chair": 11.0, "stool": 28.0, "sofa": 9.0}
FINGER_DEG = 4.0  # by which one finger is bent more than another's, a joint: an estimate
BALL_M = 0.13  # from the ankle forward to the ball of the foot
HEEL_DEG = 30.0  # how far a heel may be raised before the feet hang


@dataclass(frozen=True)
class Bearing:
    """The small ways in which one holds oneself unlike another.

    turn_deg, side_deg   of the chest: to the left, and weight to the left
    head_deg             by which the head is tilted
    hands                -1 to 1 for the left and the right hand: how far it lies from the usual
    fingers              -1 to 1 for each finger of the left and of the right hand, thumb first
    """

    turn_deg: float = 0.0
    side_deg: float = 0.0
    head_deg: float = 0.0
    hands: tuple[float, float] = (0.0, 0.0)
    fingers: tuple[tuple[float, ...], tuple[float, ...]] = ((0.0,) * 5, (0.0,) * 5)


def bearing_of(pose: Pose) -> Bearing:
    """The bearing that a pose names by number; number 0 is square and even."""
    if pose.bearing == 0:
        return Bearing()
    own = np.random.default_rng(pose.bearing).uniform(-1.0, 1.0, 15).tolist()
    turn, side, head, left, right = own[:5]
    fingers = (tuple(own[5:10]), tuple(own[10:]))
    return Bearing(3.0 * turn, 1.8 * side, 2.5 * head, (left, right), fingers)


@dataclass(frozen=True, eq=False)
class Posed:
    """A posed skeleton, moved into the person's frame.

    transforms   (J, 4, 4) carry points at rest into the person's frame
    shift        (3,) the part of it that is a translation of the whole person
    feet_on_floor   whether the legs reach
    """

    rig: Rig
    transforms: Array
    shift: Array
    feet_on_floor: bool


def pose_trunk(rest: RestBody, figure: Figure, pose: Pose) -> Posed:
    """Sit or stand the person, without arms, neck and head yet."""
    rig = Rig(rest.data, rest.joints)
    _bend_spine(rig, pose)
    if pose.stands:
        return _stand(rest, rig)
    return _sit(rest, rig, figure, pose)


def _bend_spine(rig: Rig, pose: Pose) -> None:
    pitch = np.radians(-LEAN_DEG.get(pose.posture, 0.0))
    if pose.posture in ("seated", "legs_crossed"):
        pitch = np.radians(RECLINE_DEG[pose.seat])
    own = bearing_of(pose)
    # `pitch` is positive backwards; a turn about X is positive forwards.
    rig.turn("root", about_axis(X, -0.45 * pitch))
    turn = about_axis(Z, np.radians(pose.torso_turn_deg + own.turn_deg))
    side = about_axis(Y, np.radians(own.side_deg))
    rig.spread(SPINE, "root", turn @ side @ about_axis(X, -pitch))


def _stand(rest: RestBody, rig: Rig) -> Posed:
    marks = find_landmarks(rest.data)
    floor = float(rest.vertices[marks.sole, 2].min())
    hip_middle = 0.5 * (rig.at("upperleg01.L") + rig.at("upperleg01.R"))
    for side, sign in SIDES:
        ankle = rig.rest_at(f"foot.{side}")
        apart = 0.55 * abs(rig.rest_at(f"upperleg01.{side}")[0]) + 0.045
        reach = np.array([sign * apart, ankle[1], ankle[2]])
        rig.limb(f"upperleg01.{side}", f"lowerleg01.{side}", f"foot.{side}", reach, FORWARD, Y)
        rig.turn(f"foot.{side}", about_axis(Z, sign * np.radians(4.0)))
    shift = np.array([-hip_middle[0], -hip_middle[1], SOLE_M - floor])
    return _moved(rig, shift, True)


def _sit(rest: RestBody, rig: Rig, figure: Figure, pose: Pose) -> Posed:
    data, marks = rest.data, find_landmarks(rest.data)
    spread = np.radians(13.0 if figure.sex == "male" else 4.5)
    ankle_m = float(rig.rest_at("foot.L")[2] - rest.vertices[marks.sole, 2].min()) + SOLE_M
    ankle_m += pose.foot_m
    # Level thighs first: they say how high the hips are over the seat.
    for name, turn in erect_turns(rest.joints, data).items():
        side = name[-1]
        sign = 1.0 if side == "L" else -1.0
        if name.startswith("upperleg"):
            rig.turn(name, about_axis(Z, sign * spread) @ turn)
    seat = marks.seat
    under = skin(rest.vertices[seat], data.weight_joints[seat], data.weights[seat], rig.transforms)
    hip = 0.5 * (rig.at("upperleg01.L") + rig.at("upperleg01.R"))
    height = pose.seat_height_m - FLESH_M - float(under[:, 2].min())
    shift = np.array([-hip[0], -hip[1], height])
    reaches = True
    for side, sign in SIDES:
        reaches &= _sit_leg(rig, side, sign, spread, ankle_m - height, pose)
    if pose.posture == "legs_crossed":
        _cross(rig, "R" if pose.bearing % 2 else "L")
    return _moved(rig, shift, reaches)


def _sit_leg(rig: Rig, side: str, sign: float, spread: float, ankle_z: float, pose: Pose) -> bool:
    """Bend one leg so that the sole stands on the floor; False where it can't reach."""
    hip = rig.at(f"upperleg01.{side}")
    thigh = float(
        np.linalg.norm(rig.rest_at(f"lowerleg01.{side}") - rig.rest_at(f"upperleg01.{side}"))
    )
    shank = float(np.linalg.norm(rig.rest_at(f"foot.{side}") - rig.rest_at(f"lowerleg01.{side}")))
    drop = hip[2] - ankle_z
    down = np.arcsin(
        np.clip((drop - shank * 0.999) / thigh, 0.0, np.sin(np.radians(SLOPE_DEG[pose.seat])))
    )
    ahead = about_axis(Z, sign * spread) @ FORWARD
    knee = hip + thigh * (np.cos(down) * ahead - np.sin(down) * UP)
    left = drop - thigh * np.sin(down)
    if left <= shank:
        # A low seat: knees rise a little, feet go a little forward.
        slant = min(float(np.arccos(left / shank)), np.radians(16.0))
        rise = max(left, 0.0) - shank * np.cos(slant)
        if rise < 0.0:
            up = np.arcsin(np.clip(-rise / thigh, 0.0, 0.9))
            knee = hip + thigh * (np.cos(up) * ahead + np.sin(up) * UP)
        ankle = knee - shank * np.cos(slant) * UP + shank * np.sin(slant) * FORWARD
    else:
        ankle = knee - shank * UP
    toe_out = about_axis(Z, sign * np.radians(9.0))
    rig.limb(
        f"upperleg01.{side}",
        f"lowerleg01.{side}",
        f"foot.{side}",
        ankle,
        knee - 0.5 * (hip + ankle),
        Y,
    )
    missing = float(rig.at(f"foot.{side}")[2] - ankle_z)
    # A high seat: the heel comes up while the ball of the foot keeps the floor.
    heel = float(np.arcsin(np.clip(missing / BALL_M, 0.0, 0.95)))
    if np.degrees(heel) > HEEL_DEG:
        rig.turn(f"foot.{side}", toe_out @ about_axis(X, np.radians(18.0)))
        return False
    rig.turn(f"foot.{side}", toe_out @ about_axis(X, heel))
    return True


def _cross(rig: Rig, side: str) -> None:
    """Lay one thigh over the other; its foot hangs in the air beyond."""
    other, sign = ("R", -1.0) if side == "L" else ("L", 1.0)
    hip, below = rig.at(f"upperleg01.{side}"), rig.at(f"lowerleg01.{other}")
    thigh = float(
        np.linalg.norm(rig.rest_at(f"lowerleg01.{side}") - rig.rest_at(f"upperleg01.{side}"))
    )
    shank = float(np.linalg.norm(rig.rest_at(f"foot.{side}") - rig.rest_at(f"lowerleg01.{side}")))
    over = below + np.array([-sign * 0.015, -0.03, 0.13])
    knee = hip + thigh * (over - hip) / np.linalg.norm(over - hip)
    down = np.array([sign * 0.30, -0.34, -0.89])
    ankle = knee + shank * down / np.linalg.norm(down)
    names = (f"upperleg01.{side}", f"lowerleg01.{side}", f"foot.{side}")
    rig.limb(*names, ankle, knee - 0.5 * (hip + ankle), Y)
    rig.turn(names[2], about_axis(Z, sign * np.radians(16.0)) @ about_axis(X, np.radians(20.0)))


def _moved(rig: Rig, shift: Array, feet: bool) -> Posed:
    transforms = rig.transforms.copy()
    transforms[:, :3, 3] += shift
    return Posed(rig, transforms, shift, feet)


def pose_arms(rest: RestBody, posed: Posed, pose: Pose) -> Posed:
    """Let the arms hang, lie on the thighs, or talk."""
    rig = posed.rig
    for side, sign in SIDES:
        own = bearing_of(pose)
        apart = own.hands[0 if sign > 0 else 1]
        point = None if pose.rest_m is None else np.array(pose.rest_m) - posed.shift
        if pose.hands == "gesturing":
            _gesture(rig, side, sign, apart)
        elif pose.posture == "at_bench":
            _work(rig, side, sign, _on_bench(rig, posed, point), apart)
        elif pose.hands == "on_table" and point is not None and sign * point[0] > 0.0:
            _rest_on(rig, side, sign, point)
        elif pose.hands == "folded":
            _clasp(rig, side, sign, _lap(rest, rig, pose))
        elif pose.stands:
            _hang(rig, side, sign)
        elif pose.posture == "leaning":
            knees = 0.5 * (rig.at("lowerleg01.L") + rig.at("lowerleg01.R"))
            _clasp(rig, side, sign, knees)
        else:
            _lay(rest, rig, side, sign, apart)
        curl(rig, side, tuple(FINGER_DEG * one for one in own.fingers[0 if sign > 0 else 1]))
    return _moved(rig, posed.shift, posed.feet_on_floor)


def _arm(rig: Rig, side: str, reach: Array, pole: Array, fingers: Array, palm: Array) -> None:
    upper, lower, wrist = f"upperarm01.{side}", f"lowerarm01.{side}", f"wrist.{side}"
    rig.limb(upper, lower, wrist, reach, pole, FORWARD)
    rig.end(lower, wrist, hand_world(rig, side, fingers, palm))


def _hang(rig: Rig, side: str, sign: float) -> None:
    shoulder = rig.at(f"upperarm01.{side}")
    length = _arm_length(rig, side)
    reach = shoulder + length * (0.985 * -UP + 0.085 * sign * X + 0.10 * FORWARD)
    reach = shoulder + (reach - shoulder) / np.linalg.norm(reach - shoulder) * length * 0.985
    _arm(rig, side, reach, Y + 0.4 * sign * X, -UP + 0.12 * FORWARD, -sign * X + 0.25 * Y)
    gather(rig, side, 1.0)
    curl(rig, side, (5.0, 9.0, 13.0, 16.0, 19.0))


def _gesture(rig: Rig, side: str, sign: float, apart: float) -> None:
    shoulder = rig.at(f"upperarm01.{side}")
    length = _arm_length(rig, side)
    left = sign > 0
    out = rig.world("spine01")
    ahead, across, high = out @ FORWARD, out @ X * sign, UP
    aim = 0.60 * ahead - (0.02 - 0.06 * apart) * across
    aim -= ((0.46 if left else 0.30) + 0.08 * apart) * high
    reach = shoulder + length * aim
    fingers = 0.75 * ahead - 0.45 * across + (0.15 if left else 0.55) * high
    palm = -0.75 * across + (0.55 if left else 0.25) * high
    _arm(rig, side, reach, -UP + 0.55 * across - 0.3 * ahead, fingers, palm)
    gather(rig, side, 0.9)
    curl(rig, side, (4.0, 5.0, 11.0, 16.0, 20.0) if left else (2.0, -2.0, 5.0, 11.0, 16.0))


def _on_bench(rig: Rig, posed: Posed, point: Array | None) -> Array:
    """Where the work lies, in front of the hips."""
    if point is not None:
        return point
    hips = 0.5 * (rig.at("upperleg01.L") + rig.at("upperleg01.R"))
    return np.array([hips[0], hips[1] - 0.40, BENCH_M - posed.shift[2]])


def _work(rig: Rig, side: str, sign: float, work: Array, apart: float) -> None:
    """A hand on the work: one holds it, the other does something to it."""
    reach = work + np.array([sign * (0.13 + 0.03 * apart), 0.06 + 0.03 * apart, 0.055])
    fingers = FORWARD - 0.55 * sign * X - 0.25 * UP
    _arm(rig, side, reach, 0.8 * sign * X + 0.5 * Y - 0.6 * UP, fingers, -UP - 0.35 * sign * X)
    gather(rig, side, 0.6)
    curl(rig, side, (8.0, 14.0, 18.0, 20.0, 22.0) if sign > 0 else (14.0, 26.0, 30.0, 32.0, 34.0))


def _rest_on(rig: Rig, side: str, sign: float, point: Array) -> None:
    """Forearm and hand on a table or an armrest."""
    reach = point + 0.035 * UP
    fingers = FORWARD - 0.30 * sign * X - 0.06 * UP
    _arm(rig, side, reach, 0.7 * sign * X + 0.8 * Y - 0.5 * UP, fingers, -UP)
    gather(rig, side, 0.85)
    curl(rig, side, (3.0, 3.0, 6.0, 9.0, 12.0))


def _lap(rest: RestBody, rig: Rig, pose: Pose) -> Array:
    """Where folded hands lie: between the thighs, or before the belly of someone who stands."""
    hips = 0.5 * (rig.at("upperleg01.L") + rig.at("upperleg01.R"))
    if pose.stands:
        return hips + 0.19 * FORWARD + 0.02 * UP
    place = hips + 0.25 * FORWARD
    tops = [_top_over(rest, rig, place + sign * 0.08 * X) for _, sign in SIDES]
    return np.array([place[0], place[1], max(tops) - 0.045])


def _clasp(rig: Rig, side: str, sign: float, middle: Array) -> None:
    left = sign > 0
    reach = middle + np.array([sign * 0.075, 0.02 if left else 0.045, 0.10 if left else 0.085])
    fingers = 0.55 * FORWARD - 0.8 * sign * X - 0.25 * UP
    palm = (0.8 * Y - 0.3 * UP) if left else (0.75 * Y + 0.1 * UP)
    _arm(rig, side, reach, 0.5 * sign * X + 0.3 * Y - 0.8 * UP, fingers, palm - 0.3 * sign * X)
    gather(rig, side, 0.8)
    curl(rig, side, (6.0, 24.0, 26.0, 28.0, 30.0))


def _lay(rest: RestBody, rig: Rig, side: str, sign: float, apart: float) -> None:
    hip, knee = rig.at(f"upperleg01.{side}"), rig.at(f"lowerleg01.{side}")
    place = hip + (0.58 + 0.09 * apart) * (knee - hip) - (0.022 - 0.022 * apart) * sign * X
    top = _top_over(rest, rig, place + 0.05 * FORWARD)
    reach = np.array([place[0], place[1], top + 0.032])
    fingers = FORWARD - (0.42 - 0.25 * apart) * sign * X - 0.10 * UP
    _arm(rig, side, reach, 0.30 * sign * X + 0.8 * Y - 0.35 * UP, fingers, -UP)
    gather(rig, side, 0.95)
    curl(rig, side, (3.0, 3.0, 6.0, 9.0, 13.0))


def _top_over(rest: RestBody, rig: Rig, place: Array) -> float:
    """Height of the thigh's upper side over a place."""
    data = rest.data
    body = data.part("body")
    near = np.flatnonzero(np.isin(data.weight_joints[body, 0], _thigh_joints(rig)))
    moved = skin(rest.vertices[near], data.weight_joints[near], data.weights[near], rig.transforms)
    close = np.hypot(moved[:, 0] - place[0], moved[:, 1] - place[1]) < 0.06
    if not close.any():
        return float(place[2]) + 0.08
    return float(moved[close, 2].max())


def _thigh_joints(rig: Rig) -> list[int]:
    names = ("upperleg01.L", "upperleg02.L", "upperleg01.R", "upperleg02.R")
    return [rig.data.joint(name) for name in names]


def _arm_length(rig: Rig, side: str) -> float:
    elbow = rig.rest_at(f"lowerarm01.{side}")
    upper = np.linalg.norm(elbow - rig.rest_at(f"upperarm01.{side}"))
    return float(upper + np.linalg.norm(rig.rest_at(f"wrist.{side}") - elbow))


def pose_head(posed: Posed, world: Array) -> Posed:
    """Bend the neck so that `world` (3, 3) is the head's rotation from rest."""
    posed.rig.spread(NECK, "spine01", world)
    return _moved(posed.rig, posed.shift, posed.feet_on_floor)


def head_world(pose: Pose, more_yaw_rad: float, more_pitch_rad: float) -> Array:
    """Rotation of a head held level: turns of torso and head, tilt, and what the gaze adds.

    Positive yaw is towards the person's left, positive pitch is up.
    """
    yaw = np.radians(pose.torso_turn_deg + pose.head_turn_deg) + more_yaw_rad
    roll = about_axis(Y, np.radians(pose.head_tilt_deg + bearing_of(pose).head_deg))
    # Turning X by a negative angle takes -Y up.
    return np.asarray(about_axis(Z, yaw) @ about_axis(X, -more_pitch_rad) @ roll)
