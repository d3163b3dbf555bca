"""Framing guides of a camera: a picture to lay over a monitor, transparent but for thin lines.

What is drawn: the delivered frame, thirds, action and graphics safe areas, and, where the camera
is on a person, how the plan frames them: top of the head, line of the eyes, what is seen of them,
and what further deliveries cut out round their eyes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from previz.deliver.frames import write_png
from previz.deliver.paper.faces import font_file
from previz.measure.camera.crops import NAMES, Crop
from previz.measure.camera.framing import FramingNumbers
from previz.measure.camera.sight import Box
from previz.model.exposure import Delivery, spoken
from previz.physics.projection import ACTION_SAFE_MARGIN, GRAPHICS_SAFE_MARGIN
from previz.telling.numbers import per_cent

Colour = tuple[int, int, int, int]

WHITE, FAINT, PLANNED = (255, 255, 255, 235), (255, 255, 255, 170), (255, 196, 64, 240)
DELIVERED = (110, 205, 255, 240)
EDGE = (0, 0, 0, 150)
LINE_OF_WIDTH, LETTERS_OF_HEIGHT = 1 / 1280, 1 / 54
"""A line's light core as a share of the width, letters as one of the height: by eye, legible on a
seven inch monitor."""
DASH_OF_WIDTH = 1 / 96
LABEL_LETTERS = 3.0
"""How wide the name of a shape sets, in heights of a letter: by eye."""
CORNER_OF_HEIGHT = 1 / 24
"""How far the corners of the person's outline reach, as a share of the picture's height."""


@dataclass(frozen=True)
class Rule:
    """One line along the picture's width or height, ends and place in pixels, `along` x or y."""

    along: str
    at_px: float
    from_px: float
    to_px: float
    colour: Colour
    dashed: bool = False


@dataclass(frozen=True)
class Label:
    """Words at a line: left or right of their place, over or under it."""

    at_px: tuple[float, float]
    text: str
    colour: Colour
    anchor: str


def write_guides(
    path: Path,
    size_px: tuple[int, int],
    framing: FramingNumbers | None,
    camera: str,
    notes: dict[str, str],
    delivery: Sequence[Delivery] = (),
) -> None:
    """Write the guides of one camera at the size it records, width and height.

    framing  of the person it is on; None where it is on nobody
    delivery shapes that are delivered; the size is that of the first, the others are cut out of it
    notes    for the picture's text fields
    """
    width, height = size_px
    page = drawn_guides(size_px, framing, delivery)
    labels = (*labels_of(width, height, framing, camera), *_names(size_px, framing, delivery))
    _write_words(page, labels, _core_px(width))
    write_png(path, np.asarray(page), notes)


def drawn_guides(
    size_px: tuple[int, int], framing: FramingNumbers | None, delivery: Sequence[Delivery] = ()
) -> Image.Image:
    """The lines alone, on a transparent picture of this width and height."""
    width, height = size_px
    picture = np.zeros((height, width, 4), np.uint8)
    rules = [*rules_of(width, height, framing), *delivered(size_px, framing, delivery)]
    core = _core_px(width)
    for rule in rules:
        _paint(picture, rule, core, core, EDGE)
    for rule in rules:
        _paint(picture, rule, core, 0, rule.colour)
    return Image.fromarray(picture)


def _core_px(width: int) -> int:
    return max(1, round(width * LINE_OF_WIDTH))


def rules_of(width: int, height: int, framing: FramingNumbers | None) -> Iterator[Rule]:
    """All lines, the quietest first."""
    yield from thirds(width, height)
    yield from safe_areas(width, height)
    yield from _box(width, height, 0.0, WHITE, False)
    if framing is not None:
        yield from planned(width, height, framing)


def thirds(width: int, height: int) -> Iterator[Rule]:
    """The frame in thirds."""
    for third in (1 / 3, 2 / 3):
        yield Rule("x", height * third, 0, width, FAINT)
        yield Rule("y", width * third, 0, height, FAINT)


def safe_areas(width: int, height: int) -> Iterator[Rule]:
    """Graphics safe, dashed, and action safe."""
    for margin, dashed in ((GRAPHICS_SAFE_MARGIN, True), (ACTION_SAFE_MARGIN, False)):
        yield from _box(width, height, margin, FAINT if dashed else WHITE, dashed)


def _box(width: int, height: int, margin: float, colour: Colour, dashed: bool) -> Iterator[Rule]:
    left, right = width * margin, width * (1.0 - margin)
    top, bottom = height * margin, height * (1.0 - margin)
    for at in (top, bottom):
        yield Rule("x", at, left, right, colour, dashed)
    for at in (left, right):
        yield Rule("y", at, top, bottom, colour, dashed)


def delivered(
    size_px: tuple[int, int], framing: FramingNumbers | None, delivery: Sequence[Delivery]
) -> Iterator[Rule]:
    """What further deliveries cut out round the eyes; edges outside the frame are left out."""
    for crop in _cuts(framing, delivery).values():
        left, right = (size_px[0] * at / 100.0 for at in (crop.left_pct, crop.right_pct))
        top, bottom = (size_px[1] * at / 100.0 for at in (crop.top_pct, crop.bottom_pct))
        edges = (("x", top, left, right), ("x", bottom, left, right),
                 ("y", left, top, bottom), ("y", right, top, bottom))  # fmt: skip
        for along, at, start, end in edges:
            if -0.5 <= at <= size_px[0 if along == "y" else 1] + 0.5:
                yield Rule(along, at, start, end, DELIVERED)


