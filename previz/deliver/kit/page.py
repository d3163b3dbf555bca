"""The packing list as a page: cases with boxes to tick, power, setting up, what to ask."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor  # type: ignore[import-untyped]
from reportlab.lib.pagesizes import A4, LETTER  # type: ignore[import-untyped]
from reportlab.lib.styles import ParagraphStyle  # type: ignore[import-untyped]
from reportlab.lib.units import mm  # type: ignore[import-untyped]
from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]
from reportlab.platypus import (  # type: ignore[import-untyped]
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from previz.deliver.files import whole_file
from previz.deliver.paper.faces import Face, pdf_font
from previz.measure.kit.day import Case, Day, DayItem
from previz.measure.kit.item import CATALOGUE
from previz.telling.kit import (
    COUNTED,
    LIFTED,
    TIMED,
    Words,
    circuit_rows,
    minutes,
    questions,
)
from previz.telling.numbers import fixed

Told = TypeVar("Told", bound=Hashable)
_UNIT = re.compile(r"(\d) (m|ft|W|A|V|min)\b")
PAPERS = {"a4": A4, "letter": LETTER}
INK, SOFT, LINE, BAND = (HexColor(c) for c in ("#1C1C1E", "#5C5C60", "#C9C9C6", "#F1F1EE"))
MARGIN, FOOT = 16 * mm, 14 * mm
BOX_MM, SCENE_MM = 3.2, 6.5
LEAST = 0.1
"""Of a weight that is told."""
ABOUT = "\N{ALMOST EQUAL TO} "
LEADS = (
    "From the nearest socket round the walls to each light, with 15 % to spare; the light's own "
    "lead is in it."
)
KEPT_ROWS = 6
"""A case with no more rows than these is not parted by the end of a page."""
LONGEST = 4
"""Digits of a number in a scene's column; more are as small as these."""
MOST_SCENES = 12
"""More of them find no room for a column each; their numbers then stand in one."""


