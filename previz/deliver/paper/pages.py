"""Figures as pages of a PDF: lines stay lines, type stays type, in embedded faces."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path as File

from reportlab.lib.units import mm  # type: ignore[import-untyped]
from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

from previz.deliver.files import whole_file
from previz.deliver.paper.faces import pdf_font, width_of
from previz.deliver.paper.figure import Circle, Figure, Item, Path, Pen, Text


def write_pages(path: File, title: str, figures: Iterable[Figure]) -> None:
    """A document with a page for each figure, of the figure's own size.

    The same figures give the same bytes. Raises OutputError when it cannot be written.
    """
    with whole_file(path) as fresh:
        canvas = Canvas(str(fresh), invariant=1)
        canvas.setTitle(title)
        for figure in figures:
            add_page(canvas, figure)
        canvas.save()


def add_page(canvas: Canvas, figure: Figure) -> None:
    """One more page of a document, as large as the figure."""
    canvas.setPageSize((figure.width_mm * mm, figure.height_mm * mm))
    draw_figure(canvas, figure)
    canvas.showPage()


def draw_figure(canvas: Canvas, figure: Figure, at_mm: tuple[float, float] = (0.0, 0.0)) -> None:
    """Draw a figure on the page at hand; `at_mm` is its lower left, from the page's."""
    canvas.saveState()
    canvas.translate(at_mm[0] * mm, at_mm[1] * mm)
    canvas.setLineJoin(1)
    pen = _Drawing(canvas, figure.height_mm)
    for group in figure.groups:
        for item in group.items:
            pen.item(item)
    canvas.restoreState()


class _Drawing:
    """Draws items on a page, whose own axes have y up."""

    def __init__(self, canvas: Canvas, height_mm: float) -> None:
        self.canvas, self.height_mm = canvas, height_mm

    def item(self, item: Item) -> None:
        """One line, shape, circle or text."""
        if isinstance(item, Text):
            self._text(item)
            return
        stroke, fill = self._style(item.pen, item.fill)
        if isinstance(item, Circle):
            x, y = self._point(*item.at_mm)
            self.canvas.circle(x, y, item.radius_mm * mm, stroke=stroke, fill=fill)
        else:
            self._path(item, stroke, fill)

    def _path(self, item: Path, stroke: int, fill: int) -> None:
        path = self.canvas.beginPath()
        for ring in item.rings:
            for number, (x, y) in enumerate(ring):
                (path.lineTo if number else path.moveTo)(*self._point(x, y))
            if item.closed:
                path.close()
        self.canvas.drawPath(path, stroke=stroke, fill=fill, fillMode=0)

    def _style(self, pen: Pen | None, fill: float | None) -> tuple[int, int]:
        if fill is not None:
            self.canvas.setFillGray(fill)
        if pen is not None:
            self.canvas.setStrokeGray(pen.grey)
            self.canvas.setLineWidth(pen.width_mm * mm)
            self.canvas.setDash([length * mm for length in pen.dash_mm])
        return int(pen is not None), int(fill is not None)

    def _text(self, text: Text) -> None:
        x, y = text.at_mm
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
        x -= share * width_of(text.text, text.face, text.size_mm)
        self.canvas.setFillGray(text.grey)
        self.canvas.setFont(pdf_font(text.face), text.size_mm * mm)
        self.canvas.drawString(*self._point(x, y), text.text)

    def _point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        return x_mm * mm, (self.height_mm - y_mm) * mm