def _cuts(framing: FramingNumbers | None, delivery: Sequence[Delivery]) -> dict[Delivery, Crop]:
    return {} if framing is None else {shape: framing.crops[NAMES[shape]] for shape in delivery[1:]}


def _names(
    size_px: tuple[int, int], framing: FramingNumbers | None, delivery: Sequence[Delivery]
) -> Iterator[Label]:
    """The shapes at the upper left of what they cut; where two begin alike, one under the other."""
    gap, letters = size_px[1] / 120.0, LETTERS_OF_HEIGHT * size_px[1]
    taken: list[float] = []
    for shape, crop in _cuts(framing, delivery).items():
        left = max(size_px[0] * crop.left_pct / 100.0, 0.0) + gap
        top = max(size_px[1] * crop.top_pct / 100.0, 0.0) + gap
        row = sum(abs(left - other) < LABEL_LETTERS * letters for other in taken)
        taken.append(left)
        yield Label((left, top + 1.4 * row * letters), spoken(shape), DELIVERED, "lt")


def planned(width: int, height: int, framing: FramingNumbers) -> Iterator[Rule]:
    """Where the plan has head and eyes."""
    for share_pct in (framing.headroom_pct, framing.eye_height_pct):
        if 0.0 <= share_pct <= 100.0:
            yield Rule("x", height * share_pct / 100.0, 0, width, PLANNED, True)
    if framing.subject_box is not None:
        yield from _corners(width, height, framing.subject_box)
    eye_x, eye_y = (
        width * framing.eye_from_left_pct / 100.0,
        height * framing.eye_height_pct / 100.0,
    )
    reach = height / 60.0
    yield Rule("y", eye_x, eye_y - reach, eye_y + reach, PLANNED)


def _corners(width: int, height: int, box: Box) -> Iterator[Rule]:
    left, right = width * box.left_pct / 100.0, width * box.right_pct / 100.0
    top, bottom = height * box.top_pct / 100.0, height * box.bottom_pct / 100.0
    reach = height * CORNER_OF_HEIGHT
    for x, inward in ((left, reach), (right, -reach)):
        for y, downward in ((top, reach), (bottom, -reach)):
            yield Rule("x", y, min(x, x + inward), max(x, x + inward), PLANNED)
            yield Rule("y", x, min(y, y + downward), max(y, y + downward), PLANNED)


def _paint(picture: NDArray[np.uint8], rule: Rule, core: int, edge: int, colour: Colour) -> None:
    """A line `core` pixels wide with its middle at its place, and `edge` more on every side.

    A line on the picture's border lies just inside it.
    """
    height, width = picture.shape[:2]
    long, wide = (width, height) if rule.along == "x" else (height, width)
    first = min(max(round(rule.at_px - core / 2.0), 0), wide - core) - edge
    across = slice(max(first, 0), max(first + core + 2 * edge, 0))
    for start, end in _runs(rule, width):
        run = slice(min(max(round(start) - edge, 0), long), min(max(round(end) + edge, 0), long))
        place = (across, run) if rule.along == "x" else (run, across)
        picture[place] = colour


def _runs(rule: Rule, width: int) -> Iterator[tuple[float, float]]:
    if not rule.dashed:
        yield rule.from_px, rule.to_px
        return
    dash = width * DASH_OF_WIDTH
    for start in np.arange(rule.from_px, rule.to_px, 2.0 * dash):
        yield float(start), min(float(start) + dash, rule.to_px)


def labels_of(
    width: int, height: int, framing: FramingNumbers | None, camera: str
) -> Iterator[Label]:
    """What the lines are, in few words."""
    gap = height / 120.0
    inner = width * (1.0 - GRAPHICS_SAFE_MARGIN) - gap
    safe = f"action safe {per_cent(100.0 - 200.0 * ACTION_SAFE_MARGIN)}, graphics safe "
    safe += f"{per_cent(100.0 - 200.0 * GRAPHICS_SAFE_MARGIN)}"
    low = height * (1.0 - GRAPHICS_SAFE_MARGIN) - gap
    yield Label((inner, low), safe, WHITE, "rb")
    yield Label((width * GRAPHICS_SAFE_MARGIN + gap, low), f"camera {camera}", WHITE, "lb")
    if framing is None:
        return
    planned = (
        (framing.headroom_pct, f"headroom {per_cent(framing.headroom_pct, 1)}"),
        (framing.eye_height_pct, f"eyes {per_cent(framing.eye_height_pct, 1)} from the top"),
    )
    for share_pct, text in planned:
        if 0.0 <= share_pct <= 100.0:
            yield Label((inner, height * share_pct / 100.0 - gap), text, PLANNED, "rb")


def _write_words(page: Image.Image, labels: Iterable[Label], edge: int) -> None:
    face = ImageFont.truetype(str(font_file("semibold")), round(page.height * LETTERS_OF_HEIGHT))
    pen = ImageDraw.Draw(page)
    for label in labels:
        pen.text(
            label.at_px, label.text, font=face, fill=label.colour, anchor=label.anchor,
            stroke_width=edge, stroke_fill=(*EDGE[:3], 200),
        )  # fmt: skip
