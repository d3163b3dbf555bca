"""Folds of an upper garment: where wearing and sitting pull cloth together, one by one.

Each fold is a stroke on the cloth as it lies flat: it starts and ends somewhere, is steep on one
side and falls off gently on the other. Where they lie is how shirts and jackets crease on people
who sit (common practice of figure drawing, no source); depths and widths are estimates, by eye.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.drape import slow
from previz.geometry.people.stripes import round_arm, round_body, sides_y

ARM_M = 0.055  # radius of a sleeve's chart: what an angle round the arm counts for in metres
STEEP = 1.7  # how much steeper one side of a fold is than the other
VALLEY = 0.45  # depth of the valley under the steep side, as a share of the fold's height
JITTER_M = 0.010  # by which a fold's ends lie elsewhere on somebody else

Place = tuple[float, float]


@dataclass(frozen=True)
class Fold:
    """A stroke from `start` to `end` on a chart.

    start, end      on a sleeve metres along it past `of`, and degrees round it; on a trunk metres
                    from the middle to the side, and up from `of`, on a body of full size
    high_m, wide_m  height, and half its width
    bend            how far its middle lies to the side, as a share of its length
    of              a joint
    sitting         what its height is multiplied with on somebody who stands
    """

    start: Place
    end: Place
    high_m: float
    wide_m: float
    bend: float = 0.0
    of: str = "upperarm01.L"
    sitting: float = 1.0


ELBOW, WRIST, WAIST = "lowerarm01.L", "wrist.L", "spine04"
SLEEVE = (
    # Dragged from the armpit up over the front of the arm, and so behind.
    Fold((0.105, -40), (0.045, 48), 0.0068, 0.0140, 0.10),
    Fold((0.130, -30), (0.085, 62), 0.0058, 0.0145, 0.10),
    Fold((0.110, 205), (0.060, 125), 0.0079, 0.015, -0.10),
    # Down the upper arm, from outside to the bend.
    Fold((-0.110, 75), (-0.020, -8), 0.0062, 0.0145, 0.03, ELBOW),
    Fold((-0.085, 150), (0.010, 60), 0.0063, 0.015, -0.03, ELBOW),
    # Pressed together inside the elbow, fanning out to both sides of it.
    Fold((-0.018, -55), (-0.062, 72), 0.0108, 0.0115, 0.02, ELBOW, 0.5),
    Fold((-0.007, -60), (-0.025, 78), 0.0108, 0.0110, -0.02, ELBOW, 0.5),
    Fold((0.004, -50), (0.016, 66), 0.0108, 0.0110, 0.03, ELBOW, 0.5),
    Fold((0.016, -58), (0.056, 75), 0.0100, 0.0115, -0.03, ELBOW, 0.5),
    # Down the forearm, from the bend to its underside; and pushed up over the cuff.
    Fold((0.050, 30), (0.130, -70), 0.0063, 0.012, 0.06, ELBOW),
    Fold((0.060, 95), (0.150, 20), 0.0056, 0.012, 0.06, ELBOW),
    Fold((-0.095, -30), (-0.085, 85), 0.0063, 0.010, 0.06, WRIST),
    Fold((-0.070, 50), (-0.076, 170), 0.0060, 0.0095, -0.06, WRIST),
)
FRONT = (
    # From the armpit towards the chest, and down from it.
    Fold((0.180, -0.075), (0.085, -0.045), 0.0058, 0.0115, 0.08),
    Fold((0.180, -0.095), (0.060, -0.105), 0.0084, 0.0115, 0.10),
    Fold((0.190, -0.125), (0.095, -0.205), 0.0080, 0.0125, 0.06),
    # Hanging from the chest.
    Fold((0.088, -0.175), (0.070, -0.270), 0.0056, 0.0135, 0.03),
    # Pressed together at the waist: deepest at the sides, sagging to the middle.
    Fold((0.185, 0.125), (0.035, 0.093), 0.0115, 0.0110, -0.08, WAIST, 0.4),
    Fold((0.185, 0.082), (0.045, 0.050), 0.0110, 0.0105, -0.08, WAIST, 0.5),
    Fold((0.185, 0.042), (0.020, 0.010), 0.0115, 0.0110, -0.08, WAIST, 0.3),
)
BACK = (
    Fold((0.170, -0.070), (0.070, -0.150), 0.0072, 0.012, 0.05),
    Fold((0.170, -0.110), (0.050, -0.240), 0.0066, 0.013, 0.05),
    Fold((0.190, 0.090), (0.020, 0.070), 0.0083, 0.011, -0.06, WAIST, 0.6),
    Fold((0.190, 0.030), (0.030, 0.010), 0.0083, 0.011, -0.06, WAIST, 0.6),
)


@dataclass(frozen=True, eq=False)
class Flat:
    """An upper garment laid out flat: points (n, 3) at rest, by sleeve and by side of the trunk."""

    cuts: Cuts
    points: Array

    @cached_property
    def arm(self) -> tuple[Array, Array]:
        """Distance along the arm, and 0 to 1 how much a point lies on one."""
        return self.cuts.along_arm(self.points)

    def sleeve(self, sign: float) -> tuple[Index, Array]:
        """Points of the left (1) or right (-1) sleeve, and their places (k, 2).

        Along the arm, and round it from the front over the outer side; cut open along the inner.
        """
        who = np.flatnonzero((self.arm[1] > 0.02) & (sign * self.points[:, 0] > 0.0))
        up, ahead = round_arm(self.cuts, self.points[who], sign)
        return who, np.stack(
            [self.arm[0][who], ARM_M * (np.arctan2(-ahead, up) + 0.5 * np.pi)], axis=1
        )

    def trunk(self, ahead: float) -> tuple[Index, Array]:
        """Points of the front (1) or the back (-1), and their places (k, 2).

        Round the body from its middle to the left, and up from the waist.
        """
        p = self.points
        half = ahead * (sides_y(self.cuts) - p[:, 1])
        who = np.flatnonzero((self.arm[1] < 0.98) & (half > -0.02))
        waist = self.cuts.joint("spine04")[2]
        return who, np.stack([round_body(self.cuts, p[who]), p[who, 2] - waist], axis=1)


def folds(cuts: Cuts, seed: int, p: Array, size: float, seated: bool, wide: float = 1.0) -> Array:
    """How far folds lift the cloth (n,), metres, at points at rest (n, 3).

    size  0 pressed, 1 slept in; `wide` is how broad this cloth's folds are against a shirt's
    """
    flat, random = Flat(cuts, p), np.random.default_rng(seed + 17)
    out = np.zeros(len(p))
    for sign in (1.0, -1.0):
        who, places = flat.sleeve(sign)
        for fold in SLEEVE:
            ends = [_on_sleeve(cuts, fold, end) for end in (fold.start, fold.end)]
            out[who] += flat.arm[1][who] * _stroke(places, fold, _moved(ends, random), wide, seated)
    for ahead, many in ((1.0, FRONT), (-1.0, BACK)):
        who, places = flat.trunk(ahead)
        share = 1.0 - flat.arm[1][who]
        if ahead > 0.0:  # where a front is buttoned it is doubled and stiff
            share *= 1.0 - 0.85 * np.exp(-((places[:, 0] / 0.022) ** 2))
        for fold in many:
            for sign in (1.0, -1.0):
                ends = [_on_trunk(cuts, fold, end, sign) for end in (fold.start, fold.end)]
                # Turned round on the right, so that the steep side is the lower one on both.
                moved = _moved(ends[:: int(sign)], random)
                out[who] += share * _stroke(places, fold, moved, wide, seated)
    return np.asarray(size * (out + 0.0011 * slow(p, 0.085, random)))


def _moved(ends: list[Array], random: np.random.Generator) -> Array:
    return np.array(ends) + JITTER_M * random.uniform(-1.0, 1.0, (2, 2))


def _on_sleeve(cuts: Cuts, fold: Fold, end: Place) -> Array:
    names = ("upperarm01.L", ELBOW, WRIST)
    joints = [cuts.joint(name) for name in names[: names.index(fold.of) + 1]]
    past = sum(float(np.linalg.norm(b - a)) for a, b in pairwise(joints))
    return np.array([past + end[0], ARM_M * np.radians(end[1])])


def _on_trunk(cuts: Cuts, fold: Fold, end: Place, sign: float) -> Array:
    k = cuts.scale / 0.9
    over = float(cuts.joint(fold.of)[2] - cuts.joint(WAIST)[2])
    return np.array([sign * k * end[0], over + k * end[1]])


def _stroke(places: Array, fold: Fold, ends: Array, wide: float, seated: bool) -> Array:
    """The height (k,) of a fold between two `ends` (2, 2) at places (k, 2) of a chart."""
    high, half = fold.high_m * (1.0 if seated else fold.sitting), fold.wide_m * wide
    out = np.zeros(len(places))
    long = float(np.linalg.norm(ends[1] - ends[0]))
    along = (ends[1] - ends[0]) / long
    rel = places - ends[0]
    share, across = rel @ along / long, rel @ np.array([-along[1], along[0]]) / half
    near = np.flatnonzero((np.abs(share - 0.5) < 0.5) & (np.abs(across) < 12.0))
    s = share[near]
    # It opens where it starts and runs out to a point.
    taper = np.sin(np.pi * s**0.75) ** 1.2
    t = (across[near] - 4.0 * fold.bend * long / half * s * (1.0 - s)) / (0.55 + 0.45 * taper)
    ridge = np.exp(-((np.where(t > 0.0, STEEP, 1.0) * t) ** 2))
    valley = VALLEY * np.exp(-(((t - 1.25) / 0.55) ** 2))
    out[near] = high * taper * (ridge - valley)
    return out
