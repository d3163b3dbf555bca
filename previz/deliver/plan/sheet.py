"""A page of the set's paper: frame, title block with scale bar and north, legend, and the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from previz.deliver.paper.faces import width_of
from previz.deliver.paper.figure import (
    Box,
    Group,
    Item,
    Pen,
    Text,
    area,
    fitted,
    line,
    rectangle,
)
from previz.deliver.plan.view import bar_steps_m
from previz.telling.numbers import plain
from previz.telling.plan import PAPER_WORDS
from previz.telling.tape import Units, scale_words
from previz.units import M_PER_INCH, m_to_mm

Paper = Literal["a4", "a3", "letter"]
PAPERS_MM: dict[Paper, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
}
"""Upright width and height: ISO 216; letter 8 1/2 by 11 inches, ANSI Y14.1 (both from memory)."""
MARGIN_MM = 10.0
BLOCK_MM = 15.0
FRAME, RULE = Pen(0.35), Pen(0.15)


@dataclass(frozen=True)
class Imprint:
    """What stands on every page: the set, and from which version of it the page was made."""

    title: str
    made_from: str
    paper: Paper
    units: Units


@dataclass(frozen=True)
class Sheet:
    """One empty page."""

    imprint: Imprint
    upright: bool

    @property
    def page_mm(self) -> tuple[float, float]:
        """Width and height."""
        short, long = PAPERS_MM[self.imprint.paper]
        return (short, long) if self.upright else (long, short)

    @property
    def inner(self) -> Box:
        """What is inside the margins and above the title block."""
        wide, high = self.page_mm
        return Box(MARGIN_MM, MARGIN_MM, wide - MARGIN_MM, high - MARGIN_MM - BLOCK_MM)


def title_block(
    sheet: Sheet, heading: str, number: tuple[int, int], scale: int | None, *, north: bool
) -> Group:
    """The strip at the foot of a page: set, drawing, scale with its bar, north, version."""
    wide, high = sheet.page_mm
    imprint = sheet.imprint
    box = Box(MARGIN_MM, high - MARGIN_MM - BLOCK_MM, wide - MARGIN_MM, high - MARGIN_MM)
    page = f"{number[0]} of {number[1]}"
    arrow = _north((box.right - 6.0, box.centre[1])) if north else ()
    bar_left = box.right - (10.0 if scale is None else 14.0) - _bar_mm(scale, imprint.units)
    bar = () if scale is None else scale_bar((bar_left, box.top + 9.0), scale, imprint.units)
    left = box.left + 3.0
    room = bar_left - left - 6.0
    on_paper = f" on {PAPER_WORDS[imprint.paper]}"
    scaled = "" if scale is None else f"  ·  {scale_words(scale, imprint.units)}{on_paper}"
    small = f"{imprint.made_from}  ·  page {page}"
    items: tuple[Item, ...] = (
        rectangle(box, FRAME),
        Text((left, box.top + 5.2), fitted(imprint.title, "bold", 3.6, room), 3.6, "bold"),
        Text(
            (left, box.top + 9.4),
            fitted(f"{heading}{scaled}", "regular", 3.0, room),
            3.0,
            "regular",
        ),
        Text((left, box.top + 13.0), fitted(small, "regular", 2.2, room), 2.2, grey=0.3),
        *bar,
        *arrow,
    )
    return Group("title.block", "title", items)


def _bar_mm(scale: int | None, units: Units) -> float:
    if scale is None:
        return 0.0
    step_m, count = bar_steps_m(scale, units)
    return m_to_mm(step_m * count) / scale + 6.0


def scale_bar(at_mm: tuple[float, float], scale: int, units: Units) -> tuple[Item, ...]:
    """A bar in black and white parts, numbered; a copy that was enlarged still tells lengths."""
    step_m, count = bar_steps_m(scale, units)
    step, (x, y) = m_to_mm(step_m) / scale, at_mm
    unit_m, word = (1.0, "m") if units == "metres" else (12.0 * M_PER_INCH, "ft")
    items: list[Item] = []
    for n in range(count):
        part = Box(x + n * step, y, x + (n + 1) * step, y + 1.6)
        items.append(rectangle(part, RULE, 0.0 if n % 2 == 0 else 1.0))
    for n in range(count + 1):
        label = plain(n * step_m / unit_m, 2) + (f" {word}" if n == count else "")
        items.append(Text((x + n * step, y - 1.0), label, 2.1, anchor="middle"))
    return tuple(items)


def _north(at_mm: tuple[float, float]) -> tuple[Item, ...]:
    """Plan north is up."""
    x, y = at_mm
    return (
        line((x, y + 4.5), (x, y - 2.0), pen=Pen(0.25)),
        area([(x, y - 3.2), (x - 1.3, y + 0.6), (x, y - 0.4), (x + 1.3, y + 0.6)], Pen(0.2), 0.0),
        Text((x, y - 4.0), "N", 2.4, "bold", anchor="middle"),
    )


def columns_mm(
    heads: Sequence[str], rows: Sequence[Sequence[str]], size_mm: float, room_mm: float
) -> list[float]:
    """Widths of a table's columns: each as its widest cell asks, spread over the room there is."""
    needs = [
        max(
            width_of(heads[n], "semibold", size_mm),
            *(width_of(row[n], "semibold" if n == 0 else "regular", size_mm) for row in rows),
        )
        for n in range(len(heads))
    ]
    spare = (room_mm - sum(needs)) / len(needs)
    return [float(np.round(need + spare, 3)) for need in needs]
