"""Pages with frames on them: the title, one camera a page, and frames side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from previz.deliver.paper.figure import Box
from previz.deliver.pitch.content import Captioned, Chapter, Cover, Picture, Shot
from previz.deliver.pitch.leaf import (
    GUTTER_MM,
    HEAD_MM,
    SMALL_MM,
    TEXT_MM,
    TITLE_MM,
    Format,
    Leaf,
    even_lines,
    fitted_frame,
    height_of,
    leading,
)

MOST_TITLE_LINES = 3
COVER_ASPECT, EYES_FROM_TOP = 2.2, 0.4
"""How wide the title page's cut is at least, and where eyes lie in it: estimates."""
UNDER_FRAME_MM = 6.0
CAPTION_GAP_MM = 2.2
ROW_GAP_MM = 7.0
ON_A_PAGE = 12
NOT_MUCH_NARROWER, ACROSS_SHARE = 0.6, 0.15
OPTICAL_MIDDLE = 0.42
"""Where the middle of a page seems to lie: above the middle (common practice, no source)."""


def title_leaf(chapter: Chapter, form: Format) -> Leaf:
    """A wide cut of a frame from edge to edge, under it the title, one sentence, who presents."""
    leaf = Leaf(form, chapter.title)
    (wide, high), inner = form.size_mm, form.inner
    by = form.columns(8, 4)
    measure = form.columns(0, 8 if chapter.by else 10)
    size, lines = _title_lines(chapter.title, measure.width)
    beside = ((chapter.line, measure), (chapter.by, by))
    said = (height_of(text, "regular", TEXT_MM, box.width) for text, box in beside if text)
    under = len(lines) * leading(size) + 2.0 + max(said, default=0.0)
    box = Box(0.0, 0.0, wide, high - under - 2.0 * UNDER_FRAME_MM - 5.0)
    cover = leaf.frame(_cut(chapter.cover, max(COVER_ASPECT, box.width / box.height)), box)
    y = cover.bottom + max((high - cover.bottom - under) / 2.0 - 1.0, UNDER_FRAME_MM)
    first = y
    for line in lines:
        y = leaf.line((inner.left, y), line, size, "light")
    if chapter.line:
        y = leaf.paragraph(
            (inner.left, y + 2.0), chapter.line, TEXT_MM, measure.width, grey=leaf.tones.soft
        )
    if chapter.by:
        top = first + leading(size) * len(lines) + 2.0
        for line in even_lines(chapter.by, "regular", TEXT_MM, by.width):
            leaf.line((by.right, top), line, TEXT_MM, grey=leaf.tones.soft, anchor="end")
            top += leading(TEXT_MM)
    return leaf


def _cut(cover: Cover, aspect: float) -> Picture:
    """The whole width of a frame, as high as an aspect asks, with the eyes where they please."""
    high, wide = cover.picture.shape[:2]
    rows = min(high, round(wide / aspect))
    top = round(cover.eyes_pct / 100.0 * high - EYES_FROM_TOP * rows)
    top = max(0, min(top, high - rows))
    return cover.picture[top : top + rows]


def _title_lines(title: str, width_mm: float) -> tuple[float, list[str]]:
    """A title large if it takes no more than two lines, else smaller; a very long one is cut."""
    large = even_lines(title, "light", TITLE_MM, width_mm)
    if len(large) < MOST_TITLE_LINES:
        return TITLE_MM, large
    lines = even_lines(title, "light", HEAD_MM, width_mm)
    if len(lines) > MOST_TITLE_LINES:
        lines = [*lines[: MOST_TITLE_LINES - 1], f"{lines[MOST_TITLE_LINES - 1]} …"]
    return HEAD_MM, lines


def shot_leaf(shot: Shot, form: Format) -> Leaf:
    """One camera: its frame as large as its words leave room, its facts, and what it is for."""
    leaf = Leaf(form, f"Camera {shot.name}")
    inner, facts, words = form.inner, form.columns(0, 3), form.columns(3, 8)
    said = [
        line for text in shot.lines for line in even_lines(text, "regular", TEXT_MM, words.width)
    ]
    known = leading(HEAD_MM) + height_of(shot.facts, "regular", SMALL_MM, facts.width)
    under = UNDER_FRAME_MM + max(len(said) * leading(TEXT_MM), known)
    frame = leaf.frame(shot.picture, inner._replace(bottom=inner.bottom + 2.0 - under))
    y = frame.bottom + UNDER_FRAME_MM
    below = leaf.line((facts.left, y - 1.6), shot.name, HEAD_MM, "light")
    leaf.paragraph((facts.left, below), shot.facts, SMALL_MM, facts.width, grey=leaf.tones.soft)
    for number, line in enumerate(said):
        leaf.line((words.left, y + number * leading(TEXT_MM)), line, TEXT_MM)
    return leaf


