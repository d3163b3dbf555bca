"""Skin under hair: the darker the more of it grows there."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.figure import Figure
from previz.geometry.people.hair.styles import BEARDS, STYLES
from previz.geometry.people.hair.tones import reflectance
from previz.geometry.people.scalp import beard_edge, hairline
from previz.geometry.people.skin import noise


def recession_m(figure: Figure) -> float:
    """How far the hairline of a figure has gone back."""
    return STYLES[figure.hair].recede_m if figure.hair in STYLES else 0.0


# How dark the roots of a shaved beard shimmer through the skin, by the colour of the hair, 0 to 1:
# estimates, judged by eye. Fair beards show nothing.
SHAVED = {"black": 0.34, "dark_brown": 0.26, "brown": 0.14, "auburn": 0.06, "grey": 0.10}
LEFT_TO_GROW = 2.8  # times that in stubble of some days


def stubble_share(figure: Figure) -> float:
    """How much of a beard's roots shows in the skin, 0 to 1: of a man's, shaved or left to grow."""
    if figure.sex == "female":
        return 0.0
    shaved = SHAVED.get(figure.hair_colour, 0.02)
    return shaved if figure.beard == "none" else min(LEFT_TO_GROW * shaved, 1.0)


def shaded(tone: Array, data: BodyData, rest: Array, figure: Figure) -> Array:
    """Reflectance (n, 3) of the skin, darkened where hair and beard come out of it.

    Only as far as roots do that, so that a parting shows the scalp and a hairline is no line.
    """
    body = rest[: len(tone)]
    hue = reflectance(figure.hair_colour)
    out = tone
    if figure.hair in STYLES:
        edge = hairline(data, recession_m(figure)) + 0.006 * noise(body, 0.009, 41)
        share = STYLES[figure.hair].shade * np.clip((edge + 0.003) / 0.018, 0.0, 1.0)
        out = out + share[:, None] * (hue - out)
    if figure.beard != "none":
        beard = BEARDS[figure.beard]
        edge, lip = beard_edge(data)
        share = beard.shade * np.clip((edge + 0.003 * noise(body, 0.008, 43) + 0.002) / 0.014, 0, 1)
        share = share * lip if beard.lip_alone else share
        out = out + share[:, None] * (hue - out)
    return np.asarray(out)
