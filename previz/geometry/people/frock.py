"""A dress: a bodice, a skirt to below the knee, and dark tights."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece, settle
from previz.geometry.people.drape import Hang, folds
from previz.geometry.people.ease import at_hips
from previz.geometry.people.figure import Figure
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece


def frock(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A dress with long sleeves over dark tights: a bodice, and a skirt to below the knee."""
    cuts = suit.cuts
    sheet_of = settle(
        suit,
        cuts.with_sleeves(
            lambda p: cuts.above_neckline(p, 0.010, 0.022), 0.012, ("pelvis.L", 0.045)
        ),
        lambda p: 0.006 + 0.006 * at_hips(suit, p),
        rounds=16,
        hang=Hang(0.55),
        folds=lambda p: folds(suit.cuts, suit.seed, p, 0.8),
    ).hemmed((0.003, 0.010, 0.002))
    bodice = garment(suit, figure, "dress", sheet_of, "cloth_cotton")
    vertices, faces, _ = settle(
        suit.coarse,
        (
            # What the skirt hides is left out, and cannot poke through it.
            lambda p: cuts.below_height(p, "lowerleg01.L", 0.0),
            lambda p: -cuts.below_ankle(p, -0.045),
        ),
        lambda p: np.full(len(p), 0.002),
        rounds=3,
    ).hemmed()
    tights = piece("tights", vertices, faces, "cloth_cotton", np.array([0.02, 0.02, 0.022]))
    return (*bodice, *skirt(suit, figure), tights)


def skirt(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """The skirt of a dress, in soft folds that grow towards the hem."""
    cloth = suit.free
    cuts = suit.cuts
    knee, waist = cuts.joint("lowerleg01.L")[2], cuts.joint("pelvis.L")[2] + 0.06

    def pleats(p: Array) -> Array:
        down = np.clip((waist - p[:, 2]) / (waist - knee), 0.0, 1.2)
        angle = np.arctan2(p[:, 0], -p[:, 1] + 0.02)
        return np.asarray(0.007 * down * np.sin(15.0 * angle + 1.5 * np.sin(4.0 * angle)))

    sheet_of = settle(
        cloth,
        (
            lambda p: cuts.below_height(p, "pelvis.L", 0.06),
            lambda p: -cuts.below_height(p, "lowerleg01.L", -0.10),
        ),
        lambda p: np.full(len(p), 0.008),
        rounds=30,
        folds=pleats,
    ).hemmed((0.002, 0.015, 0.0006))
    return garment(suit, figure, "skirt", sheet_of, "cloth_cotton")
