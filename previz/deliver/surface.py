"""What a sheet is drawn on, and pixels as such a surface; PDF pages are another, in `pdf`."""

from __future__ import annotations

import functools
from typing import Protocol

from PIL import Image, ImageDraw, ImageFont

Colour = tuple[int, int, int]


class DrawingSurface(Protocol):
    """What a sheet is drawn on, in the sheet's pixels from its top left."""

    def line(self, at: tuple[float, float], text: str, size: int, ink: Colour) -> None:
        """One line of text; `at` is its top left."""

    def rule(self, at: tuple[float, float], width: float, ink: Colour) -> None:
        """A thin line to the right."""

    def picture(self, at: tuple[float, float], image: Image.Image) -> None:
        """A picture, pixel for pixel."""


class PixelSurface:
    """A picture as a surface."""

    def __init__(self, page: Image.Image) -> None:
        self.page, self.draw = page, ImageDraw.Draw(page)

    def line(self, at: tuple[float, float], text: str, size: int, ink: Colour) -> None:
        """One line of text; `at` is its top left."""
        self.draw.text(at, text, fill=ink, font=font(size))

    def rule(self, at: tuple[float, float], width: float, ink: Colour) -> None:
        """A thin line to the right."""
        self.draw.line([at, (at[0] + width, at[1])], fill=ink, width=2)

    def picture(self, at: tuple[float, float], image: Image.Image) -> None:
        """A picture, pixel for pixel."""
        self.page.paste(image, (round(at[0]), round(at[1])))


@functools.cache
def font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """The sheet's font, which comes with the imaging library."""
    return ImageFont.load_default(size)
