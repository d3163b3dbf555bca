"""A drawing in millimetres of paper, from its top left: what SVG and PDF both write.

Everything is black or a grey, from 0 (black) to 1 (white), so that any printer will do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.deliver.paper.faces import ASCENT, DESCENT, Face, width_of

Array = NDArray[np.float64]
Anchor = Literal["start", "middle", "end"]
LEADING = 1.22
"""From line to line, in sizes of type."""


class Box(NamedTuple):
    """A rectangle on paper, millimetres."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def centre(self) -> tuple[float, float]:
        """Its middle."""
        return (self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0

    def inset(self, by_mm: float) -> Box:
        """Smaller on every side; a negative `by_mm` grows it."""
        return Box(self.left + by_mm, self.top + by_mm, self.right - by_mm, self.bottom - by_mm)

    def overlaps(self, other: Box) -> bool:
        """Whether both have more than an edge in common."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > 1e-6
            and min(self.bottom, other.bottom) - max(self.top, other.top) > 1e-6
        )

    def holds(self, other: Box) -> bool:
        """Whether another lies wholly in it."""
        return (
            other.left >= self.left - 1e-6
            and other.top >= self.top - 1e-6
            and other.right <= self.right + 1e-6
            and other.bottom <= self.bottom + 1e-6
        )


def box_round(points_mm: ArrayLike, margin_mm: float = 0.0) -> Box:
    """The rectangle round points (n, 2)."""
    points = np.asarray(points_mm, float)
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    return Box(float(left), float(top), float(right), float(bottom)).inset(-margin_mm)


@dataclass(frozen=True)
class Pen:
    """A stroke: width, grey, and lengths of dashes and gaps in turn."""

    width_mm: float = 0.2
    grey: float = 0.0
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class Path:
    """Lines through points: one ring (n, 2), or several that cut holes into each other."""

    rings: tuple[Array, ...]
    closed: bool = False
    pen: Pen | None = Pen()
    fill: float | None = None


@dataclass(frozen=True)
class Circle:
    """A circle."""

    at_mm: tuple[float, float]
    radius_mm: float
    pen: Pen | None = Pen()
    fill: float | None = None


@dataclass(frozen=True)
class Text:
    """One line of type; `at_mm` is on its base line, at its start, middle or end."""

    at_mm: tuple[float, float]
    text: str
    size_mm: float
    face: Face = "regular"
    anchor: Anchor = "start"
    grey: float = 0.0


Item = Path | Circle | Text


@dataclass(frozen=True, eq=False)
class Group:
    """What belongs together under a name; `data` says in numbers what it stands for."""

    id: str
    kind: str
    items: tuple[Item, ...]
    data: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Figure:
    """A drawing. `labels` and `symbols` are the rectangles that neither may share."""

    width_mm: float
    height_mm: float
    title: str
    description: str
    groups: tuple[Group, ...]
    data: Mapping[str, str] = field(default_factory=dict)
    labels: tuple[Box, ...] = ()
    symbols: tuple[Box, ...] = ()


def line(*points_mm: ArrayLike, pen: Pen) -> Path:
    """An open line through points."""
    return Path((np.asarray(points_mm, float),), pen=pen)


def area(ring_mm: ArrayLike, pen: Pen | None = None, fill: float | None = None) -> Path:
    """A closed shape."""
    return Path((np.asarray(ring_mm, float),), closed=True, pen=pen, fill=fill)


def rectangle(box: Box, pen: Pen | None = None, fill: float | None = None) -> Path:
    """A rectangle as a shape."""
    left, top, right, bottom = box
    return area([(left, top), (right, top), (right, bottom), (left, bottom)], pen, fill)


def set_lines(
    at_mm: tuple[float, float],
    lines: Iterable[tuple[str, Face]],
    size_mm: float,
    grey: float = 0.0,
) -> tuple[Text, ...]:
    """Lines of type under one another; `at_mm` is the top left of the first."""
    x, y = at_mm
    base = y + ASCENT * size_mm
    return tuple(
        Text((x, base + n * LEADING * size_mm), text, size_mm, face, grey=grey)
        for n, (text, face) in enumerate(lines)
    )


def size_of(lines: Iterable[tuple[str, Face]], size_mm: float) -> tuple[float, float]:
    """Width and height that lines of type take."""
    lines = list(lines)
    wide = max(width_of(text, face, size_mm) for text, face in lines)
    return wide, ((len(lines) - 1) * LEADING + ASCENT + DESCENT) * size_mm


def fitted(text: str, face: Face, size_mm: float, width_mm: float) -> str:
    """A line of type, cut at its end where it is too wide."""
    if width_of(text, face, size_mm) <= width_mm:
        return text
    while text and width_of(f"{text}…", face, size_mm) > width_mm:
        text = text[:-1]
    return f"{text.rstrip()}…"


def wrapped(text: str, face: Face, size_mm: float, width_mm: float) -> list[str]:
    """A text in lines no wider than `width_mm`."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, face, size_mm) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(fitted(word, face, size_mm, width_mm))
    return lines
