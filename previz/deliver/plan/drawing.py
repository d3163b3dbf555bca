"""A drawing while it grows: groups in order, what they take up, and the labels they wish for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from previz.deliver.paper.faces import Face
from previz.deliver.paper.figure import (
    Array,
    Box,
    Circle,
    Figure,
    Group,
    Item,
    Path,
    Text,
    box_round,
)
from previz.deliver.paper.labels import Ink, Placed, Placer, Wish
from previz.deliver.plan.view import View

LABEL_MM, SMALL_MM = 2.5, 2.1
"""Sizes of type: 7 and 6 points."""
SYMBOL_MARGIN_MM = 0.2


class Drawing:
    """One view to scale in a box of a page."""

    def __init__(self, view: View, box: Box) -> None:
        self.view, self.box = view, box
        self.groups: list[Group] = []
        self.symbols: list[Box] = []
        self.ink = Ink(box)
        self.wishes: list[Wish] = []
        self.labels: list[Placed] = []

    def add(
        self,
        name: str,
        kind: str,
        items: Iterable[Item],
        data: Mapping[str, str] | None = None,
        *,
        ink: float = 0.0,
        symbol: bool = False,
    ) -> None:
        """Draw a thing. Labels keep off a symbol, and rather off ink the heavier it is."""
        items = tuple(items)
        if not items:
            return
        self.groups.append(Group(name, kind, items, data or {}))
        if symbol:
            self.symbols.append(extent_of(items))
        if ink:
            for points in outlines_of(items):
                self.ink.stroke(points, ink)

    def wish(
        self,
        name: str,
        anchor_mm: Sequence[float] | Array,
        lines: Sequence[tuple[str, Face]],
        *,
        size_mm: float = LABEL_MM,
        clear_mm: float = 2.0,
        toward_mm: Sequence[float] | Array = (0.0, 0.0),
        must: bool = True,
        grey: float = 0.0,
    ) -> None:
        """Ask for a label."""
        x, y = (float(value) for value in anchor_mm)
        right, down = (float(value) for value in toward_mm)
        shown = tuple((text, face) for text, face in lines if text)
        self.wishes.append(Wish(name, (x, y), shown, size_mm, clear_mm, (right, down), must, grey))

    def label(self) -> None:
        """Set all labels that were asked for."""
        self.labels = Placer(self.box, self.symbols, self.ink).place(self.wishes)
        self.groups += [Group(f"label.{p.wish.name}", "label", p.items) for p in self.labels]

    def figure(self, page_mm: tuple[float, float], title: str, description: str) -> Figure:
        """What was drawn, as a figure of a page's size."""
        return Figure(
            *page_mm,
            title=title,
            description=description,
            groups=tuple(self.groups),
            data=self.view.data,
            labels=tuple(placed.box for placed in self.labels),
            symbols=tuple(self.symbols),
        )


def at(point_m: Array) -> dict[str, str]:
    """A point of the set as data: metres, to a tenth of a millimetre."""
    return {f"{axis}-m": f"{value:.4f}" for axis, value in zip("xyz", point_m, strict=False)}


def outlines_of(items: Iterable[Item]) -> list[Array]:
    """Points (n, 2) along the lines of items."""
    found: list[Array] = []
    for item in items:
        if isinstance(item, Path):
            rings = item.rings
            found += [np.vstack([ring, ring[:1]]) if item.closed else ring for ring in rings]
        elif isinstance(item, Circle):
            turns = np.linspace(0.0, 2.0 * np.pi, 25)
            rim = np.stack([np.cos(turns), np.sin(turns)], axis=1)
            found.append(np.asarray(item.at_mm) + item.radius_mm * rim)
    return found


def extent_of(items: Iterable[Item]) -> Box:
    """The rectangle round the lines and shapes of items."""
    drawn = [item for item in items if not isinstance(item, Text)]
    return box_round(np.concatenate(outlines_of(drawn)), SYMBOL_MARGIN_MM)
