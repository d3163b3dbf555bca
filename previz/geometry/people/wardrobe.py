"""What people wear: each garment says where it ends, how far it stands off, how it folds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from previz.geometry.people import jacket as jackets
from previz.geometry.people.apron import apron
from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece, settle
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.drape import Hang
from previz.geometry.people.ease import at_hips, over_deltoid, padded
from previz.geometry.people.figure import Clothes, Figure, Rgb
from previz.geometry.people.frock import frock
from previz.geometry.people.knitwear import SLEEVE, cardigan, hoodie, jumper, t_shirt
from previz.geometry.people.neck import ring
from previz.geometry.people.seams import armholes, stitched
from previz.geometry.people.sewn import HEAVY, Pattern, sewn
from previz.geometry.people.shirt import (
    BLOUSE,
    OPEN_SHIRT,
    OPEN_SPREAD,
    SEAM_M,
    SHIRT,
    WORK_JACKET,
    buttons,
    down_the_front,
    dressed,
    in_opening,
    opens_at,
    shirt,
    shirt_cloth,
)
from previz.geometry.people.shoes import shoes
from previz.geometry.people.stripes import garment, run
from previz.geometry.people.tie import tie
from previz.geometry.piece import Piece

WHITE = (0.62, 0.62, 0.60)
TIE = (0.085, 0.014, 0.020)
# Clothes that close round the neck, and how low the skin runs on under their collar.
COLLARED = ("shirt", "jacket", "suit", "apron")
OPEN = {"open_shirt": OPEN_SHIRT, "blouse": BLOUSE}
CUFFS_M = 0.009  # how short of the wrist a shirt's sleeves end under a jacket
UNDER_M = 0.014  # by which skin runs on under cloth


def dress(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """All garments of a figure."""
    if figure.clothes == "dress":
        return (*frock(suit, figure), *shoes(suit, low_m=-0.028))
    return (*_top(suit, figure), trousers(suit, figure), *shoes(suit))


def _top(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    colour = np.array(figure.clothes_colour)
    makers: dict[Clothes, Callable[[], tuple[Piece, ...]]] = {
        "shirt": lambda: shirt(suit, figure, colour),
        "open_shirt": lambda: shirt(suit, figure, colour, OPEN_SHIRT),
        "blouse": lambda: shirt(suit, figure, colour, BLOUSE),
        "work_jacket": lambda: work_jacket(suit, figure, colour),
        "jacket": lambda: jacket(suit, figure, colour),
        "suit": lambda: jacket(suit, figure, colour),
        "apron": lambda: shirt_and_apron(suit, figure),
        "cardigan": lambda: cardigan(suit, figure, np.array(_under(figure))),
        "t_shirt": lambda: t_shirt(suit, figure),
        "hoodie": lambda: hoodie(suit, figure),
        "jumper": lambda: jumper(suit, figure),
    }
    return makers[figure.clothes]()


def shirt_and_apron(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """An apron, and the shirt below it."""
    under = _under(figure)
    cloth = shirt_cloth(suit, SHIRT)
    plain = replace(figure, clothes_colour=under, stripe_m=None)
    pieces = dressed(suit, plain, cloth, np.array(under), SHIRT)
    # Lower buttons would come through the bib.
    shown = tuple(one for one in pieces if one.name != "buttons")
    return (*shown, *apron(suit, figure, cloth))


def _under(figure: Figure) -> Rgb:
    return WHITE if figure.under_colour is None else figure.under_colour


def bare(cuts: Cuts, p: Array, clothes: Clothes) -> Array:
    """Where clothes leave skin bare below the head, metres, positive there and a little beyond."""
    past = cuts.past_wrist(p, 0.037)
    if clothes in COLLARED:
        return np.maximum(cuts.over_collar(p, SEAM_M - UNDER_M), past)
    if clothes in OPEN:
        low = opens_at(cuts, OPEN[clothes]) - 2.0 * UNDER_M
        open_neck = cuts.in_open_neck(p, low, OPEN_SPREAD) + UNDER_M
        return np.maximum(np.maximum(cuts.over_collar(p, SEAM_M - UNDER_M), past), open_neck)
    above = np.maximum(cuts.above_neckline(p, 0.025, 0.02), past)
    if clothes == "t_shirt":
        return np.maximum(above, cuts.past_sleeve(p, SLEEVE) + 0.03)
    return above


def work_jacket(suit: Suit, figure: Figure, colour: Array) -> tuple[Piece, ...]:
    """A jacket of heavy cotton with an open collar and patch pockets, over a T-shirt."""
    cuts, under = suit.cuts, _under(figure)
    cloth = shirt_cloth(suit, WORK_JACKET)
    low = opens_at(cuts, WORK_JACKET)
    front = jackets.Front(cuts, cloth)
    inner = in_opening(
        suit,
        lambda p: -cuts.above_neckline(p, -0.004, 0.010),
        lambda p: cuts.in_open_neck(p, low - 0.02, OPEN_SPREAD) + 0.02,
        front.ground,
    )
    plain = replace(figure, clothes_colour=under, stripe_m=None)
    return (
        *dressed(suit, figure, cloth, colour, WORK_JACKET),
        *garment(suit, plain, "t_shirt", inner.hemmed((0.002, 0.01, 0.0006)), "cloth_jersey"),
        *jackets.patches(front, cuts, colour),
    )


def jacket(suit: Suit, figure: Figure, colour: Array) -> tuple[Piece, ...]:
    """A jacket with lapels over a shirt; of a suit, with a tie."""
    cuts = suit.cuts
    neck = ring(suit, jackets.SEAM_M)
    gap = jackets.opening_of(cuts, neck)
    shoulder = float(cuts.joint("upperarm01.L")[1])

    def open_front(p: Array) -> Array:
        """Distance from the front opening, negative inside it."""
        behind = np.clip((p[:, 1] - shoulder + 0.005) / 0.02, 0.0, 1.0)
        return np.asarray(np.abs(p[:, 0] - gap.middle(p[:, 2])) - gap.half(p[:, 2]) + behind)

    hem_m = gap.hem_z - float(cuts.joint("upperleg01.L")[2])
    fields = cuts.with_sleeves(
        lambda p: cuts.over_collar(p, jackets.SEAM_M), 0.022, ("upperleg01.L", hem_m)
    )
    closed = sewn(
        suit,
        fields,
        Pattern(
            room=lambda p: (
                0.016
                - 0.008 * over_deltoid(suit, p)
                + jackets.PAD_M * padded(suit, p, jackets.ARMHOLE_M)
                + 0.006 * at_hips(suit, p)
            ),
            off=lambda p: (
                0.007
                + jackets.PAD_M * padded(suit, p, jackets.ARMHOLE_M)
                + 0.004 * at_hips(suit, p)
            ),
            fabric=HEAVY,
            held=lambda p: cuts.over_collar(p, jackets.SEAM_M - 0.012),
            hang=Hang(0.12),
            creases=0.35,
        ),
    )
    closed = stitched(
        closed,
        (
            armholes(cuts, jackets.ARMHOLE_M, jackets.SLEEVE_HEAD),
            jackets.darts(cuts, gap),
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
    tied = figure.clothes == "suit"
    plain = replace(figure, stripe_m=None, clothes_colour=WHITE if tied else _under(figure))

    def seen(p: Array) -> Array:
        """Positive on the shirt that shows in the opening, and a little under the jacket."""
        return np.minimum(0.03 - open_front(p), p[:, 2] - gap.button_z - 0.006)

    chest = in_opening(suit, lambda p: -cuts.over_collar(p, SEAM_M), seen, front.ground)
    below = dressed(suit, plain, chest, np.array(plain.clothes_colour), SHIRT, seen)
    if tied:
        # The tie hides them.
        below = tuple(one for one in below if one.name not in ("buttons", "placket"))
        top = float(ring(suit, SEAM_M).rest_at(0.0)[2]) + 0.012
        hue = np.array(TIE if figure.under_colour is None else figure.under_colour)
        ends = (top, gap.button_z + 0.012)
        worn.append(tie(down_the_front(suit, chest), front.ground, ends, gap.size, hue))
    return (*body, *worn, *below, shirt_cuffs(suit, np.array(plain.clothes_colour)))


def shirt_cuffs(suit: Suit, colour: Array) -> Piece:
    """The cuffs of a shirt that show under a jacket's sleeves."""
    fields = (
        lambda p: -suit.cuts.past_wrist(p, CUFFS_M),
        lambda p: suit.cuts.past_wrist(p, CUFFS_M) + 0.045,
    )
    cuffs = settle(suit.coarse, fields, lambda p: np.full(len(p), 0.0045), rounds=6)
    vertices, faces, rest = cuffs.hemmed((0.0022, 0.010, 0.0006))
    return piece("cuffs", vertices, faces, "cloth_shirt", colour, run(suit.cuts, rest))


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
        creases=0.0,
        fine=False,
    )
    vertices, faces, rest = sewn(suit, fields, pattern).hemmed((0.003, 0.02, 0.001))
    of_suit = figure.clothes == "suit"
    colour = np.array(figure.clothes_colour if of_suit else figure.trousers_colour)
    cloth = "cloth_jacket" if of_suit else "denim"
    return piece("trousers", vertices, faces, cloth, colour, run(cuts, rest))
