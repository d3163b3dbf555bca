"""PDF pages as a surface to draw sheets on: text stays text, pictures keep their pixels."""

from __future__ import annotations

from pathlib import Path

from PIL import Image
from reportlab.lib.utils import ImageReader  # type: ignore[import-untyped]
from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

from previz.deliver.paper.faces import pdf_font
from previz.deliver.surface import Colour

ASCENT = 0.984
"""From the top of a line to its base, in sizes; as the imaging library sets it."""


def new_canvas(path: Path, title: str, size_pt: tuple[float, float]) -> Canvas:
    """An empty document; the same drawing gives the same bytes."""
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
        self.canvas.setFont(pdf_font("regular"), size * self.scale)
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
