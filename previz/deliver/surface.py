"""What a sheet is drawn on, and pixels as such a surface; PDF pages are another, in `pdf`."""

from __future__ import annotations

import functools
from typing import Protocol

from PIL import Image, ImageDraw, ImageFont

from previz.deliver.paper.faces import font_file

Colour = tuple[int, int, int]
ELLIPSIS = "..."


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
def font(size: int) -> ImageFont.FreeTypeFont:
    """The face of all paper, in pixels."""
    return ImageFont.truetype(str(font_file("regular")), size)


def text_width(text: str, size: int) -> float:
    """How wide a line of text is, in pixels."""
    return float(font(size).getlength(text))


def fitted(text: str, size: int, width: int) -> str:
    """The text, cut at its end if it is wider than `width`."""
    if text_width(text, size) <= width:
        return text
    while text and text_width(text + ELLIPSIS, size) > width:
        text = text[:-1]
    return text + ELLIPSIS


def broken(text: str, size: int, width: int) -> list[str]:
    """The text as lines no wider than `width`."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(fitted(word, size, width))
    return lines
