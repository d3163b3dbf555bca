"""Where on the body a garment stands off more or less: fields over the body at rest, 0 to 1."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit


def over_deltoid(suit: Suit, p: Array) -> Array:
    """1 where a garment lies close over the end of the shoulder, 0 elsewhere."""
    tip = suit.cuts.joint("upperarm01.L") + np.array([0.0, 0.0, 0.03]) * suit.cuts.scale
    return _round(p, tip, 0.085)


def fitted(suit: Suit, p: Array, room_m: float) -> Array:
    """Room (n,) of a garment that has `room_m` round the trunk: less on arms and shoulders."""
    on = suit.cuts.along_arm(p)[1]
    return np.asarray(room_m * (1.0 - 0.45 * on) * (1.0 - 0.85 * over_deltoid(suit, p)))


def over_cuff(suit: Suit, p: Array) -> Array:
    """1 where a knitted sleeve falls over its cuff, 0 elsewhere."""
    along, on = suit.cuts.along_arm(p)
    joints = [suit.cuts.joint(f"{name}.L") for name in ("upperarm01", "lowerarm01", "wrist")]
    end = sum(float(np.linalg.norm(b - a)) for a, b in pairwise(joints))
    return np.asarray(on * np.exp(-(((along - end + 0.085) / 0.030) ** 2)))


def at_hips(suit: Suit, p: Array) -> Array:
    """1 where an upper garment hangs over the trousers, 0 elsewhere."""
    hip = suit.cuts.joint("upperleg01.L")[2]
    _, on_arm = suit.cuts.along_arm(p)
    return np.asarray(
        np.clip((hip + 0.16 - p[:, 2]) / 0.08, 0.0, 1.0) * (p[:, 2] > hip - 0.05) * (1.0 - on_arm)
    )


def padded(suit: Suit, p: Array, beyond_m: float) -> Array:
    """0 to 1 over the shoulders, where a jacket's pad grows thicker towards the sleeve's head.

    beyond_m  past the end of the shoulder, where the pad ends
    """
    past = suit.cuts.past_armhole(p, beyond_m)
    rel = p - suit.cuts.shoulder_tip
    thick = np.clip(1.0 + past / 0.10, 0.0, 1.0) * np.clip(1.0 - past / 0.010, 0.0, 1.0)
    top = np.clip(1.0 + rel[:, 2] / 0.05, 0.0, 1.0) * np.exp(-((rel[:, 1] / 0.06) ** 2))
    return np.asarray(thick * top)


def under_arm(suit: Suit, p: Array) -> Array:
    """1 in the armpit, 0 elsewhere."""
    place = suit.cuts.joint("upperarm01.L") + np.array([-0.015, 0.0, -0.065]) * suit.cuts.scale
    return _round(p, place, 0.085 * suit.cuts.scale)


def _round(p: Array, place: Array, reach_m: float) -> Array:
    """1 at a `place` on the left and at its mirror image, 0 far from both."""
    rel = np.stack([np.abs(p[:, 0]), p[:, 1], p[:, 2]], axis=1) - place
    return np.asarray(np.exp(-(rel**2).sum(axis=1) / reach_m**2))
