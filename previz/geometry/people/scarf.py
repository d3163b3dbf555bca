"""A headscarf: cloth over head, ears and throat that leaves the face open."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import Suit, piece, settle
from previz.geometry.piece import Piece


def outside_oval(p: Array, middle: Array, chin: Array) -> Array:
    """Distance outside the oval of the face that a scarf leaves open; points at rest (n, 3).

    middle  between the eyes, `chin`: at rest
    """
    top, bottom = middle[2] + 0.052, chin[2] - 0.004
    centre, half = 0.5 * (top + bottom), 0.5 * (top - bottom)
    wide = 0.67 * half
    x, z = p[:, 0] / wide, (p[:, 2] - centre) / half
    ring = (np.hypot(x, z) - 1.0) * wide
    behind = np.clip((p[:, 1] - middle[1] - 0.055) / 0.02, 0.0, 3.0) * 0.03
    return np.asarray(ring + behind)


def ears_pressed(rest: Array, posed: Array, turn: Array, middle: Array) -> tuple[Array, Array]:
    """The skin at rest and posed with the ears lying flat, as cloth over them holds them.

    What stands out further than the temples above is moved in to them. `turn` (3, 3) is the
    head's own rotation, `middle` between the eyes at rest.
    """
    over = rest[:, 2] - middle[2]
    temples = np.abs(rest[(over > 0.045) & (over < 0.065), 0]).max()
    level = np.clip((0.085 - np.abs(over + 0.01)) / 0.02, 0.0, 1.0)
    out = np.clip(np.abs(rest[:, 0]) - 0.97 * temples, 0.0, None)
    moved = np.zeros_like(rest)
    moved[:, 0] = -np.sign(rest[:, 0]) * out * level
    return rest + moved, posed + moved @ turn.T


def headscarf(suit: Suit, eyes: list[Array], chin: Array, colour: Array) -> Piece:
    """The scarf over the skin that shows.

    suit        the visible skin, at rest and posed
    eyes, chin  at rest
    """
    middle = 0.5 * (eyes[0] + eyes[1])

    def outside_face(p: Array) -> Array:
        return outside_oval(p, middle, chin)

    def on_head(p: Array) -> Array:
        return np.asarray(0.125 - np.abs(p[:, 0]))

    def lift(p: Array) -> Array:
        low = np.clip((chin[2] + 0.01 - p[:, 2]) / 0.08, 0.0, 1.0)
        return np.asarray(0.010 + 0.024 * low)

    def folds(p: Array) -> Array:
        angle = np.arctan2(p[:, 0], -(p[:, 1] - middle[1] - 0.06))
        low = np.clip((middle[2] - p[:, 2]) / 0.10, 0.0, 1.0)
        drape = np.sin(9.0 * angle + 40.0 * p[:, 2] + 2.0 * np.sin(5.0 * angle))
        return np.asarray(0.0010 * drape + 0.0035 * low * drape)

    def hold(p: Array) -> Array:
        # Cloth rests on the skull, and spans from there over ears and throat.
        return np.asarray(np.clip((p[:, 2] - middle[2] - 0.005) / 0.070, 0.0, 1.0))

    vertices, faces, _ = settle(
        suit,
        (outside_face, on_head),
        lift,
        rounds=160,
        folds=folds,
        hold=hold,
    ).hemmed((0.003, 0.012, 0.001))
    return piece("headscarf", vertices, faces, "cloth_cotton", colour)
