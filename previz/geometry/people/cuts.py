"""Where clothes end: smooth fields over the body at rest, zero along the edge of the cloth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.shape import RestBody
from previz.geometry.people.skeleton import unit

Field = Callable[[Array], Array]
"""A value, metres or a share (n,), at points at rest (n, 3)."""

ARM_M = 0.105  # from the bone of an upper arm to beyond its skin
COLLAR_SLOPE = 0.45  # rise of a collar's seam towards the nape, metres a metre


@dataclass(frozen=True, eq=False)
class Cuts:
    """Edges of clothes on one body at rest. All methods take points (n, 3), give metres (n,)."""

    rest: RestBody

    def joint(self, name: str) -> Array:
        """A joint at rest."""
        return np.asarray(self.rest.joints[self.rest.data.joint(name)])

    @property
    def scale(self) -> float:
        """Length of the trunk against that of the base body."""
        data = self.rest.data
        rise = self.joint("neck01")[2] - self.joint("pelvis.L")[2]
        base = data.joints[data.joint("neck01"), 2] - data.joints[data.joint("pelvis.L"), 2]
        return float(rise / base)

    @cached_property
    def shoulder_tip(self) -> Array:
        """The end of the left shoulder at rest, on the skin: its acromion."""
        return np.asarray(self.rest.vertices[find_landmarks(self.rest.data).acromion[0]])

    def past_armhole(self, points: Array, beyond_m: float) -> Array:
        """Distance outwards past a plane through the end of the shoulder and `beyond_m` further.

        The plane lies between one square on the arm and an upright one.
        """
        arm = self.joint("lowerarm01.L") - self.joint("upperarm01.L")
        way = unit(unit(arm) + np.array([1.1, 0.0, 0.0]))
        left = np.stack([np.abs(points[:, 0]), points[:, 1], points[:, 2]], axis=1)
        return np.asarray((left - self.shoulder_tip) @ way - beyond_m)

    def above_neckline(self, points: Array, lower_m: float = 0.0, dip_m: float = 0.0) -> Array:
        """Distance inside a round neckline, about metres; negative on the cloth's side.

        A plane from the pit of the neck to the nape, kept within an oval so that it never runs
        out over the shoulders. `lower_m` sinks it all round, `dip_m` in front alone.
        """
        k = self.scale
        neck = self.joint("neck01")
        x, y, z = (points - neck).T
        front = 0.5 - 0.5 * np.tanh(y / (0.03 * k))
        level = z - (0.012 * k + 0.52 * y) + lower_m + dip_m * front
        # Over the collar everything is head, however far it stands out.
        flare = 1.0 + np.clip((z - 0.030 * k) / (0.02 * k), 0.0, 20.0)
        half, deep = (0.108 * k + lower_m) * flare, (0.14 * k + lower_m) * flare
        oval = (1.0 - np.hypot(x / half, y / deep)) * 0.11 * k
        return smooth_min(oval, level * 0.9)

    def over_collar(self, points: Array, height_m: float) -> Array:
        """Height over the seam of a collar, a plane from the pit of the neck up to the nape."""
        rel = points - self.joint("neck01")
        level = rel[:, 2] - COLLAR_SLOPE * rel[:, 1] - height_m
        return np.asarray(level / np.hypot(1.0, COLLAR_SLOPE))

    def in_open_neck(self, points: Array, low_z: float, spread: float) -> Array:
        """Distance inside a V that opens upwards in front, from height `low_z` at rest.

        spread  half its width, metres a metre of height
        """
        behind = np.clip((points[:, 1] - self.joint("upperarm01.L")[1] + 0.005) / 0.02, 0.0, 1.0)
        half = spread * np.clip(points[:, 2] - low_z, 0.0, None)
        return np.asarray((half - np.abs(points[:, 0])) / np.hypot(1.0, spread) - behind)

    def past_sleeve(self, points: Array, share: float) -> Array:
        """Distance down the arm beyond a short sleeve that ends `share` of the way to the elbow."""
        along, on = self.along_arm(points)
        bone = self.joint("lowerarm01.L") - self.joint("upperarm01.L")
        return np.asarray(np.where(on > 0.0, along, 0.0) - share * np.linalg.norm(bone))

    def past_wrist(self, points: Array, short_m: float = 0.0) -> Array:
        """Distance beyond the wrist towards the fingers; negative up the arm and elsewhere."""
        best = np.full(len(points), -1.0)
        for side, sign in (("L", 1.0), ("R", -1.0)):
            wrist, lower = self.joint(f"wrist.{side}"), self.joint(f"lowerarm02.{side}")
            along = (points - wrist) @ unit(wrist - lower) + short_m
            here = (sign * points[:, 0] > sign * lower[0] - 0.12) & (points[:, 0] * sign > 0)
            best = np.where(here, np.maximum(best, along), best)
        return best

    def below_height(self, points: Array, joint: str, offset_m: float) -> Array:
        """Depth under a level plane at a joint's height plus an offset."""
        return np.asarray(self.joint(joint)[2] + offset_m - points[:, 2])

    def below_ankle(self, points: Array, above_m: float) -> Array:
        """Depth under a plane across the shank, `above_m` over the ankle."""
        best = np.full(len(points), -1.0)
        for side, sign in (("L", 1.0), ("R", -1.0)):
            ankle, knee = self.joint(f"foot.{side}"), self.joint(f"lowerleg01.{side}")
            down = unit(ankle - knee)
            along = (points - ankle) @ down + above_m
            best = np.where(sign * points[:, 0] > 0, np.maximum(best, along), best)
        return best

    def with_sleeves(
        self, neck: Field, wrist_m: float, hem: tuple[str, float]
    ) -> tuple[Field, Field, Field]:
        """What keeps the cloth of a garment with long sleeves: each where it is >= 0.

        neck     its neckline or the seam of its collar, positive beyond the cloth
        wrist_m  how short of the wrists the sleeves end
        hem      a joint, and how far over it the garment ends
        """
        joint, over_m = hem
        return (
            lambda p: -neck(p),
            lambda p: -self.past_wrist(p, wrist_m),
            lambda p: -self.below_height(p, joint, over_m),
        )

    def along_arm(self, points: Array) -> tuple[Array, Array]:
        """Distance from the shoulder along the arm, and 0..1 how much a point is on an arm."""
        along = np.zeros(len(points))
        on = np.zeros(len(points))
        for side, sign in (("L", 1.0), ("R", -1.0)):
            shoulder, elbow = self.joint(f"upperarm01.{side}"), self.joint(f"lowerarm01.{side}")
            wrist = self.joint(f"wrist.{side}")
            first, second = unit(elbow - shoulder), unit(wrist - elbow)
            upper = (points - shoulder) @ first
            beyond = (points - elbow) @ second
            length = float(np.linalg.norm(elbow - shoulder))
            here = sign * points[:, 0] > 0
            share = np.clip((upper - 0.02) / 0.08, 0.0, 1.0) * here
            share *= sign * points[:, 0] > sign * shoulder[0] - 0.03
            # The side of the chest is as far along, but no part of the arm.
            bone = np.where(
                (beyond > 0.0)[:, None],
                elbow + beyond[:, None] * second,
                shoulder + upper[:, None] * first,
            )
            share *= np.clip((ARM_M - np.linalg.norm(points - bone, axis=1)) / 0.03, 0.0, 1.0)
            value = np.where(beyond > 0.0, length + beyond, upper)
            along = np.where(share > 0, value, along)
            on = np.maximum(on, share)
        return along, on


def smooth_min(a: Array, b: Array, blend_m: float = 0.012) -> Array:
    """The lesser of two fields with the corner rounded over about `blend_m`."""
    return np.asarray(-np.logaddexp(-a / blend_m, -b / blend_m) * blend_m)
