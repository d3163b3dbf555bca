"""Light and pictures as lossless images that a browser decodes by itself.

Light is kept as whole steps of a logarithm that turns straight towards black: a step is a small
share of the light, whatever the light. Low bytes are one image, high bytes another, which is left
out where nothing is so bright.
"""

from __future__ import annotations

import base64
import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image as Pillow

from previz import cache
from previz.develop.table import DevelopTable

STEPS = 60
"""To a stop, well above the toe: half a step is well under half a code value on all views."""
TOE = 0.18 * 2.0**-4.25
"""From four stops under mid grey down, steps turn from even in stops to even in light: a quarter of
a code value in black. Chosen with STEPS for the smallest page whose light, turned up threefold, is
more than a code value off on less than one pixel in a thousand."""
KIND, MOST = "page_images", 256
"""Packed images that are kept in the cache: those of some ten pages."""
TABLE_STEPS = 4080
"""The table's white: sixteen steps to a code value."""


@dataclass(frozen=True)
class Planes:
    """Whole numbers of three colours as two images, data addresses; `high` empty if all zero."""

    low: str
    high: str

    @property
    def letters(self) -> int:
        """How much of the page they take."""
        return len(self.low) + len(self.high)


def light_planes(linear: NDArray[np.float32]) -> Planes:
    """Scene-linear light (height, width, 3) for the page."""
    steps = np.round(STEPS * np.log2(np.maximum(linear, 0.0) / TOE + 1.0))
    return _planes(np.minimum(steps, 65535.0).astype(np.uint16))


def table_planes(table: DevelopTable) -> Planes:
    """A table as squares of red across and green down, for each blue, in rows of `tiles_across`."""
    side, across = table.side, tiles_across(table)
    rows = -(-side // across)
    laid = np.zeros((rows * side, across * side, 3), np.uint16)
    steps = np.round(table.values * TABLE_STEPS).astype(np.uint16)
    for blue in range(side):
        row, column = divmod(blue, across)
        laid[row * side : (row + 1) * side, column * side : (column + 1) * side] = steps[blue]
    return _planes(laid)


def tiles_across(table: DevelopTable) -> int:
    """Squares in a row, so that all of them make about a square."""
    return int(np.ceil(np.sqrt(table.side)))


def picture_address(picture: NDArray[np.uint8]) -> str:
    """An 8 bit picture (height, width, 3), without loss, as a data address.

    Packing takes most of a page's time, so what was packed is kept: a page whose words alone
    changed packs nothing.
    """
    digest = hashlib.sha256(picture.tobytes()).hexdigest()
    key = cache.key_of([Path(__file__)], picture.shape, digest)
    found = cache.load(KIND, key)
    packed = _packed(picture) if found is None else found["webp"]
    if found is None:
        cache.keep(KIND, key, {"webp": packed}, MOST)
    return "data:image/webp;base64," + base64.b64encode(packed.tobytes()).decode("ascii")


def _packed(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    kept = io.BytesIO()
    Pillow.fromarray(picture).save(kept, "WEBP", lossless=True, method=4, quality=80)
    return np.frombuffer(kept.getvalue(), np.uint8)


def _planes(steps: NDArray[np.uint16]) -> Planes:
    high = (steps >> 8).astype(np.uint8)
    low = picture_address((steps & 255).astype(np.uint8))
    return Planes(low, picture_address(high) if high.any() else "")
