"""A sheet of frames side by side, with the numbers that differ under each: PNG and PDF.

One arrangement for both: the PNG stacks all groups, for a phone; the PDF gives each group a
page of A4, for the wall. All frames of a sheet have the same size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from previz.deliver.files import whole_file
from previz.deliver.surface import (
    Colour,
    DrawingSurface,
    PixelSurface,
    broken,
    fitted,
    text_width,
)

Picture = NDArray[np.uint8]

ACROSS = 3
WIDTH_PX = 2400
MARGIN_PX = 60
GAP_PX = 36
TEXT_PX = 40
SMALL_PX = 34
LABEL_PX = 56
TITLE_PX = 68
PITCH = 1.36
INK = (28, 28, 30)
GREY = (96, 96, 100)
PAPER = (255, 255, 255)
LINE = (206, 206, 210)
A4_LANDSCAPE_PT = (841.89, 595.28)


@dataclass(frozen=True, eq=False)
class Cell:
    """One frame: what it is, its picture (height, width, 3), its numbers, a remark or ''."""

    label: str
    picture: Picture
    rows: tuple[tuple[str, str], ...]
    remark: str = ""


@dataclass(frozen=True, eq=False)
class Group:
    """Frames that belong together under one heading."""

    heading: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, eq=False)
class Sheet:
    """Title, a line under it, groups, cautions, and a line that says what it was made from."""

    title: str
    subtitle: str
    groups: tuple[Group, ...]
    foot: str
    cautions: tuple[str, ...] = ()


def differing(rows: Sequence[dict[str, str]]) -> list[tuple[tuple[str, str], ...]]:
    """Of the numbers of several frames, those that are not the same in all; in their order."""
    keys = [key for key in rows[0] if len({row.get(key) for row in rows}) > 1]
    return [tuple((key, row[key]) for key in keys if key in row) for row in rows]


def write_png(path: Path, sheet: Sheet) -> None:
    """All groups under one another. Raises OutputError when it cannot be written."""
    with whole_file(path) as fresh:
        draw_sheet(sheet).save(fresh, format="PNG", optimize=True)


def write_pdf(path: Path, sheet: Sheet) -> None:
    """A page of A4 across for each group. Raises OutputError when it cannot be written."""
    from previz.deliver.pdf import PdfSurface, new_canvas  # noqa: PLC0415 - 0.2 s only this needs

    with whole_file(path) as fresh:
        canvas = new_canvas(fresh, sheet.title, A4_LANDSCAPE_PT)
        for group in sheet.groups:
            page = replace(sheet, groups=(group,))
            size = (WIDTH_PX, _height_px(page))
            _draw(page, PdfSurface(canvas, A4_LANDSCAPE_PT, size))
            canvas.showPage()
        canvas.save()


def draw_sheet(sheet: Sheet) -> Image.Image:
    """The sheet as a picture, 2400 pixels wide."""
    page = Image.new("RGB", (WIDTH_PX, _height_px(sheet)), PAPER)
    _draw(sheet, PixelSurface(page))
    return page


def _draw(sheet: Sheet, surface: DrawingSurface) -> None:
    pen = _Pen(surface)
    y = pen.text((MARGIN_PX, MARGIN_PX), sheet.title, TITLE_PX, INK, WIDTH_PX - 2 * MARGIN_PX)
    y = pen.text((MARGIN_PX, y), sheet.subtitle, TEXT_PX, GREY, WIDTH_PX - 2 * MARGIN_PX)
    for group in sheet.groups:
        y = _draw_group(pen, group, y + GAP_PX)
    if sheet.cautions:
        pen.wrapped((MARGIN_PX, y), _cautions(sheet), WIDTH_PX - 2 * MARGIN_PX)
        y += _cautions_px(sheet)
    pen.text((MARGIN_PX, y + GAP_PX), sheet.foot, SMALL_PX, GREY, WIDTH_PX - 2 * MARGIN_PX)


def _draw_group(pen: _Pen, group: Group, y: int) -> int:
    if group.heading:
        y = pen.text((MARGIN_PX, y), group.heading, LABEL_PX, INK, WIDTH_PX - 2 * MARGIN_PX)
        y += GAP_PX // 2
    for start in range(0, len(group.cells), ACROSS):
        row = group.cells[start : start + ACROSS]
        for column, cell in enumerate(row):
            _draw_cell(pen, cell, (MARGIN_PX + column * (_cell_px(group) + GAP_PX), y), group)
        y += _row_px(group, row) + GAP_PX
    return y


def _draw_cell(pen: _Pen, cell: Cell, at: tuple[int, int], group: Group) -> None:
    x, y = at
    width, height = _cell_px(group), _picture_px(group)
    pen.picture((x, y), cell.picture, (width, height))
    y += height + GAP_PX // 2
    y = pen.text((x, y), cell.label, LABEL_PX, INK, width)
    for name, value in cell.rows:
        pen.row((x, y), name, value, width)
        y += _line_px(TEXT_PX) + 8
    if cell.remark:
        pen.wrapped((x, y), cell.remark, width)


class _Pen:
    """Writes and draws on a surface; every text is fitted into the width it is given."""

    def __init__(self, surface: DrawingSurface) -> None:
        self.surface = surface

    def text(self, at: tuple[int, int], text: str, size: int, ink: Colour, width: int) -> int:
        """One line; returns where the next begins."""
        self.surface.line(at, fitted(text, size, width), size, ink)
        return at[1] + _line_px(size)

    def row(self, at: tuple[int, int], name: str, value: str, width: int) -> None:
        """A name on the left and its value on the right, under a thin line."""
        x, y = at[0], at[1] + 8
        long = text_width(value, TEXT_PX)
        self.surface.rule((x, at[1] + 2), width, LINE)
        room = max(width - round(long) - 16, 0)
        self.surface.line((x, y), fitted(name, TEXT_PX, room), TEXT_PX, GREY)
        self.surface.line((x + width - long, y), value, TEXT_PX, INK)

    def wrapped(self, at: tuple[int, int], text: str, width: int) -> None:
        """A remark over several lines."""
        for number, line in enumerate(broken(text, SMALL_PX, width)):
            place = (at[0], at[1] + 8 + number * _line_px(SMALL_PX))
            self.surface.line(place, line, SMALL_PX, INK)

    def picture(self, at: tuple[int, int], picture: Picture, size: tuple[int, int]) -> None:
        """A frame, fitted into `size` without changing its shape."""
        image = Image.fromarray(picture)
        scale = min(size[0] / image.width, size[1] / image.height)
        small_size = (max(round(image.width * scale), 1), max(round(image.height * scale), 1))
        shift = ((size[0] - small_size[0]) // 2, (size[1] - small_size[1]) // 2)
        small = image.resize(small_size, Image.Resampling.LANCZOS)
        self.surface.picture((at[0] + shift[0], at[1] + shift[1]), small)


def _height_px(sheet: Sheet) -> int:
    height = MARGIN_PX + _line_px(TITLE_PX) + _line_px(TEXT_PX)
    for group in sheet.groups:
        height += GAP_PX + (_line_px(LABEL_PX) + GAP_PX // 2 if group.heading else 0)
        for start in range(0, len(group.cells), ACROSS):
            height += _row_px(group, group.cells[start : start + ACROSS]) + GAP_PX
    return height + _cautions_px(sheet) + GAP_PX + _line_px(SMALL_PX) + MARGIN_PX


def _cautions(sheet: Sheet) -> str:
    return " ".join(sheet.cautions)


def _cautions_px(sheet: Sheet) -> int:
    lines = broken(_cautions(sheet), SMALL_PX, WIDTH_PX - 2 * MARGIN_PX)
    return len(lines) * _line_px(SMALL_PX) + (8 if lines else 0)


def _cell_px(group: Group) -> int:
    across = min(max(len(group.cells), 2), ACROSS)
    return (WIDTH_PX - 2 * MARGIN_PX - (across - 1) * GAP_PX) // across


def _picture_px(group: Group) -> int:
    """Height that all frames fit into: that of the tallest at the full width."""
    tallest = max(float(c.picture.shape[0]) / c.picture.shape[1] for c in group.cells)
    return round(_cell_px(group) * float(tallest))


def _row_px(group: Group, row: Sequence[Cell]) -> int:
    lines = max(len(cell.rows) for cell in row) * (_line_px(TEXT_PX) + 8)
    remarks = max(len(broken(cell.remark, SMALL_PX, _cell_px(group))) for cell in row)
    below = GAP_PX // 2 + _line_px(LABEL_PX) + lines + remarks * _line_px(SMALL_PX) + 16
    return _picture_px(group) + below


def _line_px(size: int) -> int:
    return round(size * PITCH)
