"""Part of a frame that is rendered alone: in per cent for people, in whole pixels for renderers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from numpy.typing import NDArray

REGION_FORM = "a region is x,y,width,height in per cent of the frame, from its top left corner"


@dataclass(frozen=True)
class Part:
    """Pixels of a picture, from its top left corner."""

    left_px: int
    top_px: int
    width_px: int
    height_px: int

    def of(self, image: NDArray[Any]) -> NDArray[Any]:
        """These pixels of a whole picture (height, width, ...)."""
        rows = slice(self.top_px, self.top_px + self.height_px)
        return image[rows, self.left_px : self.left_px + self.width_px]


def part_of(region_pct: tuple[float, float, float, float], size: tuple[int, int]) -> Part:
    """All pixels that a region touches of a picture of (width, height).

    ValueError for a region that is empty or reaches past the frame.
    """
    x, y, width, height = region_pct
    found = ",".join(f"{value:g}" for value in region_pct)
    if not all(math.isfinite(value) for value in region_pct) or width <= 0.0 or height <= 0.0:
        raise ValueError(f"{found} holds nothing; {REGION_FORM}")
    if x < 0.0 or y < 0.0 or x + width > 100.0 or y + height > 100.0:
        raise ValueError(f"{found} reaches past the frame; {REGION_FORM}")
    left, right = _pixels(x, x + width, size[0])
    top, bottom = _pixels(y, y + height, size[1])
    return Part(left, top, right - left, bottom - top)


def _pixels(first_pct: float, last_pct: float, side_px: int) -> tuple[int, int]:
    """The first pixel, and the one after the last; what is off by rounding alone is not touched."""
    first = math.floor(round(first_pct * side_px / 100.0, 6))
    return first, math.ceil(round(last_pct * side_px / 100.0, 6))
