"""What people wear: each garment says where it ends, how far it stands off, how it folds."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece, tailor
from previz.geometry.people.figure import Figure
from previz.geometry.piece import Piece

DENIM = np.array([0.022, 0.030, 0.055])
LEATHER = np.array([0.018, 0.016, 0.015])


def dress(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """All garments of a figure."""
    return (jumper(suit, figure), trousers(suit), shoes(suit))


def jumper(suit: Suit, figure: Figure) -> Piece:
    """A jumper with a round neck."""
    cuts = suit.cuts
    fields = (
        lambda p: -cuts.above_neckline(p),
        lambda p: -cuts.past_wrist(p, 0.012),
        lambda p: -cuts.below_height(p, "upperleg01.L", 0.0),
    )
    vertices, faces, _ = tailor(
        suit,
        fields,
        lambda p: 0.008 + 0.010 * _at_hips(suit, p),
        rounds=14,
        folds=lambda p: folds(suit, p, 1.0),
        hem_m=(0.005, 0.02, 0.0022),
    )
    return piece("jumper", vertices, faces, "cloth_wool", np.array(figure.clothes_colour))


def trousers(suit: Suit) -> Piece:
    """Straight trousers."""
    cuts = suit.cuts
    knee = cuts.joint("lowerleg01.L")[2]
    ankle = cuts.joint("foot.L")[2]

    def lift(p: Array) -> Array:
        down = np.clip((knee + 0.1 - p[:, 2]) / (knee - ankle), 0.0, 1.0)
        return 0.004 + 0.016 * down - 0.002 * _at_hips(suit, p)

    fields = (
        lambda p: cuts.below_height(p, "pelvis.L", 0.05),
        lambda p: -cuts.below_ankle(p, -0.005),
    )
    vertices, faces, _ = tailor(
        suit,
        fields,
        lift,
        rounds=10,
        folds=lambda p: leg_folds(suit, p),
        hem_m=(0.003, 0.02, 0.001),
    )
    return piece("trousers", vertices, faces, "denim", DENIM)


def shoes(suit: Suit) -> Piece:
    """Plain shoes that stand on the floor."""
    cuts = suit.cuts
    vertices, faces, _ = tailor(
        suit,
        (lambda p: cuts.below_ankle(p, 0.03),),
        lambda p: np.full(len(p), 0.006),
        rounds=4,
        hem_m=(0.003, 0.01, 0.001),
    )
    vertices[:, 2] = np.maximum(vertices[:, 2], 0.0)
    return piece("shoes", vertices, faces, "leather_black", LEATHER)


def folds(suit: Suit, p: Array, size: float) -> Array:
    """Creases of an upper garment: across the elbow, around the waist, from the armpit."""
    along, on = suit.cuts.along_arm(p)
    k = suit.cuts.scale
    random = np.random.default_rng(suit.seed)
    warp = _slow(p, 0.10, random)
    elbow = float(np.linalg.norm(suit.cuts.joint("lowerarm01.L") - suit.cuts.joint("upperarm01.L")))
    sleeve = 0.0032 * np.exp(-(((along - elbow) / 0.07) ** 2)) + 0.0012
    sleeve = sleeve * np.sin(along / 0.0125 * 2.0 + 2.6 * warp)
    waist = suit.cuts.joint("spine04")[2]
    belly = 0.0030 * np.exp(-(((p[:, 2] - waist) / (0.09 * k)) ** 2)) + 0.0006
    belly = belly * np.sin((p[:, 2] + 0.10 * np.abs(p[:, 0])) / 0.011 + 3.2 * warp)
    return size * (on * sleeve + (1.0 - on) * belly) + 0.0015 * size * warp


def leg_folds(suit: Suit, p: Array) -> Array:
    """Creases behind and over the knee, across the lap, and where the hem breaks."""
    random = np.random.default_rng(suit.seed + 7)
    warp = _slow(p, 0.12, random)
    knee, hip = suit.cuts.joint("lowerleg01.L")[2], suit.cuts.joint("upperleg01.L")[2]
    ankle = suit.cuts.joint("foot.L")[2]
    size = 0.0030 * np.exp(-(((p[:, 2] - knee) / 0.07) ** 2))
    size += 0.0030 * np.exp(-(((p[:, 2] - hip + 0.02) / 0.06) ** 2))
    size += 0.0030 * np.exp(-(((p[:, 2] - ankle - 0.04) / 0.05) ** 2))
    creases = size * np.sin(p[:, 2] / 0.009 + 3.0 * warp) + 0.0012 * warp
    return creases * np.clip(1.0 - _at_hips(suit, p), 0.0, 1.0)


def _at_hips(suit: Suit, p: Array) -> Array:
    """1 where an upper garment hangs over the trousers, 0 elsewhere."""
    hip = suit.cuts.joint("upperleg01.L")[2]
    _, on_arm = suit.cuts.along_arm(p)
    return np.asarray(
        np.clip((hip + 0.16 - p[:, 2]) / 0.08, 0.0, 1.0) * (p[:, 2] > hip - 0.05) * (1.0 - on_arm)
    )


def _slow(p: Array, size_m: float, random: np.random.Generator) -> Array:
    """Slowly varying noise of about unit spread."""
    total = np.zeros(len(p))
    for _ in range(10):
        way = random.normal(size=3)
        way /= np.linalg.norm(way) * size_m * random.uniform(0.7, 1.5) / 3.0
        total += np.sin(p @ way + random.uniform(0.0, 6.28))
    return total / np.sqrt(5.0)