def side_by_side(shots: Sequence[Shot], form: Format) -> Leaf:
    """All cameras on one page, in the middle of it: the frames alone speak."""
    leaf = Leaf(form, "Side by side")
    cells = [Captioned(shot.name, shot.picture, said=shot.facts) for shot in shots]
    spare = form.inner.bottom - lay_out(Leaf(form, leaf.name), cells, form.inner)
    lay_out(leaf, cells, form.inner._replace(top=form.inner.top + spare * OPTICAL_MIDDLE))
    return leaf


def grid_leaves(
    name: str, cells: Sequence[Captioned], form: Format, said: str = "", foot: str = ""
) -> Iterator[Leaf]:
    """Small frames under a heading and a sentence, on as many pages as they take."""
    for number, some in enumerate(_rows(cells, ON_A_PAGE)):
        leaf = Leaf(form, name)
        top = leaf.heading(name)
        if said and number == 0:
            measure = form.columns(0, 8)
            top = leaf.paragraph((measure.left, top - 1.0), said, TEXT_MM, measure.width) + 5.0
        box = form.inner._replace(top=top)
        if foot:
            box = box._replace(bottom=box.bottom - leading(SMALL_MM) - 2.0)
            leaf.line((box.left, box.bottom + 3.0), foot, SMALL_MM, grey=leaf.tones.soft)
        lay_out(leaf, some, box)
        yield leaf


def lay_out(leaf: Leaf, cells: Sequence[Captioned], box: Box) -> float:
    """Frames with their captions in rows that make them largest, hung from the top.

    Gives where the last caption ends.
    """
    across, width = _arranged(cells, box)
    x, y = box.left, box.top
    for row in _rows(cells, across):
        tall = max(fitted_frame(c.picture, _cell_box(x, y, width, box)).height for c in row)
        for column, cell in enumerate(row):
            left = x + column * (width + GUTTER_MM)
            frame = leaf.frame(cell.picture, _cell_box(left, y, width, box))
            _caption(leaf, cell, (frame.left, y + tall + CAPTION_GAP_MM), width)
        y += tall + CAPTION_GAP_MM + max(_caption_height(c, width) for c in row) + ROW_GAP_MM
    return y - ROW_GAP_MM


def _arranged(cells: Sequence[Captioned], box: Box) -> tuple[int, float]:
    """How many across and how wide: the widest, or full rows if those are not much narrower."""
    widths = {n: _cell_width(cells, box, n) for n in range(1, len(cells) + 1)}
    whole = [n for n in widths if len(cells) % n == 0]
    # Of two that are nearly as wide, the one that fills the page across.
    best, even = (
        max(some, key=lambda n: widths[n] * (1.0 + ACROSS_SHARE * n)) for some in (widths, whole)
    )
    across = even if widths[even] >= NOT_MUCH_NARROWER * widths[best] else best
    return across, widths[across]


def _rows(cells: Sequence[Captioned], across: int) -> list[Sequence[Captioned]]:
    return [cells[start : start + across] for start in range(0, len(cells), across)]


def _cell_box(left: float, top: float, width: float, box: Box) -> Box:
    return Box(left, top, left + width, top + box.height)


def _cell_width(cells: Sequence[Captioned], box: Box, across: int) -> float:
    """How wide frames are, so many across, if all rows are to fit their box."""
    width = (box.width - (across - 1) * GUTTER_MM) / across
    rows = _rows(cells, across)
    words = sum(max(_caption_height(c, width) for c in row) for row in rows)
    words += len(rows) * CAPTION_GAP_MM + (len(rows) - 1) * ROW_GAP_MM
    shapes = sum(max(float(c.picture.shape[0] / c.picture.shape[1]) for c in row) for row in rows)
    return min(width, max(box.height - words, 1.0) / shapes)


def _caption(leaf: Leaf, cell: Captioned, at_mm: tuple[float, float], width: float) -> None:
    x, y = at_mm
    y = leaf.paragraph((x, y), cell.name, TEXT_MM, width, "semibold")
    for text, grey in ((cell.what, leaf.tones.ink), (cell.said, leaf.tones.soft)):
        if text:
            y = leaf.paragraph((x, y), text, SMALL_MM, width, grey=grey)


def _caption_height(cell: Captioned, width: float) -> float:
    texts = [text for text in (cell.what, cell.said) if text]
    return height_of(cell.name, "semibold", TEXT_MM, width) + sum(
        height_of(text, "regular", SMALL_MM, width) for text in texts
    )
