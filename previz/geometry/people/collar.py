"""The collar of a shirt: a band round the neck, and a leaf that folds over it."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.lying import Ground, sheet
from previz.geometry.people.neck import Neck
from previz.geometry.piece import Piece

STATIONS = 121
EASE_M = 0.006  # between neck and band
BAND_M = (0.026, 0.034)  # height of the band in front and behind
LEAF_M = (0.066, 0.043)  # length of the leaf at its points and behind
SPREAD_M = 0.032  # how far a point lies to the side of where its leaf begins
ROLL_M = 0.0055  # by which the leaf stands off the band where it folds
# Shares of the leaf's length, from the fold down.
DOWN = np.array([0.0, 0.08, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0])


def shirt_collar(neck: Neck, shirt: Ground, colour: Array, apart_m: float, material: str) -> Piece:
    """Collar of a shirt round `neck`, its leaf on the `shirt`; open by `apart_m` a side."""
    middle = apart_m / float(neck.radius(np.zeros(1))[0])
    angle = np.linspace(middle, 2.0 * np.pi - middle, STATIONS)
    behind = 0.5 - 0.5 * np.cos(angle)
    base = neck.radius(angle)
    stand = BAND_M[0] + (BAND_M[1] - BAND_M[0]) * behind
    close = neck.section(0.030, angle) + EASE_M - 0.002
    top = _even(np.clip(close, base - 0.020, base + EASE_M))
    band = [
        neck.at(angle, base + EASE_M - 0.002, np.full(STATIONS, -0.006)),
        neck.at(angle, 0.6 * (base + EASE_M) + 0.4 * top, 0.4 * stand),
        neck.at(angle, top, 0.85 * stand),
        neck.at(angle, top + 0.0012, stand + 0.0015),
        neck.at(angle, top + 0.5 * ROLL_M, stand + 0.0030),
        neck.at(angle, top + 0.9 * ROLL_M, stand + 0.0015),
    ]
    rows = np.stack([*band, *_leaf(neck, angle, top, stand)], axis=1)
    leaf = rows[:, len(band) :]
    low = np.linspace(0.0025, 0.0042, leaf.shape[1])[None]
    # Its points stay points: only what lies behind them is evened.
    inner, before, after = slice(9, -9), slice(8, -10), slice(10, -8)
    for _ in range(2):
        leaf[inner] = 0.5 * leaf[inner] + 0.25 * (leaf[before] + leaf[after])
        leaf = shirt.lay(leaf, low)
    rows[:, len(band) :] = leaf
    return sheet("collar", rows, 0.0016, material, colour)


def _leaf(neck: Neck, angle: Array, top: Array, stand: Array) -> list[Array]:
    """Rows of the leaf from the fold down to its edge, before it lies on anything."""
    run = np.minimum(angle, 2.0 * np.pi - angle) * neck.radius(angle)
    front = np.clip(1.0 - run / 0.080, 0.0, 1.0) ** 1.4
    length = LEAF_M[1] + (LEAF_M[0] - LEAF_M[1]) * front
    side = np.where(angle < np.pi, 1.0, -1.0)
    rows = []
    for share in DOWN[1:]:
        turned = angle + side * SPREAD_M * front * share / neck.radius(angle)
        edge = neck.radius(turned) + EASE_M + 0.004
        radius = (1.0 - share) * top + share * edge + ROLL_M
        rows.append(neck.at(turned, radius, stand + 0.0015 - share * length))
    return rows


def _even(values: Array) -> Array:
    """Values round a neck, smoothed."""
    out = values.copy()
    for _ in range(8):
        out[1:-1] = 0.5 * out[1:-1] + 0.25 * (out[2:] + out[:-2])
    return out