def _style(face: Face, size: float, colour: Any = INK, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(
        f"{face}{size}", fontName=pdf_font(face), fontSize=size, leading=1.25 * size,
        textColor=colour, **more,
    )  # fmt: skip


class _Styles:
    """The sizes of type on the page."""

    def __init__(self) -> None:
        self.title = _style("semibold", 19)
        self.under = _style("regular", 10, SOFT)
        self.head = _style("semibold", 12.5, spaceBefore=11, spaceAfter=4, keepWithNext=1)
        self.body = _style("regular", 9.2)
        self.small = _style("regular", 7.8, SOFT)
        self.under_head = _style("regular", 7.8, SOFT, keepWithNext=1)
        self.cell = _style("regular", 9.2)
        self.strong = _style("semibold", 9.2)
        self.number = _style("regular", 9.2, alignment=2)
        sizes = {1: 9.2, 2: 9.2, 3: 7.2, LONGEST: 5.6}
        self.numbers = {n: _style("regular", size, alignment=2) for n, size in sizes.items()}
        self.column = _style("semibold", 7.6, SOFT)
        self.column_right = _style("semibold", 7.6, SOFT, alignment=2)
        self.case = _style("semibold", 10.5)
        self.case_weight = _style("regular", 9.2, SOFT, alignment=2)


class _Box(Flowable):  # type: ignore[misc]
    """A box to tick."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = BOX_MM * mm

    def draw(self) -> None:
        """Draw it, standing on the line of its row."""
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(0.7)
        self.canv.rect(0, -0.3 * mm, self.width, self.height)


def write_pdf(path: Path, day: Day, words: Words, paper: str, cautions: Sequence[str]) -> None:
    """Write it whole. OutputError where it cannot be written."""
    size = PAPERS[paper]
    name = next(iter(day.scenes.values())).title if len(day.scenes) == 1 else "Kit for the day"
    with whole_file(path) as fresh:
        book = BaseDocTemplate(
            str(fresh), pagesize=size, title=f"Kit: {name}", invariant=1, leftMargin=MARGIN,
            rightMargin=MARGIN, topMargin=MARGIN, bottomMargin=MARGIN + FOOT,
        )  # fmt: skip
        low, wide = MARGIN + FOOT / 2, size[0] - 2 * MARGIN
        frame = Frame(MARGIN, low, wide, size[1] - MARGIN - low, 0, 0, 0, 0)
        book.addPageTemplates([PageTemplate("list", [frame], onPage=_foot(name))])
        book.build(list(_Page(day, words, wide).parts(name, cautions)))


def _foot(name: str) -> Any:
    """What stands at the foot of every page."""

    def draw(canvas: Canvas, book: BaseDocTemplate) -> None:
        canvas.setFont(pdf_font("regular"), 7.8)
        canvas.setFillColor(SOFT)
        canvas.drawString(MARGIN, MARGIN - 3 * mm, name)
        canvas.drawRightString(book.pagesize[0] - MARGIN, MARGIN - 3 * mm, f"Page {book.page}")

    return draw


class _Page:
    """The parts of the page, in order."""

    def __init__(self, day: Day, words: Words, width: float) -> None:
        self.day, self.words, self.width = day, words, width
        self.styles = _Styles()
        self.numbers = {scene: number for number, scene in enumerate(day.scenes, 1)}
        self.several = len(day.scenes) > 1
        self.by_column = self.several and len(day.scenes) <= MOST_SCENES

    def parts(self, name: str, cautions: Sequence[str]) -> Iterator[Flowable]:
        """All of it."""
        s = self.styles
        yield Paragraph("What to bring", s.under)
        yield Spacer(0, 1 * mm)
        yield Paragraph(escape(name), s.title)
        yield Spacer(0, 2 * mm)
        yield Paragraph(escape(self._summary()), s.under)
        if self.several:
            yield Spacer(0, 2 * mm)
            yield self._scenes()
        yield Paragraph("To pack", s.head)
        for case in self.day.cases:
            yield from self._case(case)
        loose = [line for line in self.day.items if not line.item.packed_in]
        if loose:
            lines = [(line, line.item.count) for line in loose]
            yield from self._lines("In no case: carried, bought, or there already", "", lines)
        yield from self._power()
        yield from self._setting_up()
        yield from self._ask()
        yield from self._read(cautions)

    def _summary(self) -> str:
        weight = fixed(self.words.weight(self.day.weight_kg) or 0.0)
        two = sum(case.takes_two for case in self.day.cases)
        carried = f", {two} of them carried by two people" if two else ""
        return f"{len(self.day.cases)} cases, {weight} {self.words.heavy}{carried}."

    def _scenes(self) -> Flowable:
        """Which number is which scene."""
        s = self.styles
        cells = [
            [Paragraph(str(n), s.strong), Paragraph(escape(self.day.scenes[scene].title), s.strong),
             Paragraph(escape(scene), s.cell)]
            for scene, n in self.numbers.items()
        ]  # fmt: skip
        return _table(cells, [8 * mm, self.width - 50 * mm, 42 * mm], lines=False)

    def _case(self, case: Case) -> Iterator[Flowable]:
        weight = fixed(self.words.weight(case.weight_kg) or 0.0, 1)
        said = f"{weight} {self.words.heavy}"
        yield from self._lines(case.name, said, case.contents, case.takes_two)

    def _lines(
        self,
        name: str,
        weight: str,
        lines: Iterable[tuple[DayItem, int]],
        takes_two: bool = False,
    ) -> Iterator[Flowable]:
        """One case: its name and weight, then a row a line."""
        widths = self._widths()
        cells = [
            self._head(name, weight, takes_two),
            *(self._row(line, count) for line, count in lines),
        ]
        table = _table(cells, widths, band=True)
        yield KeepTogether([table]) if len(cells) <= KEPT_ROWS else table
        yield Spacer(0, 2.5 * mm)

    def _widths(self) -> list[float]:
        scenes = [SCENE_MM * mm] * len(self.numbers) if self.by_column else []
        used = [24 * mm] if self.several and not self.by_column else []
        fixed_mm = [7 * mm, 15 * mm, *scenes, *used, 17 * mm]
        return [fixed_mm[0], fixed_mm[1], self.width - sum(fixed_mm), *scenes, *used, 17 * mm]

    def _head(self, name: str, weight: str, takes_two: bool) -> list[Any]:
        s = self.styles
        columns: list[Any] = []
        if self.by_column:
            columns = [Paragraph(str(n), s.column_right) for n in self.numbers.values()]
        elif self.several:
            columns = [Paragraph("scenes", s.column)]
        two = f' <font face="{pdf_font("bold")}">, two people</font>' if takes_two else ""
        title = f"{escape(name)}{two}"
        return [
            Paragraph(title, s.case),
            "",
            "",
            *columns,
            Paragraph(weight, s.case_weight),
        ]

    def _row(self, line: DayItem, count: int) -> list[Any]:
        s, item = self.styles, line.item
        amount = str(self.words.counted(count, item.unit))
        if item.unit:
            amount += f" {self.words.unit(item.unit)}"
        elif count < item.count:
            amount += f" of {item.count}"
        size = self.words.size(item.size_m)
        text = escape(item.name) + (f", {_held(size)}" if size else "")
        if item.note:
            text += f' <font size="7.8" color="#5C5C60">{escape(item.note)}</font>'
        weight = self.words.weight(None if item.unit else line.item.weight_kg)
        each = "" if weight is None else self._weighed(weight * count, item.source)
        return [
            _Box(), Paragraph(amount, s.number), Paragraph(text, s.cell),
            *self._used(line), Paragraph(each, s.number),
        ]  # fmt: skip

    @staticmethod
    def _weighed(weight: float, source: str) -> str:
        """A weight, with the mark of what is no figure of the catalogue."""
        if weight < LEAST:
            return f"&lt; {fixed(LEAST, 1)}"
        return ("" if source == CATALOGUE else ABOUT) + fixed(weight, 1)

    def _used(self, line: DayItem) -> list[Any]:
        """How many each scene needs; or which scenes do."""
        s = self.styles
        counts = [
            self.words.counted(line.by_scene.get(scene, 0), line.item.unit)
            for scene in self.numbers
        ]
        if self.by_column:
            return [self._counted(count) for count in counts]
        if self.several:
            used = [n for n, count in enumerate(counts, 1) if count]
            return [Paragraph(_runs(used), s.cell)]
        return []

    def _counted(self, count: int) -> Paragraph:
        """A number in a scene's column; a long one smaller, so that it stays on one line."""
        text = str(count or "\N{MIDDLE DOT}")
        return Paragraph(text, self.styles.numbers[min(len(text), LONGEST)])

    def _alike(self, told: Mapping[str, Told]) -> Iterator[tuple[str, Told]]:
        """What is told of scenes, once for all of which the same is told, with their numbers."""
        scenes: dict[Told, list[int]] = {}
        for scene, said in told.items():
            scenes.setdefault(said, []).append(self.numbers[scene])
        yield from ((_runs(numbers), said) for said, numbers in scenes.items())

    def _power(self) -> Iterator[Flowable]:
        s = self.styles
        heads = ("scenes", "circuit", "everything at full", "may carry", "lights, and the way")
        cells: list[list[Any]] = [[Paragraph(h, s.column) for h in heads]]
        scenes = self.day.scenes.items()
        told = {scene: tuple(circuit_rows(needs, self.words)) for scene, needs in scenes}
        for numbers, rows in self._alike(told):
            for row in rows:
                cells.append([Paragraph(_held(t), s.cell) for t in (numbers, *row)])
        widths = [18 * mm if self.several else 0.0, 20 * mm, 37 * mm, 62 * mm]
        first = 0 if self.several else 1
        table = _table([row[first:] for row in cells], [*widths, self.width - sum(widths)][first:])
        yield KeepTogether([Paragraph("Power", s.head), table])
        yield Spacer(0, 1.5 * mm)
        yield Paragraph(LEADS, s.small)

    def _setting_up(self) -> Iterator[Flowable]:
        s = self.styles
        yield Paragraph("Setting up", s.head)
        yield Paragraph(TIMED, s.under_head)
        yield Spacer(0, 1.5 * mm)
        for numbers, steps in self._alike({n: x.steps for n, x in self.day.scenes.items()}):
            said = f"Scene {numbers}: " if self.several else ""
            total = f"{said}{minutes(sum(step.minutes for step in steps))}"
            cells: list[list[Any]] = [["", Paragraph(escape(total), s.strong), ""]]
            for step in steps:
                spent = Paragraph(f"{step.minutes} min", s.number)
                cells.append([_Box(), Paragraph(escape(step.what), s.cell), spent])
            yield _table(cells, [7 * mm, self.width - 27 * mm, 20 * mm], head=True)
            yield Spacer(0, 1.5 * mm)

    def _ask(self) -> Iterator[Flowable]:
        s = self.styles
        cells = [[_Box(), Paragraph(escape(question), s.cell)] for question in questions(self.day)]
        table = _table(cells, [7 * mm, self.width - 7 * mm])
        yield KeepTogether([Paragraph("Ask the place", s.head), table])

    def _read(self, cautions: Sequence[str]) -> Iterator[Flowable]:
        s = self.styles
        said = [Paragraph(escape(text), s.body) for text in cautions]
        yield KeepTogether([Paragraph("Before anyone builds it", s.head), *said])
        weights = (
            "Weights of cameras, lenses and lights are those of the catalogue's classes; those "
            f"marked {ABOUT.strip()} are estimates: weigh your own. The workbook names the source "
            "of every line."
        )
        said = [Paragraph(escape(text), s.small) for text in (COUNTED, LIFTED, weights)]
        yield KeepTogether([Paragraph("How it is counted", s.head), *said])


def _table(
    cells: list[list[Any]],
    widths: list[float],
    *,
    lines: bool = True,
    band: bool = False,
    head: bool = False,
) -> Table:
    looks: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1.2 * mm), ("RIGHTPADDING", (0, 0), (-1, -1), 1.2 * mm),
        ("TOPPADDING", (0, 0), (-1, -1), 0.9 * mm), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.1 * mm),
    ]  # fmt: skip
    if band or head:
        looks.append(("NOSPLIT", (0, 0), (-1, min(2, len(cells) - 1))))
    if head:
        looks.append(("NOSPLIT", (0, -2), (-1, -1)))
    if lines:
        looks.append(("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE))
    if band:
        looks += [("BACKGROUND", (0, 0), (-1, 0), BAND), ("SPAN", (0, 0), (2, 0))]
    return Table(cells, widths, style=TableStyle(looks), repeatRows=1 if band or head else 0)


def _held(text: str) -> str:
    """Escaped, and no number parted from its unit by a line's end."""
    return _UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", escape(text))


def _runs(numbers: list[int]) -> str:
    """`1-4, 7`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}\N{EN DASH}{r[-1]}" for r in runs)
