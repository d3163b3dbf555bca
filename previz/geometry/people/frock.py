"""A dress: a bodice, a skirt to below the knee, and dark tights."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece, settle
from previz.geometry.people.drape import Hang
from previz.geometry.people.ease import at_hips, over_deltoid
from previz.geometry.people.figure import Figure
from previz.geometry.people.seams import along_edge, armholes, stitched
from previz.geometry.people.sewn import Pattern, sewn
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece

# Room at the knee of somebody who stands, and who sits: sitting takes up most of a skirt's width.
FLARE_M = (0.028, 0.009)


def frock(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A dress with long sleeves over dark tights: a bodice, and a skirt to below the knee."""
    cuts = suit.cuts
    waist = cuts.joint("pelvis.L")[2] + 0.065
    pattern = Pattern(
        room=lambda p: 0.009 - 0.004 * over_deltoid(suit, p) + 0.004 * at_hips(suit, p),
        off=lambda p: 0.003 + 0.005 * at_hips(suit, p),
        held=lambda p: waist - p[:, 2],
        hang=Hang(0.55),
    )
    fields = cuts.with_sleeves(
        lambda p: cuts.above_neckline(p, 0.010, 0.022), 0.012, ("pelvis.L", 0.045)
    )
    seams = (armholes(cuts, 0.004), along_edge(fields[0], 0.007))
    sheet_of = stitched(sewn(suit, fields, pattern), seams).hemmed((0.003, 0.010, 0.002))
    bodice = garment(suit, figure, "dress", sheet_of, "cloth_shirt")
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
    tights = piece("tights", vertices, faces, "cloth_shirt", np.array([0.02, 0.02, 0.022]))
    return (*bodice, *skirt(suit, figure), tights)


def skirt(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """The skirt of a dress, in soft folds that grow towards the hem."""
    cloth = suit.free
    cuts = suit.cuts
    knee, waist = cuts.joint("lowerleg01.L")[2], cuts.joint("pelvis.L")[2] + 0.06

    def room(p: Array) -> Array:
        down = np.clip((waist - p[:, 2]) / (waist - knee), 0.0, 1.2)
        return np.asarray(0.007 + FLARE_M[suit.seat_height_m is not None] * down)

    fields = (
        lambda p: cuts.below_height(p, "pelvis.L", 0.06),
        lambda p: -cuts.below_height(p, "lowerleg01.L", -0.13),
    )
    pattern = Pattern(
        room=room,
        off=lambda p: np.full(len(p), 0.005),
        held=lambda p: p[:, 2] - waist + 0.03,
        creases=0.0,
    )
    sheet_of = sewn(cloth, fields, pattern).hemmed((0.002, 0.015, 0.0006))
    return garment(suit, figure, "skirt", sheet_of, "cloth_shirt")
