"""What people wear: each garment says where it ends, how far it stands off, how it folds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from previz.geometry.people import jacket as jackets
from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece
from previz.geometry.people.drape import Hang
from previz.geometry.people.ease import at_hips, on_shoulder, over_cuff, over_deltoid
from previz.geometry.people.figure import Figure
from previz.geometry.people.frock import frock
from previz.geometry.people.neck import ring
from previz.geometry.people.sewn import HEAVY, KNIT, Pattern, sewn
from previz.geometry.people.shirt import SEAM_M, buttons, shirt
from previz.geometry.people.shoes import shoes
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece

WHITE = (0.62, 0.62, 0.60)
# Clothes that close round the neck, and how low the skin runs on under their collar.
COLLARED = {"shirt": SEAM_M - 0.014, "jacket": SEAM_M - 0.014}


def dress(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """All garments of a figure."""
    colour = np.array(figure.clothes_colour)
    if figure.clothes == "dress":
        return (*frock(suit, figure), *shoes(suit, low_m=-0.028))
    lower = (trousers(suit, figure), *shoes(suit))
    if figure.clothes == "shirt":
        return (*shirt(suit, figure, colour), *lower)
    if figure.clothes == "jacket":
        return (*jacket(suit, figure, colour), *lower)
    return (*jumper(suit, figure), *lower)


def jumper(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A jumper with a round neck and knitted bands."""
    cuts = suit.cuts
    pattern = Pattern(
        room=lambda p: (
            0.012
            - 0.006 * over_deltoid(suit, p)
            + 0.008 * at_hips(suit, p)
            - 0.006 * over_cuff(suit, p)
        ),
        off=lambda p: 0.0035 + 0.006 * at_hips(suit, p),
        fabric=KNIT,
        longer=0.07,
        hang=Hang(0.30),
    )
    fields = cuts.with_sleeves(
        lambda p: cuts.above_neckline(p, 0.005, 0.012), 0.012, ("upperleg01.L", 0.0)
    )
    sheet_of = sewn(suit, fields, pattern).hemmed((0.005, 0.014, 0.0022))
    return garment(suit, figure, "jumper", sheet_of, "cloth_knit")


def jacket(suit: Suit, figure: Figure, colour: Array) -> tuple[Piece, ...]:
    """A jacket with lapels over a white shirt."""
    cuts = suit.cuts
    neck = ring(suit, jackets.SEAM_M)
    gap = jackets.opening_of(cuts, neck)
    shoulder = float(cuts.joint("upperarm01.L")[1])

    def open_front(p: Array) -> Array:
        """Distance from the front opening, negative inside it."""
        behind = np.clip((p[:, 1] - shoulder + 0.005) / 0.02, 0.0, 1.0)
        return np.asarray(np.abs(p[:, 0] - gap.middle(p[:, 2])) - gap.half(p[:, 2]) + behind)

    hem_m = gap.hem_z - float(cuts.joint("upperleg01.L")[2])
    closed = sewn(
        suit,
        cuts.with_sleeves(
            lambda p: cuts.over_collar(p, jackets.SEAM_M), 0.022, ("upperleg01.L", hem_m)
        ),
        Pattern(
            room=lambda p: (
                0.016
                - 0.008 * over_deltoid(suit, p)
                + 0.004 * on_shoulder(suit, p)
                + 0.006 * at_hips(suit, p)
            ),
            off=lambda p: 0.008 + 0.003 * on_shoulder(suit, p) + 0.004 * at_hips(suit, p),
            fabric=HEAVY,
            held=lambda p: cuts.over_collar(p, jackets.SEAM_M - 0.012),
            hang=Hang(0.12),
        ),
    )
    open_sheet = closed.cut(open_front).hemmed((0.003, 0.010, 0.0006))
    body = garment(suit, figure, "jacket", open_sheet, "cloth_jacket")
    front = jackets.Front(cuts, closed)
    at, way = jackets.button_places(front, gap)
    horn = np.clip(0.5 * colour, 0.008, 0.2)
    worn = [
        *(jackets.lapel(front, gap, sign, colour) for sign in (1.0, -1.0)),
        jackets.collar(front, gap, neck, colour),
        *jackets.pockets(front, gap, colour, welt=figure.sex == "male"),
        buttons("jacket_buttons", at, way, (0.009, 0.003, 0.0025), horn),
    ]
    plain = replace(figure, stripe_m=None, clothes_colour=WHITE)

    def seen(p: Array) -> Array:
        """Positive on the shirt that shows in the opening, and a little under the jacket."""
        return np.minimum(0.03 - open_front(p), p[:, 2] - gap.button_z - 0.006)

    return (*body, *worn, *shirt(suit, plain, np.array(WHITE), seen, front.ground))


def trousers(suit: Suit, figure: Figure) -> Piece:
    """Straight trousers."""
    cuts = suit.cuts
    knee = cuts.joint("lowerleg01.L")[2]
    ankle = cuts.joint("foot.L")[2]
    waist = cuts.joint("pelvis.L")[2]

    def room(p: Array) -> Array:
        down = np.clip((knee + 0.25 - p[:, 2]) / (knee + 0.25 - ankle), 0.0, 1.0)
        return np.asarray(0.007 + 0.020 * down - 0.004 * at_hips(suit, p))

    fields = (
        lambda p: cuts.below_height(p, "pelvis.L", 0.05),
        lambda p: -cuts.below_ankle(p, -0.005),
    )
    pattern = Pattern(
        room=room,
        off=lambda p: np.full(len(p), 0.003),
        held=lambda p: p[:, 2] - waist,
    )
    vertices, faces, _ = sewn(suit, fields, pattern).hemmed((0.003, 0.02, 0.001))
    colour = np.array(figure.trousers_colour)
    return piece("trousers", vertices, faces, "denim", colour)
