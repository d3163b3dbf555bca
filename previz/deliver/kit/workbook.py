"""The packing list as a workbook: boxes to tick, cases, power, setting up, questions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]

from previz.deliver.files import whole_file
from previz.measure.kit.day import Day
from previz.telling.kit import (
    COUNTED,
    LIFTED,
    TIMED,
    Value,
    Words,
    case_words,
    circuit_rows,
    head,
    questions,
    rows,
)

BOX = "\N{BALLOT BOX}"
PAPERS = {"a4": 9, "letter": 1}
"""Numbers of the formats in the file format: ECMA-376."""
WIDTHS = {"category": 13, "item": 46, "size": 15, "count": 8, "unit": 6, "case": 22, "note": 48,
          "source": 24}  # fmt: skip
SCENE_WIDTH, WEIGHT_WIDTH = 11, 12


class _Book:
    """A workbook with the few looks that its sheets share."""

    def __init__(self, path: Path, paper: str) -> None:
        self.book = xlsxwriter.Workbook(str(path))
        self.paper = paper
        base = {"font_size": 10, "valign": "top"}
        self.plain = self.book.add_format({**base, "text_wrap": True})
        self.box = self.book.add_format({**base, "align": "center", "font_size": 12})
        self.heads = self.book.add_format(
            {**base, "bold": True, "bottom": 1, "bg_color": "#E7E7E4", "text_wrap": True}
        )

    def sheet(
        self,
        name: str,
        heads: Sequence[str],
        widths: Sequence[float],
        lines: Iterable[Sequence[Value]],
        ticks: bool = False,
    ) -> None:
        """One sheet: heads that stay, columns as wide as they need, one page wide on paper."""
        sheet = self.book.add_worksheet(name)
        first = ["done", *heads] if ticks else list(heads)
        for column, width in enumerate([6.0, *widths] if ticks else widths):
            sheet.set_column(column, column, width, self.plain)
        sheet.write_row(0, 0, first, self.heads)
        last = 0
        for last, line in enumerate(lines, 1):
            cells: list[Any] = [BOX, *line] if ticks else list(line)
            for column, value in enumerate(cells):
                looks = self.box if ticks and column == 0 else self.plain
                sheet.write(last, column, value, looks)
        sheet.freeze_panes(1, 3 if ticks else 0)
        if last and ticks:
            sheet.autofilter(0, 0, last, len(first) - 1)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.set_paper(PAPERS[self.paper])
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(0.5, 0.5, 0.6, 0.6)
        sheet.set_footer(f"&L{name}&RPage &P of &N")


def write_xlsx(path: Path, day: Day, words: Words, paper: str) -> None:
    """Write it whole. OutputError where it cannot be written."""
    with whole_file(path) as fresh:
        made = _Book(fresh, paper)
        heads = head(day, words)
        made.sheet("Packing", heads, [_width(name, day) for name in heads], rows(day, words), True)
        made.sheet("Cases", ("case", "weight", "item", "size", "count"), (20, 22, 50, 16, 8),
                   _cases(day, words))  # fmt: skip
        circuits = ((n, *r) for n, needs in day.scenes.items() for r in circuit_rows(needs, words))
        made.sheet("Power", ("scene", "circuit", "load", "may carry", "lights, and the way"),
                   (16, 14, 26, 38, 50), circuits)  # fmt: skip
        made.sheet("Setting up", ("scene", "step", "minutes"), (16, 70, 10), _steps(day), True)
        made.sheet("Ask the place", ("question",), (110,), ((q,) for q in questions(day)), True)
        made.sheet("Read this", ("how it is counted",), (110,), ((COUNTED,), (LIFTED,), (TIMED,)))
        made.book.close()


def _width(name: str, day: Day) -> float:
    if name in day.scenes:
        return SCENE_WIDTH
    return WIDTHS.get(name, WEIGHT_WIDTH)


def _cases(day: Day, words: Words) -> Iterable[tuple[Value, ...]]:
    for case in day.cases:
        for number, (line, count) in enumerate(case.contents):
            first = number == 0
            amount, size = words.counted(count, line.item.unit), words.size(line.item.size_m)
            yield (case.name, case_words(case, words) if first else "", line.item.name, size,
                   amount)  # fmt: skip


def _steps(day: Day) -> Iterable[tuple[Value, ...]]:
    for name, needs in day.scenes.items():
        for step in needs.steps:
            yield name, step.what, step.minutes
        yield name, "in all", needs.minutes
