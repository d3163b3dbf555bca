"""An apron over a shirt: a bib with straps over the shoulders, a band, and a skirt over the lap."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet, Suit
from previz.geometry.people.figure import Figure
from previz.geometry.people.lying import Ground
from previz.geometry.people.meshing import normals
from previz.geometry.people.sewn import HEAVY, Pattern, sewn
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece

STRAP_M = 0.016  # half the width of a strap
HEM = (0.0025, 0.012, 0.0008)


def apron(suit: Suit, figure: Figure, shirt: ClothSheet) -> tuple[Piece, ...]:
    """An apron in the figure's colour over the cloth of a shirt."""
    cuts, k = suit.cuts, suit.cuts.scale / 0.9
    top = float(cuts.joint("spine01")[2]) - 0.02
    waist = float(cuts.joint("pelvis.L")[2]) + 0.06
    middle = float(cuts.joint("spine02")[1])
    ground = Ground(shirt.vertices, normals(shirt.vertices, shirt.faces))

    def bib(p: Array) -> Array:
        wide = k * (0.105 + 0.20 * np.clip((top - 0.10 - p[:, 2]) / 0.16, 0.0, 1.0) ** 2)
        front = np.minimum(middle - p[:, 1], wide - np.abs(p[:, 0]))
        return np.asarray(np.minimum(front, np.minimum(top - p[:, 2], p[:, 2] - waist + 0.03)))

    def straps(p: Array) -> Array:
        # From the corners of the bib over the shoulders to the waistband, clear of the collar.
        high = np.clip((p[:, 2] - top) / (0.16 * k), 0.0, 1.0)
        near = STRAP_M - np.abs(np.abs(p[:, 0]) - (0.086 + 0.016 * high) * k)
        off_arm = 0.2 - cuts.along_arm(p)[1]
        return np.minimum(
            np.minimum(near, off_arm), p[:, 2] - np.where(p[:, 1] < middle, top - 0.02, waist)
        )

    def band(p: Array) -> Array:
        return np.minimum(0.017 - np.abs(p[:, 2] - waist), 0.2 - cuts.along_arm(p)[1])

    pieces = [_lap(suit, figure, waist)]
    for name, field, by_m, rounds in (
        ("apron", bib, 0.0032, 30),
        ("apron_straps", straps, 0.0045, 6),
        ("apron_band", band, 0.0055, 12),
    ):
        cloth = shirt.cut(field).laid(by_m, rounds)
        over = ClothSheet(ground.lay(cloth.vertices, by_m), cloth.faces, cloth.rest)
        pieces.append(garment(suit, figure, name, over.hemmed(HEM), "denim"))
    return tuple(piece for part in pieces for piece in part)


def _lap(suit: Suit, figure: Figure, waist: float) -> tuple[Piece, ...]:
    """The skirt of the apron: open behind, down to the knees."""
    cuts = suit.cuts
    middle = float(cuts.joint("upperleg01.L")[1]) + 0.01
    fields = (
        lambda p: waist - p[:, 2],
        lambda p: p[:, 2] - float(cuts.joint("lowerleg01.L")[2]) - 0.02,
        lambda p: middle - p[:, 1],
    )
    pattern = Pattern(
        room=lambda p: 0.013 + 0.03 * np.clip((waist - p[:, 2]) / 0.4, 0.0, 1.0),
        off=lambda p: np.full(len(p), 0.0115),
        fabric=HEAVY,
        creases=0.0,
        held=lambda p: p[:, 2] - waist + 0.02,
    )
    return garment(suit, figure, "apron_lap", sewn(suit.free, fields, pattern).hemmed(HEM), "denim")
