"""The setting-out table as pages: a tape measure and this are enough to set up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from previz.deliver.paper.faces import Face, width_of
from previz.deliver.paper.figure import (
    LEADING,
    Box,
    Figure,
    Group,
    Item,
    Pen,
    Text,
    fitted,
    line,
    wrapped,
)
from previz.deliver.plan.sheet import Sheet, columns_mm
from previz.measure.setting_out.layout import Layout
from previz.telling.cautions import printed_for
from previz.telling.fitted import FITTED, FITTED_HEADS, fitted_cells
from previz.telling.setting_out import HEADS, HOW, KINDS, cells, notes, short_name

SIZE_MM, SMALL_MM = 2.75, 2.45
ROW_MM = 5.0
RULE, HEAD_RULE = Pen(0.1, 0.55), Pen(0.3)
BESIDE_MM = 2.0
WHICH_SHARE = 0.5
PARAGRAPH_MM, LONGEST_LINE_MM, HEADING_ROOM_MM = 2.5, 200.0, 22.0
FITTED_KINDS = {
    "seat": "Seats, and who sits there",
    "person": "Standing people",
    "camera": "Cameras",
    "light": "Lights, boards and flags",
}
"""Heads of the second table's parts."""


@dataclass(eq=False)
class _Pages:
    """Rows set one under another; a new page begins where one is full."""

    box: Box
    pages: list[list[Item]] = field(default_factory=list)
    y: float = 0.0

    def begin(self) -> None:
        """A fresh page."""
        self.pages.append([])
        self.y = self.box.top

    def fits(self, height_mm: float) -> bool:
        """Whether so much more goes on this page."""
        return bool(self.pages) and self.y + height_mm <= self.box.bottom

    def text(self, x: float, text: str, size_mm: float, face: Face) -> None:
        """Type on the row at hand."""
        self.pages[-1].append(Text((x, self.y + 0.7 * ROW_MM), text, size_mm, face))

    def rule(self, pen: Pen) -> None:
        """A line over the row at hand."""
        ends = (self.box.left, self.y), (self.box.right, self.y)
        self.pages[-1].append(line(*ends, pen=pen))


def table_pages(layout: Layout, sheet: Sheet) -> list[Figure]:
    """The table over as many pages as it takes, with its notes and cautions; no title blocks."""
    box = sheet.inner.inset(1.0)
    pages = _Pages(box)
    rows = [(row.kind, cells(row, sheet.imprint.units)) for row in layout.rows]
    widths = columns_mm(HEADS, [row for _, row in rows], SIZE_MM, box.width)
    widths[-1] -= BESIDE_MM
    kind = None
    for this, row in rows:
        fresh = this != kind
        if not pages.fits((2.4 if fresh else 1.0) * ROW_MM):
            pages.begin()
            _heads(pages, HEADS, widths)
            fresh = True
        if fresh:
            _section(pages, KINDS[this])
        _row(pages, row, widths)
        kind = this
    for text, face in _paragraphs(layout, sheet):
        _paragraph(pages, text, face)
    under = _under(layout)
    _what_stands_there(pages, layout, sheet, sum(_height_mm(pages, *said) for said in under))
    for text, face in under:
        _paragraph(pages, text, face)
    described = (
        "Every camera, light, stand and seat by two tapes, with heights, pan and tilt; which it is "
        "and how it is set."
    )
    return [
        Figure(
            *sheet.page_mm,
            title=f"{layout.title}: setting out",
            description=described,
            groups=(Group("table", "table", tuple(items)),),
        )
        for items in pages.pages
    ]


def _heads(pages: _Pages, heads: Sequence[str], widths: list[float]) -> None:
    x = pages.box.left
    for head, wide in zip(heads, widths, strict=True):
        pages.text(x, head, SIZE_MM, "semibold")
        x += wide
    pages.y += ROW_MM
    pages.rule(HEAD_RULE)


def _section(pages: _Pages, words: str) -> None:
    pages.y += 0.25 * ROW_MM
    pages.text(pages.box.left, words, SIZE_MM, "italic")
    pages.y += ROW_MM


