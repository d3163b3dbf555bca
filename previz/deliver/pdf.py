"""PDF pages as a surface to draw sheets on: text stays text, pictures keep their pixels."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageFont
from reportlab.lib.utils import ImageReader  # type: ignore[import-untyped]
from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped]
from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped]
from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

from previz.deliver.surface import Colour

FONT = "sheet"
ASCENT = 0.94
"""From the top of a line to its base, in sizes; as the imaging library sets it."""


def new_canvas(path: Path, title: str, size_pt: tuple[float, float]) -> Canvas:
    """An empty document; the same drawing gives the same bytes."""
    if FONT not in pdfmetrics.getRegisteredFontNames():
        default = ImageFont.load_default(10)
        source = getattr(default, "path", None)
        if not isinstance(source, io.BytesIO):
            raise RuntimeError("this imaging library was built without FreeType")
        pdfmetrics.registerFont(TTFont(FONT, io.BytesIO(source.getvalue())))
    canvas = Canvas(str(path), pagesize=size_pt, invariant=1)
    canvas.setTitle(title)
    return canvas


class PdfSurface:
    """One page; the sheet is fitted into it, in the middle and at the top."""

    def __init__(
        self, canvas: Canvas, page_pt: tuple[float, float], sheet_px: tuple[int, int]
    ) -> None:
        self.canvas, self.height = canvas, page_pt[1]
        self.scale = min(page_pt[0] / sheet_px[0], page_pt[1] / sheet_px[1])
        self.left = (page_pt[0] - sheet_px[0] * self.scale) / 2.0

    def line(self, at: tuple[float, float], text: str, size: int, ink: Colour) -> None:
        """One line of text; `at` is its top left."""
        x, y = self._point(at[0], at[1] + ASCENT * size)
        self.canvas.setFillColorRGB(*(part / 255.0 for part in ink))
        self.canvas.setFont(FONT, size * self.scale)
        self.canvas.drawString(x, y, text)

    def rule(self, at: tuple[float, float], width: float, ink: Colour) -> None:
        """A thin line to the right."""
        x, y = self._point(*at)
        self.canvas.setStrokeColorRGB(*(part / 255.0 for part in ink))
        self.canvas.setLineWidth(2.0 * self.scale)
        self.canvas.line(x, y, x + width * self.scale, y)

    def picture(self, at: tuple[float, float], image: Image.Image) -> None:
        """A picture of the size it has on the sheet."""
        x, y = self._point(at[0], at[1] + image.height)
        size = (image.width * self.scale, image.height * self.scale)
        self.canvas.drawImage(ImageReader(image), x, y, *size)

    def _point(self, x: float, y: float) -> tuple[float, float]:
        return self.left + x * self.scale, self.height - y * self.scale
