"""Which way hair is combed, and how long it is, over the head.

Roots come as `at` (n, 3): in the head's own axes over the radii of its ellipsoid, +X left, -Y
front, +Z up. Ways are (n, 3) in the same axes, of length 1.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.hair.styles import Style
from previz.geometry.people.skeleton import unit
from previz.geometry.smooth import ramp

CROWN = np.array([-0.12, 0.42, 0.90])  # where hair whirls, a little beside the middle
PARTING = 0.32  # of the head's half width, on the left
DOWN = np.array([0.0, 0.12, -1.0])


def top_of(at: Array) -> Array:
    """How much a root belongs to the top of the head, 0..1."""
    return ramp(at[:, 2] + 0.10 * at[:, 1], 0.12, 0.62)


def tapering(at: Array) -> Array:
    """How long a root's hair is left in a short cut, 0 at the sides to 1 on top."""
    return ramp(at[:, 2] - 0.28 * np.clip(at[:, 1], 0.0, 1.0), 0.12, 0.92)


def lengths(style: Style, at: Array, grown: Array, random: np.random.Generator) -> Array:
    """Length of every strand, metres; `grown` (n,) is the height over the hairline."""
    brow, top, side, nape = style.length_m
    behind = ramp(at[:, 1], -0.1, 0.75) * ramp(-at[:, 2], -0.45, 0.55)
    low = side + (nape - side) * behind
    front = ramp(-at[:, 1], 0.35, 0.85)
    high = top + (brow - top) * front
    share = top_of(at) if style.over_ears else tapering(at)
    length = low + (high - low) * share
    if style.tie is None and style.level_m is None:
        # Cut close where it ends on the skin, and young hair along the brow.
        length = length * (0.42 + 0.58 * ramp(grown, 0.0, 0.022))
    return np.asarray(length * (1.0 - style.ragged * random.beta(1.2, 1.8, len(at))))


def natural(at: Array, random: np.random.Generator) -> Array:
    """As it grows: out of the whirl of the crown, forward on top, down elsewhere."""
    away = at - CROWN + 0.02 * random.normal(size=at.shape)
    swirl = np.cross(np.array([0.0, 0.0, 1.0]), away)
    low = (1.0 - top_of(at))[:, None]
    return unit((1.0 - 0.8 * low) * (away + 0.35 * swirl) + low * 1.2 * DOWN)


def over(at: Array, random: np.random.Generator) -> Array:
    """Forward and over to the right, up off the forehead in front."""
    grown = natural(at, random)
    front = ramp(-at[:, 1], 0.20, 0.75)[:, None]
    across = np.array([-0.75, -0.25, 0.10]) + front * np.array([-0.15, -0.10, 0.55])
    share = top_of(at)[:, None] * ramp(CROWN[1] - at[:, 1], 0.05, 0.5)[:, None]
    return unit(grown + share * (1.5 * across - grown))


def _from_line(at: Array, line: Array, random: np.random.Generator) -> Array:
    """Away from a parting to both sides, falling beside the face and back from it."""
    wander = 0.012 * np.sin(19.0 * at[:, 1]) + 0.010 * random.normal(size=len(at))
    part = np.tanh((at[:, 0] - line - wander) / 0.02)[:, None]
    share = top_of(at)[:, None]
    front = ramp(-at[:, 1], 0.25, 0.85)[:, None]
    back = ramp(at[:, 1], 0.25, 0.80)[:, None]
    aside = part * np.array([1.0, 0.0, 0.0]) + np.array([0.0, 0.16, 0.0])
    aside = aside + front * np.array([0.0, 0.55, 0.12])
    aside = aside + back * (np.array([0.0, 0.9, -0.3]) - 0.6 * aside)
    down = DOWN + ramp(-at[:, 1], -0.1, 0.6)[:, None] * np.array([0.0, 0.55, 0.0])
    return unit(share * aside + (1.0 - share) * down)


def parted(at: Array, random: np.random.Generator) -> Array:
    """From a parting on the left."""
    # The parting runs out towards the crown.
    line = PARTING - 0.25 * ramp(at[:, 1], 0.0, 0.6)
    return _from_line(at, line, random)


def middle(at: Array, random: np.random.Generator) -> Array:
    """From a parting near the middle."""
    return _from_line(at, np.full(len(at), 0.05), random)


def out(at: Array, random: np.random.Generator) -> Array:
    """Away from the head all round."""
    return unit(unit(at) + 0.12 * DOWN + 0.10 * random.normal(size=at.shape))


COMBS: dict[str, Callable[[Array, np.random.Generator], Array]] = {
    "natural": natural, "over": over, "parted": parted, "middle": middle,
    "out": out,
}  # fmt: skip
