"""A frame with a strip of words at its foot, for frames that travel without a page round them."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from previz.deliver.paper.lacking import settable
from previz.deliver.surface import Colour, PixelSurface, broken, text_width

Picture = NDArray[np.uint8]
CaptionPlace = Literal["under", "over"]
"""Under the picture, which stays whole; or over its lowest part, where the size must not change."""

# A strip as dark as this, with words as grey as these, changes least how a picture looks.
STRIP: Colour = (28, 28, 30)
INK: Colour = (222, 222, 224)
GREY: Colour = (160, 160, 164)
SHOWS_THROUGH = 0.3
"""Share of the picture that a strip over it lets through."""
ACROSS = 72
"""Type sizes in the picture's width: a line of about 130 letters."""
LEAST_PX = 12
"""No smaller: below it letters run together (an estimate)."""
PITCH = 1.4


def captioned(
    picture: Picture, said: str, made_from: str, place: CaptionPlace = "under"
) -> Picture:
    """The picture (height, width, 3) with a caption: what it is, and what it was made from.

    Both stand on one line where there is room, `made_from` at its right end.
    """
    width = picture.shape[1]
    size = max(round(width / ACROSS), LEAST_PX)
    page = _strip(settable(said), settable(made_from), width, size)
    if place == "under":
        return np.concatenate([picture, page])
    high = min(len(page), len(picture))
    # Type stays as it is; the ground alone lets the picture through.
    ground = np.all(page[:high] == STRIP, axis=2, keepdims=True)
    mixed = picture[-high:] * SHOWS_THROUGH + page[:high] * (1.0 - SHOWS_THROUGH)
    strip = np.where(ground, np.rint(mixed).astype(np.uint8), page[:high])
    return np.concatenate([picture[: len(picture) - high], strip])


def _strip(said: str, made_from: str, width: int, size: int) -> Picture:
    """The strip alone (height, width, 3), in type of `size` pixels."""
    margin = size
    room = width - 2 * margin
    beside = text_width(said, size) + 2 * size + text_width(made_from, size) <= room
    rows = [(line, INK) for line in broken(said, size, room)]
    rows += [] if beside else [(line, GREY) for line in broken(made_from, size, room)]
    high = round(size * (PITCH * len(rows) + 0.8))
    surface = PixelSurface(Image.new("RGB", (width, high), STRIP))
    for number, (line, ink) in enumerate(rows):
        surface.line((margin, size * (0.4 + PITCH * number)), line, size, ink)
    if beside:
        x = width - margin - text_width(made_from, size)
        surface.line((x, size * 0.4), made_from, size, GREY)
    return np.asarray(surface.page)