def _row(pages: _Pages, row: tuple[str, ...], widths: list[float]) -> None:
    pages.rule(RULE)
    x = pages.box.left
    for number, (cell, wide) in enumerate(zip(row, widths, strict=True)):
        face: Face = "semibold" if number == 0 else "regular"
        pages.text(x, fitted(cell, face, SIZE_MM, wide), SIZE_MM, face)
        x += wide
    pages.y += ROW_MM


def _paragraphs(layout: Layout, sheet: Sheet) -> list[tuple[str, Face]]:
    return [(text, "regular") for text in (HOW, *notes(layout, sheet.imprint.units))]


def _under(layout: Layout) -> list[tuple[str, Face]]:
    """How the second table is read, and the cautions."""
    cautions = " ".join(printed_for(layout.stage))
    return [(FITTED, "regular"), ("Before anyone builds it", "semibold"), (cautions, "regular")]


def _what_stands_there(pages: _Pages, layout: Layout, sheet: Sheet, under_mm: float) -> None:
    """A second table: which camera, lens, lamp or seat each of them is, and how it is set.

    It begins a page of its own unless all of it still goes on this one, with what stands under it.
    """
    units = sheet.imprint.units
    fitted_rows = [(row, fitted_cells(layout, row, units)) for row in layout.rows]
    rows = [(row.kind, short_name(row.name), cells) for row, cells in fitted_rows if cells]
    named = max(width_of(name, "semibold", SIZE_MM) for _, name, _ in rows) + 2.0 * BESIDE_MM
    which = (pages.box.width - named) * WHICH_SHARE
    widths = [named, which, pages.box.width - named - which]
    told = [
        [
            wrapped(text, "regular", SIZE_MM, width - BESIDE_MM)
            for text, width in zip(cells, widths[1:], strict=True)
        ]
        for _, _, cells in rows
    ]
    heights = [LEADING * SIZE_MM * (max(map(len, lines)) - 1) + ROW_MM for lines in told]
    kinds = len({kind for kind, _, _ in rows})
    whole = pages.fits(sum(heights) + (2.0 + 1.25 * kinds) * ROW_MM + under_mm)
    kind = None
    for (this, name, _), lines, tall in zip(rows, told, heights, strict=True):
        fresh = this != kind
        if kind is None and whole:
            pages.y += ROW_MM
            _heads(pages, FITTED_HEADS, widths)
        elif kind is None or not pages.fits(tall + (1.25 * ROW_MM if fresh else 0.0)):
            pages.begin()
            _heads(pages, FITTED_HEADS, widths)
            fresh = True
        if fresh:
            _section(pages, FITTED_KINDS[this])
        _fitted_row(pages, name, lines, widths)
        pages.y += tall
        kind = this


def _fitted_row(pages: _Pages, name: str, told: list[list[str]], widths: list[float]) -> None:
    pages.rule(RULE)
    pages.text(pages.box.left, name, SIZE_MM, "semibold")
    x = pages.box.left
    for lines, before in zip(told, widths[:2], strict=True):
        x += before
        for number, words in enumerate(lines):
            y = pages.y + 0.7 * ROW_MM + number * LEADING * SIZE_MM
            pages.pages[-1].append(Text((x, y), words, SIZE_MM, "regular"))


def _paragraph(pages: _Pages, text: str, face: Face) -> None:
    lines = _lines(pages, text, face)
    step = LEADING * SMALL_MM
    # A heading does not stay alone at the foot of a page.
    under_mm = HEADING_ROOM_MM if face == "semibold" else 0.0
    if not pages.fits(_height_mm(pages, text, face) + under_mm):
        pages.begin()
    pages.y += PARAGRAPH_MM
    for words in lines:
        pages.pages[-1].append(Text((pages.box.left, pages.y + 0.8 * step), words, SMALL_MM, face))
        pages.y += step


def _lines(pages: _Pages, text: str, face: Face) -> list[str]:
    return wrapped(text, face, SMALL_MM, min(pages.box.width, LONGEST_LINE_MM))


def _height_mm(pages: _Pages, text: str, face: Face) -> float:
    """How much of a page a paragraph takes, with the space over it."""
    return len(_lines(pages, text, face)) * LEADING * SMALL_MM + PARAGRAPH_MM
