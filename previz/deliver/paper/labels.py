"""Labels beside what they name: never over each other, nor over a symbol, with a leader if far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from previz.deliver.paper.faces import Face
from previz.deliver.paper.figure import (
    Array,
    Box,
    Item,
    Pen,
    line,
    rectangle,
    set_lines,
    size_of,
)

Whole = NDArray[np.int64]
CELL_MM = 0.5
PAD_MM = 0.35
GAP_MM = 0.5
LEADER_FROM_MM = 2.2
"""A label that is farther from what it names gets a leader."""
REACHES_MM = (0.0, 1.2, 2.6, 4.5, 7.0, 10.0, 14.0, 19.0, 25.0, 32.0, 40.0, 52.0, 66.0, 84.0)
TURNS = 24
LEADER_TO = 0.8
"""A leader ends so far off what it is about, as a share of what the label keeps off."""
LEADER = Pen(0.12, 0.35)
CROSSES_LABEL, CROSSES_SYMBOL, CROSSES_LEADER = 40.0, 15.0, 12.0
FARTHER, INK = 1.0, 0.25
"""What a millimetre farther off costs, and a cell of ink under a label."""


@dataclass(frozen=True)
class Wish:
    """A label that is wanted.

    anchor_mm    what it is about; the label keeps `clear_mm` off it
    toward_mm    a direction that it rather goes
    must         a thing to set up: placed before others, and never left out
    """

    name: str
    anchor_mm: tuple[float, float]
    lines: tuple[tuple[str, Face], ...]
    size_mm: float = 2.5
    clear_mm: float = 2.0
    toward_mm: tuple[float, float] = (0.0, 0.0)
    must: bool = True
    grey: float = 0.0


@dataclass(frozen=True, eq=False)
class Placed:
    """A label where it is set; `leader` from its box to what it is about, None where near."""

    wish: Wish
    box: Box
    leader: Array | None

    @property
    def items(self) -> tuple[Item, ...]:
        """White ground, leader and type."""
        left, top = self.box.left + PAD_MM, self.box.top + PAD_MM
        ground = rectangle(self.box, fill=1.0)
        text = set_lines((left, top), self.wish.lines, self.wish.size_mm, self.wish.grey)
        lead = () if self.leader is None else (line(*self.leader, pen=LEADER),)
        return (*lead, ground, *text)


class Ink:
    """How much is drawn where: what a label had better not lie on."""

    def __init__(self, page: Box) -> None:
        self.page = page
        self.cells = np.zeros(
            (int(page.height / CELL_MM) + 2, int(page.width / CELL_MM) + 2), np.float64
        )

    def stroke(self, points_mm: Array, weight: float) -> None:
        """A line through points (n, 2) was drawn."""
        for start, end in pairwise(points_mm):
            steps = max(int(np.hypot(*(end - start)) / CELL_MM) + 1, 2)
            dots = start + np.linspace(0.0, 1.0, steps)[:, None] * (end - start)
            columns, rows = self._cells(dots)
            self.cells[rows, columns] = np.maximum(self.cells[rows, columns], weight)

    def fill(self, ring_mm: Array, weight: float) -> None:
        """A shape (n, 2) was filled."""
        (left, right), (top, bottom) = self._cells(
            np.array([ring_mm.min(axis=0), ring_mm.max(axis=0)])
        )
        xs = self.page.left + (np.arange(left, right + 1) + 0.5) * CELL_MM
        ys = self.page.top + (np.arange(top, bottom + 1) + 0.5) * CELL_MM
        inside = shapely.contains_xy(Polygon(ring_mm), *np.meshgrid(xs, ys))
        part = self.cells[top : bottom + 1, left : right + 1]
        part[inside] = np.maximum(part[inside], weight)

    @cached_property
    def _sums(self) -> Array:
        """Ink above and to the left of each corner of a cell; nothing is drawn from then on."""
        return np.pad(self.cells.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))

    def under(self, boxes: Array) -> Array:
        """Ink under boxes (n, 4), (n,)."""
        sums = self._sums
        left, top = self._cells(boxes[:, :2])
        right, bottom = self._cells(boxes[:, 2:])
        right, bottom = right + 1, bottom + 1
        return np.asarray(
            sums[bottom, right] - sums[top, right] - sums[bottom, left] + sums[top, left]
        )

    def _cells(self, points: Array) -> tuple[Whole, Whole]:
        at = ((points - [self.page.left, self.page.top]) / CELL_MM).astype(int)
        height, width = self.cells.shape
        return np.clip(at[:, 0], 0, width - 1), np.clip(at[:, 1], 0, height - 1)


class Placer:
    """Sets labels one by one, each where it costs least of what is free."""

    def __init__(self, page: Box, symbols: Sequence[Box], ink: Ink) -> None:
        self.page, self.ink = page, ink
        self.symbols = np.array(symbols, float).reshape(-1, 4)
        self.placed: list[Placed] = []

    def place(self, wishes: Iterable[Wish]) -> list[Placed]:
        """Labels that found room: those that must, first, the widest of them before the others."""
        order = sorted(wishes, key=lambda wish: (not wish.must, -self._crowd(wish)))
        for wish in order:
            found = self._best(wish)
            if found is not None:
                self.placed.append(found)
        return self.placed

    def _crowd(self, wish: Wish) -> int:
        """How many symbols are near what a label is about: where it is crowded, choose first."""
        middles = (self.symbols[:, :2] + self.symbols[:, 2:]) / 2.0
        return int((np.hypot(*(middles - wish.anchor_mm).T) < 15.0).sum())

    def _best(self, wish: Wish) -> Placed | None:
        """The cheapest free place beside, else anywhere on the page for what must be there."""
        for boxes in (self._beside(wish), self._anywhere(wish) if wish.must else None):
            if boxes is None:
                continue
            free = boxes[self._free(boxes)]
            if len(free):
                costs = self._costs(wish, free)
                return self._set(wish, free[int(costs.argmin())])
        return None

    def _set(self, wish: Wish, corners: Array) -> Placed:
        box = Box(*(float(value) for value in corners))
        near, anchor = _leaders(corners[None], np.asarray(wish.anchor_mm))[0]
        long = float(np.hypot(*(near - anchor)))
        if long <= wish.clear_mm + LEADER_FROM_MM:
            return Placed(wish, box, None)
        rim = anchor + (near - anchor) * LEADER_TO * wish.clear_mm / long
        return Placed(wish, box, np.array([near, rim]))

    def _beside(self, wish: Wish) -> Array:
        """Boxes (n, 4) round what a label is about, touching circles round it from outside."""
        wide, high = _size(wish)
        turns = np.linspace(0.0, 2.0 * np.pi, TURNS, endpoint=False)
        away = np.stack([np.cos(turns), np.sin(turns)], axis=1)
        half = np.array([wide / 2.0, high / 2.0])
        middle = np.asarray(wish.anchor_mm)
        # What is named from within is rather written on its middle.
        boxes = [np.concatenate([middle - half, middle + half])[None]] if not wish.clear_mm else []
        for reach in REACHES_MM:
            rim = np.asarray(wish.anchor_mm) + (wish.clear_mm + reach) * away
            # The side of the box that faces the anchor touches the rim.
            middles = rim + away * half
            boxes.append(np.hstack([middles - half, middles + half]))
        return np.concatenate(boxes)

    def _anywhere(self, wish: Wish) -> Array:
        wide, high = _size(wish)
        xs = np.arange(self.page.left, self.page.right - wide, 2.0)
        ys = np.arange(self.page.top, self.page.bottom - high, 1.0)
        corners = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
        return np.hstack([corners, corners + np.array([wide, high])])

    def _free(self, boxes: Array) -> NDArray[np.bool_]:
        page = self.page
        free = (boxes[:, 0] >= page.left) & (boxes[:, 1] >= page.top)
        free &= (boxes[:, 2] <= page.right) & (boxes[:, 3] <= page.bottom)
        taken = [self.symbols, np.array([p.box for p in self.placed], float).reshape(-1, 4)]
        for left, top, right, bottom in np.concatenate(taken):
            free &= (
                (boxes[:, 2] + GAP_MM <= left)
                | (boxes[:, 0] - GAP_MM >= right)
                | (boxes[:, 3] + GAP_MM / 2.0 <= top)
                | (boxes[:, 1] - GAP_MM / 2.0 >= bottom)
            )
        return free

    def _costs(self, wish: Wish, boxes: Array) -> Array:
        leaders = _leaders(boxes, np.asarray(wish.anchor_mm))
        length = np.hypot(*(leaders[:, 0] - leaders[:, 1]).T)
        costs = FARTHER * length + INK * self.ink.under(boxes)
        middles = (boxes[:, :2] + boxes[:, 2:]) / 2.0 - wish.anchor_mm
        costs -= 2.0 * (middles @ wish.toward_mm) / np.maximum(np.hypot(*middles.T), 1e-6)
        own = np.hypot(*((self.symbols[:, :2] + self.symbols[:, 2:]) / 2.0 - wish.anchor_mm).T)
        others = self.symbols[own > wish.clear_mm]
        for boxes_crossed, cost in (
            (np.array([p.box for p in self.placed], float).reshape(-1, 4), CROSSES_LABEL),
            (others, CROSSES_SYMBOL),
        ):
            for box in boxes_crossed:
                costs += cost * _meets(leaders, box)
        for other in self.placed:
            if other.leader is not None:
                costs += CROSSES_LEADER * _cross(leaders, other.leader)
                costs += CROSSES_LABEL * _meets(other.leader[None], boxes)
        return np.asarray(costs)


def _size(wish: Wish) -> tuple[float, float]:
    wide, high = size_of(wish.lines, wish.size_mm)
    return wide + 2.0 * PAD_MM, high + 2.0 * PAD_MM


def _leaders(boxes: Array, anchor: Array) -> Array:
    """Straight lines (n, 2, 2) from the nearest point of each box to the anchor."""
    near = np.clip(anchor, boxes[:, :2], boxes[:, 2:])
    return np.stack([near, np.broadcast_to(anchor, near.shape)], axis=1)


def _meets(lines: Array, boxes: Array) -> Array:
    """Whether lines (n, 2, 2) run through boxes (n, 4), 0 or 1 (n,); one of either may be alone."""
    boxes = np.atleast_2d(boxes)
    start, along = lines[:, 0], lines[:, 1] - lines[:, 0]
    along = np.where(np.abs(along) < 1e-9, 1e-9, along)
    one, other = (boxes[:, :2] - start) / along, (boxes[:, 2:] - start) / along
    enters = np.minimum(one, other).max(axis=1)
    leaves = np.maximum(one, other).min(axis=1)
    return np.asarray((enters < leaves) & (leaves > 0.0) & (enters < 1.0), float)


def _cross(lines: Array, other: Array) -> Array:
    """Whether lines (n, 2, 2) cross another (2, 2), 0 or 1 (n,)."""

    def side(start: Array, end: Array, point: Array) -> Array:
        along, to = end - start, point - start
        return np.sign(along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0])

    first, last = lines[:, 0], lines[:, 1]
    apart = side(other[0], other[1], first) * side(other[0], other[1], last) < 0
    apart &= side(first, last, other[0]) * side(first, last, other[1]) < 0
    return np.asarray(apart, float)
