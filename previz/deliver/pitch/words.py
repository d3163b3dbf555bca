"""Pages of words and lines: the plan, what the place must provide, and the last page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from previz.deliver.paper.faces import Face
from previz.deliver.paper.figure import Box
from previz.deliver.pitch.content import Chapter, Place
from previz.deliver.pitch.leaf import (
    HEAD_MM,
    SMALL_MM,
    TEXT_MM,
    Format,
    Leaf,
    height_of,
    leading,
)
from previz.deliver.plan.floor_plan import LABEL_ROOM_MM, draw_plan
from previz.deliver.plan.sheet import scale_bar
from previz.deliver.plan.view import fits_at
from previz.measure.setting_out.layout import Layout
from previz.telling.tape import scale_words

SCALES = (10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500)
"""Round scales, so that the plan fills its page: nobody lays a ruler on a pitch (estimate)."""
PLAN_COLUMNS = 3
INTO_PANEL_MM = 3.0


def plan_leaf(layout: Layout, form: Format) -> Leaf:
    """The floor plan at a named scale, on white. ScaleError when none fits the page."""
    leaf = Leaf(form, "The plan")
    side, panel = form.columns(0, PLAN_COLUMNS), form.columns(PLAN_COLUMNS, 12 - PLAN_COLUMNS)
    dark = leaf.tones.page < 1.0
    box = panel.inset(INTO_PANEL_MM if dark else 0.0)
    wide, deep = (float(m) for m in np.ptp(layout.extent_m, axis=0))
    room_mm = (box.width - 2.0 * LABEL_ROOM_MM, box.height - 2.0 * LABEL_ROOM_MM)
    scale = next((n for n in SCALES if fits_at((wide, deep), room_mm, n)), SCALES[-1])
    leaf.drawings.append(draw_plan(layout, form.size_mm, box=box, scale=scale))
    y = leaf.heading(leaf.name)
    y = leaf.line((side.left, y), f"{scale_words(scale, 'metres')}, plan north up.", TEXT_MM)
    if dark:
        leaf.panels.append(panel)
        leaf.items += scale_bar((box.left + 2.0, box.bottom - 2.0), scale, "metres")
    else:
        leaf.items += scale_bar((side.left + 2.0, y + 6.0), scale, "metres")
    return leaf


@dataclass(frozen=True)
class Block:
    """One paragraph of a column."""

    text: str
    size_mm: float = TEXT_MM
    face: Face = "regular"
    soft: bool = False
    after_mm: float = 3.2

    def height(self, width_mm: float) -> float:
        """With the space after it."""
        return height_of(self.text, self.face, self.size_mm, width_mm) + self.after_mm


def place_leaves(place: Place, form: Format) -> Iterator[Leaf]:
    """What the place must provide and what to ask it, in columns; what is too long goes on."""
    provide = [Block(line) for line in place.lines]
    for word, text in place.facts:
        provide += [
            Block(word, SMALL_MM, "semibold", soft=True, after_mm=0.3), Block(text, after_mm=3.6)
        ]  # fmt: skip
    ask = [Block(question) for question in place.questions]
    heads = ("What the place must provide", "To ask before the day")
    yield from _in_columns(form, heads, (provide, ask))


def _in_columns(
    form: Format, heads: tuple[str, str], columns: tuple[list[Block], list[Block]]
) -> Iterator[Leaf]:
    left, right = list(columns[0]), list(columns[1])
    boxes = form.columns(0, 5), form.columns(6, 6)
    while left or right:
        leaf = Leaf(form, heads[0])
        for head, box, blocks in zip(heads, boxes, (left, right), strict=True):
            if blocks:
                top = leaf.line((box.left, box.top - 1.0), head, HEAD_MM, "light") + 4.0
                _fill(leaf, blocks, box._replace(top=top))
        yield leaf


def _fill(leaf: Leaf, blocks: list[Block], box: Box) -> None:
    """Set blocks until the column is full, at least one; those that are set are taken away."""
    y = box.top
    while blocks and (y == box.top or y + blocks[0].height(box.width) <= box.bottom + 4.0):
        block = blocks.pop(0)
        grey = leaf.tones.soft if block.soft else leaf.tones.ink
        y = leaf.paragraph(
            (box.left, y), block.text, block.size_mm, box.width, block.face, grey=grey
        )
        y += block.after_mm


def closing_leaf(chapter: Chapter, form: Format) -> Leaf:
    """The last word beside the cautions; who presents, and from what it was made."""
    leaf = Leaf(form, "Before anyone builds it")
    box, side = form.columns(0, 6), form.columns(7, 5)
    y = box.top - 1.0
    if chapter.close:
        y = leaf.paragraph((box.left, y), chapter.close, HEAD_MM, box.width, "light") + 4.0
    if chapter.by:
        leaf.paragraph((box.left, y), chapter.by, TEXT_MM, box.width, grey=leaf.tones.soft)
    _cautions(leaf, chapter.cautions, side if chapter.close or chapter.by else box)
    leaf.line(
        (box.left, form.inner.bottom - leading(SMALL_MM) + 2.0), chapter.made_from, SMALL_MM,
        grey=leaf.tones.faint,
    )  # fmt: skip
    return leaf


def _cautions(leaf: Leaf, cautions: Sequence[str], box: Box) -> None:
    y = leaf.line((box.left, box.top - 1.0), leaf.name, HEAD_MM, "light") + 4.0
    for sentence in cautions:
        y = leaf.paragraph((box.left, y), sentence, TEXT_MM, box.width) + 2.6
