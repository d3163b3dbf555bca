"""One page of a pitch: its format and grid, four sizes of type, and frames whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from previz.deliver.paper.faces import ASCENT, Face, width_of
from previz.deliver.paper.figure import Anchor, Box, Figure, Group, Item, Text, wrapped
from previz.deliver.paper.lacking import settable
from previz.deliver.pitch.content import Picture
from previz.deliver.plan.sheet import PAPERS_MM

PitchPaper = Literal["a4", "letter", "wide"]
TITLE_MM, HEAD_MM, TEXT_MM, SMALL_MM = 10.5, 6.0, 3.7, 2.8
"""The sizes of type: 30, 17, 10.5 and 8 points."""
COLUMNS, GUTTER_MM = 12, 5.0
MARGIN_MM, FOOT_MM = 17.0, 9.0
WIDE_MM = (338.667, 190.5)
"""Sixteen to nine, 13 1/3 by 7 1/2 inches, as slides are: common practice, no source."""
_LEADING = {TITLE_MM: 1.14, HEAD_MM: 1.22, TEXT_MM: 1.38, SMALL_MM: 1.36}
EVEN_MM, LEAST_LAST = 1.0, 0.3
"""Steps in which a paragraph is narrowed until its last line takes this share of the measure."""


class Tones(NamedTuple):
    """Greys, from 0 (black) to 1: the page, its words, what is said beside, what is faint."""

    page: float
    ink: float
    soft: float
    faint: float


PRINTED, SHOWN = Tones(1.0, 0.1, 0.42, 0.62), Tones(0.075, 0.94, 0.68, 0.5)
"""On white paper; and on a screen, where a white page would make every frame look dark."""


@dataclass(frozen=True)
class Format:
    """The size of all pages, and the grid on them."""

    paper: PitchPaper

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height, lying."""
        if self.paper == "wide":
            return WIDE_MM
        short, long = PAPERS_MM[self.paper]
        return long, short

    @property
    def tones(self) -> Tones:
        """Dark pages for a screen, white ones for paper."""
        return SHOWN if self.paper == "wide" else PRINTED

    @property
    def inner(self) -> Box:
        """Inside the margins, above the foot."""
        wide, high = self.size_mm
        return Box(MARGIN_MM, MARGIN_MM, wide - MARGIN_MM, high - MARGIN_MM - 2.0)

    def columns(self, first: int, count: int) -> Box:
        """So many columns of the grid, from the `first` (0 to 11), over the whole height."""
        inner = self.inner
        pitch = (inner.width + GUTTER_MM) / COLUMNS
        left = inner.left + first * pitch
        return Box(left, inner.top, left + count * pitch - GUTTER_MM, inner.bottom)


class Leaf:
    """One page in the making. Places in millimetres from its top left."""

    def __init__(self, form: Format, name: str) -> None:
        self.form, self.name = form, name
        self.tones = form.tones
        self.items: list[Item] = []
        self.frames: list[tuple[Box, Picture]] = []
        self.drawings: list[Figure] = []
        self.panels: list[Box] = []

    @property
    def figure(self) -> Figure:
        """All type on it."""
        wide, high = self.form.size_mm
        return Figure(wide, high, self.name, "", (Group("type", "type", tuple(self.items)),))

    def line(
        self,
        at_mm: tuple[float, float],
        text: str,
        size_mm: float,
        face: Face = "regular",
        *,
        grey: float | None = None,
        anchor: Anchor = "start",
    ) -> float:
        """One line; `at_mm` is its top. Gives where the next begins."""
        x, y = at_mm
        base = y + ASCENT * size_mm
        tone = self.tones.ink if grey is None else grey
        self.items.append(Text((x, base), settable(text), size_mm, face, anchor, tone))
        return y + _LEADING[size_mm] * size_mm

    def paragraph(
        self,
        at_mm: tuple[float, float],
        text: str,
        size_mm: float,
        width_mm: float,
        face: Face = "regular",
        *,
        grey: float | None = None,
    ) -> float:
        """A text in even lines; gives where what follows begins."""
        x, y = at_mm
        for part in even_lines(text, face, size_mm, width_mm):
            y = self.line((x, y), part, size_mm, face, grey=grey)
        return y

    def frame(self, picture: Picture, box: Box) -> Box:
        """A whole frame as large as a box allows, at its top left; gives what it covers."""
        covered = fitted_frame(picture, box)
        self.frames.append((covered, picture))
        return covered

    def heading(self, text: str) -> float:
        """The name of a page; gives where what is under it begins."""
        inner = self.form.inner
        return self.line((inner.left, inner.top - 1.0), text, HEAD_MM, "light") + 3.0


def fitted_frame(picture: Picture, box: Box) -> Box:
    """The part of a box that a frame covers in its own shape, at the box's top left."""
    high, wide = picture.shape[:2]
    width = min(box.width, box.height * wide / high)
    return Box(box.left, box.top, box.left + width, box.top + width * high / wide)


def even_lines(text: str, face: Face, size_mm: float, width_mm: float) -> list[str]:
    """A text in as few lines as it takes, narrower where its last line would be a word alone."""
    text = settable(text)
    lines = wrapped(text, face, size_mm, width_mm)
    narrow = width_mm - EVEN_MM
    while len(lines) > 1 and width_of(lines[-1], face, size_mm) < LEAST_LAST * width_mm:
        tighter = wrapped(text, face, size_mm, narrow)
        if (
            narrow < width_mm / 2.0
            or len(tighter) > len(lines)
            or any(line.endswith("…") for line in tighter)
        ):
            break
        lines, narrow = tighter, narrow - EVEN_MM
    return lines


def height_of(text: str, face: Face, size_mm: float, width_mm: float) -> float:
    """How high a paragraph stands."""
    return len(even_lines(text, face, size_mm, width_mm)) * leading(size_mm)


def leading(size_mm: float) -> float:
    """From line to line."""
    return _LEADING[size_mm] * size_mm
