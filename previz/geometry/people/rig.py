"""Setting joints by where they should point in the world, limb by limb."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.skeleton import (
    about_axis,
    apply,
    frame,
    joint_transforms,
    shortest,
    twist_angle,
    unit,
)

FORWARD = np.array([0.0, -1.0, 0.0])
UP = np.array([0.0, 0.0, 1.0])
SIDES = (("L", 1.0), ("R", -1.0))


class Rig:
    """A skeleton being posed: rotations so far, and where that puts every joint."""

    def __init__(self, data: BodyData, joints: Array) -> None:
        self.data = data
        self.rest = joints
        self.turns: dict[int, Array] = {}
        self.transforms = joint_transforms(joints, data.parents, self.turns)

    def at(self, name: str) -> Array:
        """Where a joint is now."""
        j = self.data.joint(name)
        return apply(self.transforms[j], self.rest[j])

    def rest_at(self, name: str) -> Array:
        """Where a joint was at rest."""
        return np.asarray(self.rest[self.data.joint(name)])

    def world(self, name: str) -> Array:
        """How a joint has been turned from rest, in the world: (3, 3)."""
        return np.asarray(self.transforms[self.data.joint(name)][:3, :3])

    def turn(self, name: str, world: Array) -> None:
        """Turn a joint so that `world` is its whole rotation from rest."""
        j = self.data.joint(name)
        parent = int(self.data.parents[j])
        above = np.eye(3) if parent < 0 else self.transforms[parent][:3, :3]
        self.turns[j] = above.T @ world
        self.transforms = joint_transforms(self.rest, self.data.parents, self.turns)

    def add(self, name: str, more: Array) -> None:
        """Turn a joint by `more`, in world axes, on top of where its parent takes it."""
        self.turn(name, more @ self.world(name))

    def spread(self, names: tuple[str, ...], above: str, final: Array) -> None:
        """Bend a chain evenly from the rotation of `above` to `final` at its last joint."""
        start = self.world(above)
        axis, angle = axis_angle(final @ start.T)
        for i, name in enumerate(names, start=1):
            self.turn(name, about_axis(axis, angle * i / len(names)) @ start)

    def limb(
        self, upper: str, lower: str, end: str, reach: Array, pole: Array, bend: Array
    ) -> None:
        """Bring joint `end` to `reach` by a two-bone limb whose middle joint points to `pole`.

        upper, lower, end  joint names; "upperarm01.L" has a second half "upperarm02.L"
        bend               direction at rest towards which the lower bone folds
        """
        top = self.at(upper)
        first = self.rest_at(lower) - self.rest_at(upper)
        second = self.rest_at(end) - self.rest_at(lower)
        a, b = float(np.linalg.norm(first)), float(np.linalg.norm(second))
        middle = elbow(top, reach, a, b, pole)
        down = unit(middle - top)
        fold = reach - middle
        # The hinge at rest: the lower bone folds towards `bend`, in the plane of both.
        rest_frame = frame(first, bend)
        side = fold - (fold @ down) * down
        if np.linalg.norm(side) < 1e-3:
            side = -(np.asarray(pole) - (np.asarray(pole) @ down) * down)
        whole = frame(down, side) @ rest_frame.T
        # Half of the twist goes to the second half of the bone, so that the skin does not wring.
        swing = shortest(self.world(upper) @ first, down) @ self.world(upper)
        twist = twist_angle(whole @ swing.T, down)
        self.turn(upper, about_axis(down, 0.4 * twist) @ swing)
        self.turn(upper.replace("01", "02"), whole)
        self.turn(lower, shortest(whole @ second, reach - self.at(lower)) @ whole)

    def end(self, lower: str, name: str, world: Array) -> None:
        """Turn the hand or foot to `world`; half its twist is taken by the bone above."""
        axis = unit(self.at(name) - self.at(lower))
        twist = twist_angle(world @ self.world(lower).T, axis)
        self.add(lower.replace("01", "02"), about_axis(axis, 0.6 * twist))
        self.turn(name, world)


def elbow(top: Array, reach: Array, a: float, b: float, pole: Array) -> Array:
    """Middle joint of a two-bone limb from `top` to `reach`, bent towards `pole`."""
    line = reach - top
    distance = float(np.clip(np.linalg.norm(line), abs(a - b) + 1e-4, (a + b) * 0.9995))
    along = unit(line)
    out = unit(np.asarray(pole) - (np.asarray(pole) @ along) * along)
    x = (a * a - b * b + distance * distance) / (2.0 * distance)
    return np.asarray(top + x * along + np.sqrt(max(a * a - x * x, 0.0)) * out)


def axis_angle(rotation: Array) -> tuple[Array, float]:
    """Axis and angle (radians) of a rotation below a half turn."""
    vector = np.array(
        [
            rotation[2, 1] - rotation[1, 2],
            rotation[0, 2] - rotation[2, 0],
            rotation[1, 0] - rotation[0, 1],
        ]
    )
    size = float(np.linalg.norm(vector))
    if size < 1e-12:
        return UP, 0.0
    return vector / size, float(np.arctan2(size, np.trace(rotation) - 1.0))


def hand_axes(rig: Rig, side: str) -> tuple[Array, Array]:
    """At rest: the direction of the fingers, and the direction the palm faces."""
    wrist = rig.rest_at(f"wrist.{side}")
    along = unit(rig.rest_at(f"finger3-1.{side}") - wrist)
    across = rig.rest_at(f"finger5-1.{side}") - rig.rest_at(f"finger2-1.{side}")
    back = unit(np.cross(along, across))
    return along, -back if side == "L" else back


def hand_world(rig: Rig, side: str, fingers: Array, palm: Array) -> Array:
    """Rotation that points the fingers and the palm where they should."""
    along, facing = hand_axes(rig, side)
    return np.asarray(frame(fingers, palm) @ frame(along, facing).T)


# At rest the fingers stand spread: turns that close them, thumb side first, degrees; and where a
# thumb at ease points, along the fingers, out of the palm and away from the little finger.
CLOSE_DEG = (-11.0, 8.0, 19.0, 27.0)
THUMB_AT_EASE = (0.84, 0.36, 0.30)
EASE = (1.0, 1.25, 0.45)  # how much each joint of a finger at ease bends: an estimate, by eye


def gather(rig: Rig, side: str, share: float) -> None:
    """Close the fan of the fingers and lay the thumb beside them, by 0 to 1."""
    along, facing = hand_axes(rig, side)
    sign = 1.0 if side == "L" else -1.0
    for finger, angle in enumerate(CLOSE_DEG, start=2):
        name = f"finger{finger}-1.{side}"
        axis = rig.world(name) @ facing
        rig.add(name, about_axis(axis, sign * share * np.radians(angle)))
    name = f"finger1-1.{side}"
    now = rig.rest_at(f"finger1-3.{side}") - rig.rest_at(f"finger1-2.{side}")
    ease = np.array(THUMB_AT_EASE) @ [along, facing, -sign * np.cross(along, facing)]
    axis, angle = axis_angle(shortest(now, ease))
    rig.turn(name, rig.world(name) @ about_axis(axis, share * angle))


def curl(rig: Rig, side: str, angles_deg: tuple[float, ...]) -> None:
    """Bend the fingers towards the palm; one angle a finger, thumb first.

    A finger at ease bends most in its middle joint and least in its last: with all alike it would
    be a claw.
    """
    along, facing = hand_axes(rig, side)
    hinge = np.cross(along, facing)
    for finger, angle in enumerate(angles_deg, start=1):
        for joint in (1, 2, 3):
            name = f"finger{finger}-{joint}.{side}"
            axis = rig.world(name) @ hinge
            share = EASE[joint - 1] if finger > 1 else 1.0
            rig.add(name, about_axis(axis, np.radians(share * angle)))
