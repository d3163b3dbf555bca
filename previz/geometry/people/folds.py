"""Folds of an upper garment: where wearing and sitting pull cloth together, one by one.

Each fold is a stroke on the cloth as it lies flat: it starts and ends somewhere, is steep on one
side and falls off gently on the other. Where they lie is how shirts and jackets crease on people
who sit (common practice of figure drawing, no source); depths and widths are estimates, by eye.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.drape import slow
from previz.geometry.people.skeleton import unit
from previz.geometry.people.stripes import round_arm, round_body, sides_y

ARM_M = 0.055  # radius of a sleeve's chart: what an angle round the arm counts for in metres
STEEP = 1.7  # how much steeper one side of a fold is than the other
VALLEY = 0.45  # depth of the valley under the steep side, as a share of the fold's height


@dataclass(frozen=True)
class Fold:
    """A stroke: from `start` to `end` (u, v) on a chart, metres.

    high_m, wide_m  height, and half its width
    bend            how far its middle lies to the side, as a share of its length
    """

    start: tuple[float, float]
    end: tuple[float, float]
    high_m: float
    wide_m: float
    bend: float = 0.0


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
        sleeve = _strokes(places, _of_sleeve(cuts, random, seated), 1.35 * wide)
        out[who] += 1.75 * flat.arm[1][who] * sleeve
    for ahead in (1.0, -1.0):
        who, places = flat.trunk(ahead)
        many = _of_front(cuts, random, seated) if ahead > 0.0 else _of_back(cuts, random, seated)
        trunk = _strokes(places, many, wide)
        # Where a front is buttoned it is doubled and stiff.
        stiff = 1.0 - 0.85 * np.exp(-((places[:, 0] / 0.022) ** 2)) * (ahead > 0.0)
        out[who] += 1.5 * (1.0 - flat.arm[1][who]) * trunk * stiff
    return np.asarray(size * (out + 0.0011 * slow(p, 0.085, random)))


def _strokes(places: Array, folds: list[Fold], wide: float) -> Array:
    """The height (k,) of all `folds` at places (k, 2) of a chart."""
    out = np.zeros(len(places))
    for fold in folds:
        start, end = np.array(fold.start), np.array(fold.end)
        long = float(np.linalg.norm(end - start))
        way = (end - start) / long
        rel = places - start
        share = rel @ way / long
        across = rel @ np.array([-way[1], way[0]]) / (fold.wide_m * wide)
        near = np.flatnonzero((np.abs(share - 0.5) < 0.5) & (np.abs(across) < 12.0))
        s, t = share[near], across[near]
        t = t - 4.0 * fold.bend * long / (fold.wide_m * wide) * s * (1.0 - s)
        # It opens where it starts and runs out to a point.
        taper = np.sin(np.pi * np.clip(s, 0.0, 1.0) ** 0.75) ** 1.2
        t = t / (0.55 + 0.45 * taper)
        ridge = np.exp(-((np.where(t > 0.0, STEEP, 1.0) * t) ** 2))
        valley = VALLEY * np.exp(-(((t - 1.25) / 0.55) ** 2))
        out[near] += fold.high_m * taper * (ridge - valley)
    return out


def _of_sleeve(cuts: Cuts, random: np.random.Generator, seated: bool) -> list[Fold]:
    shoulder, elbow, wrist = (cuts.joint(f"{n}.L") for n in ("upperarm01", "lowerarm01", "wrist"))
    bend = float(np.linalg.norm(elbow - shoulder))
    end = bend + float(np.linalg.norm(wrist - elbow))
    r = ARM_M

    def near(value: float, spread: float) -> float:
        return value + spread * float(random.uniform(-1.0, 1.0))

    def turn(degrees: float, spread: float = 10.0) -> float:
        return r * np.radians(near(degrees, spread))

    found = [
        # Dragged from the armpit up over the front of the arm, and so behind.
        Fold((near(0.105, 0.01), turn(-40)), (near(0.045, 0.008), turn(48)), 0.0052, 0.010, 0.10),
        Fold((near(0.130, 0.01), turn(-30)), (near(0.085, 0.010), turn(62)), 0.0046, 0.010, 0.10),
        Fold((near(0.110, 0.01), turn(205)), (near(0.060, 0.010), turn(125)), 0.0045, 0.011, -0.1),
        # Down the upper arm, from outside to the bend.
        Fold(
            (near(0.130, 0.02), turn(75)), (bend - 0.02, turn(-8)), 0.0044, 0.010, near(0.0, 0.05)
        ),
        Fold((near(0.160, 0.02), turn(150)), (bend + 0.01, turn(60)), 0.0036, 0.011, near(0, 0.05)),
    ]
    # Pressed together inside the elbow, fanning out to both sides of it.
    deep = 1.0 if seated else 0.55
    for step in (-0.040, -0.016, 0.010, 0.036):
        at = bend + near(step, 0.005)
        lean = 0.55 * step
        found.append(
            Fold(
                (at - lean, turn(-55, 14)),
                (at + lean, turn(72, 18)),
                0.0062 * deep,
                0.0082,
                near(0, 0.04),
            )
        )
    found += [
        # Down the forearm, from the bend to its underside; and pushed up over the cuff.
        Fold((bend + 0.05, turn(30)), (bend + near(0.13, 0.02), turn(-70)), 0.0036, 0.009, 0.06),
        Fold((bend + 0.06, turn(95)), (bend + near(0.15, 0.02), turn(20)), 0.0032, 0.009, 0.06),
        Fold((end - 0.095, turn(-30)), (end - 0.085, turn(85)), 0.0036, 0.0075, near(0, 0.08)),
        Fold((end - 0.070, turn(50)), (end - 0.076, turn(170)), 0.0034, 0.0070, near(0, 0.08)),
    ]
    return found


def _of_front(cuts: Cuts, random: np.random.Generator, seated: bool) -> list[Fold]:
    k = cuts.scale / 0.9
    high = float(cuts.joint("upperarm01.L")[2] - cuts.joint("spine04")[2])
    side = float(cuts.joint("upperarm01.L")[0])

    def near(value: float, spread: float) -> float:
        return value + spread * float(random.uniform(-1.0, 1.0))

    found = []
    for sign in (1.0, -1.0):

        def fold(
            a: tuple[float, float], b: tuple[float, float], up: float, wide: float, bend: float
        ) -> Fold:
            """The same on either side: what is the steep side on the left is so on the right."""
            ends = [(sign * u * k, v * k) for u, v in (a, b)]
            return Fold(*(ends if sign > 0.0 else ends[::-1]), up, wide, bend)  # noqa: B023

        pit, chest = side / k - 0.022, (high - 0.075 * k) / k
        found += [
            # From the armpit towards the chest, and down from it.
            fold(
                (pit, chest), (near(0.075, 0.015), chest + near(0.035, 0.01)), 0.0046, 0.010, 0.08
            ),
            fold(
                (pit, chest - 0.02),
                (near(0.060, 0.015), chest - near(0.030, 0.012)),
                0.0052,
                0.011,
                0.1,
            ),
            fold(
                (pit + 0.01, chest - 0.05),
                (near(0.095, 0.015), chest - near(0.130, 0.02)),
                0.0050,
                0.012,
                0.06,
            ),
            # Hanging from the chest.
            fold(
                (near(0.088, 0.012), chest - 0.10),
                (near(0.070, 0.012), 0.10),
                0.0036,
                0.013,
                near(0, 0.04),
            ),
        ]
        deep = 0.0072 if seated else 0.0034
        # Pressed together at the waist: deepest at the sides, sagging to the middle.
        for at in (0.105, 0.062, 0.022) if seated else (0.07, 0.0):
            found.append(
                fold(
                    (near(0.185, 0.01), near(at + 0.02, 0.008)),
                    (near(0.035, 0.03), near(at - 0.012, 0.010)),
                    deep,
                    0.0105,
                    -0.08,
                )
            )
    return found


def _of_back(cuts: Cuts, random: np.random.Generator, seated: bool) -> list[Fold]:
    k = cuts.scale / 0.9
    high = float(cuts.joint("upperarm01.L")[2] - cuts.joint("spine04")[2]) / k

    def near(value: float, spread: float) -> float:
        return value + spread * float(random.uniform(-1.0, 1.0))

    found = []
    for sign in (1.0, -1.0):
        found += [
            Fold(
                (sign * 0.17 * k, (high - 0.07) * k),
                (sign * near(0.07, 0.02) * k, (high - near(0.15, 0.02)) * k),
                0.0048,
                0.012,
                0.05,
            ),
            Fold(
                (sign * 0.17 * k, (high - 0.11) * k),
                (sign * near(0.05, 0.02) * k, 0.10 * k),
                0.0044,
                0.013,
                0.05,
            ),
        ]
        for at in (0.09, 0.03):
            found.append(
                Fold(
                    (sign * 0.19 * k, near(at, 0.01) * k),
                    (sign * near(0.02, 0.02) * k, near(at - 0.02, 0.01) * k),
                    0.0055 if seated else 0.004,
                    0.011,
                    -0.06,
                )
            )
    return found
