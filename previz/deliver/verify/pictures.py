"""Planned frame and still side by side with guides and points, and one laid over the other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from previz.deliver.exports.guides import drawn_guides
from previz.deliver.frames import write_png
from previz.deliver.paper.faces import font_file
from previz.deliver.sheet import Cell, Group, Sheet
from previz.deliver.sheet import write_png as write_sheet
from previz.measure.camera.framing import FramingNumbers

Picture = NDArray[np.uint8]
Places = Mapping[str, tuple[float, float]]
"""Points by name, per cent from the left and the top."""

SHOWN_PX, LAID_PX = 1600, 1920
"""How wide frames are shown side by side, and one over the other at the most."""
PLANNED, SEEN, EDGE = (255, 196, 64), (90, 220, 255), (0, 0, 0)
ARM_OF_WIDTH, LINE_OF_WIDTH, LETTERS_OF_HEIGHT = 1 / 130, 1 / 640, 1 / 38
"""A cross's arm and a line as shares of the width, letters as one of the height: by eye."""
NAME_PLACES = (
    ((1.3, 0.0), "lm"), ((-1.3, 0.0), "rm"), ((0.0, 1.3), "mt"), ((0.0, -1.3), "mb"),
    ((1.3, 1.3), "lt"), ((-1.3, 1.3), "rt"),
)  # fmt: skip
"""Where a name may stand beside its point, in arms of the cross, and by which of its corners."""


@dataclass(frozen=True, eq=False)
class Side:
    """What a still and the plan look like beside each other.

    planned, still      (height, width, 3) 8 bit sRGB
    planned_at, seen_at where the points lie in each
    framing             of the person it is on; None where it is on nobody
    """

    planned: Picture
    still: Picture
    planned_at: Places
    seen_at: Places
    framing: FramingNumbers | None


def write_side_by_side(
    path: Path,
    side: Side,
    title: str,
    subtitle: str,
    rows: Iterable[tuple[str, str, str]],
    remark: str,
    cautions: tuple[str, ...],
    foot: str,
) -> Path:
    """Write both frames with guides, points and numbers: label, planned, real of each row."""
    told = list(rows)
    planned = _shown(side.planned, side, {"plan": side.planned_at})
    still = _shown(side.still, side, {"plan": side.planned_at, "still": side.seen_at})
    cells = (
        Cell("Planned", planned, tuple((label, was) for label, was, _ in told)),
        Cell("Still", still, tuple((label, now) for label, _, now in told), remark),
    )
    write_sheet(path, Sheet(title, subtitle, (Group("", cells),), foot, cautions))
    return path


def write_overlay(path: Path, planned: Picture, still: Picture, notes: dict[str, str]) -> Path:
    """Write both frames mixed half and half, at most 1920 wide."""
    size = laid_size(still)
    mixed = Image.blend(resized(planned, size), resized(still, size), 0.5)
    write_png(path, np.asarray(mixed), notes)
    return path


def laid_size(still: Picture) -> tuple[int, int]:
    """Width and height of a still as it is laid over the plan."""
    height, width = still.shape[:2]
    shown = min(width, LAID_PX)
    return shown, max(round(height * shown / width), 1)


def resized(picture: Picture, size: tuple[int, int]) -> Image.Image:
    """A picture at another size."""
    return Image.fromarray(picture).resize(size, Image.Resampling.LANCZOS)


def _shown(picture: Picture, side: Side, points: Mapping[str, Places]) -> Picture:
    """A frame with guides and points, all of the same size."""
    height, width = side.still.shape[:2]
    size = (SHOWN_PX, max(round(SHOWN_PX * height / width), 2))
    page = resized(picture, size).convert("RGBA")
    page.alpha_composite(drawn_guides(size, side.framing))
    pen = _Points(page)
    if "still" in points:
        pen.ways(points["plan"], points["still"])
        pen.rings(points["plan"])
        pen.crosses(points["still"], SEEN)
    else:
        pen.crosses(points["plan"], PLANNED)
    return np.asarray(page.convert("RGB"))


class _Points:
    """Draws points and their names on a picture."""

    def __init__(self, page: Image.Image) -> None:
        self.size = page.size
        self.pen = ImageDraw.Draw(page)
        self.arm = page.width * ARM_OF_WIDTH
        self.line = max(round(page.width * LINE_OF_WIDTH), 1)
        letters = round(page.height * LETTERS_OF_HEIGHT)
        self.face = ImageFont.truetype(str(font_file("semibold")), letters)

    def _at(self, place: tuple[float, float]) -> tuple[float, float]:
        return place[0] * self.size[0] / 100.0, place[1] * self.size[1] / 100.0

    def crosses(self, places: Places, ink: tuple[int, int, int]) -> None:
        """A cross at each point, and its name where that lies on no other."""
        taken: list[tuple[float, float, float, float]] = []
        for place in places.values():
            x, y = self._at(place)
            for wide, colour in ((self.line + 2, EDGE), (self.line, ink)):
                self.pen.line((x - self.arm, y, x + self.arm, y), colour, wide)
                self.pen.line((x, y - self.arm, x, y + self.arm), colour, wide)
        for name, place in places.items():
            self._name(name.replace(".", ": ").replace("_", " "), self._at(place), ink, taken)

    def _name(
        self,
        text: str,
        at: tuple[float, float],
        ink: tuple[int, int, int],
        taken: list[tuple[float, float, float, float]],
    ) -> None:
        for shift, anchor in NAME_PLACES:
            place = (at[0] + shift[0] * self.arm, at[1] + shift[1] * self.arm)
            box = self.pen.textbbox(place, text, self.face, anchor)
            inside = (
                box[0] >= 0 and box[2] <= self.size[0] and 0 <= box[1] <= box[3] <= self.size[1]
            )
            if inside and not any(_overlap(box, other) for other in taken):
                taken.append(box)
                self.pen.text(place, text, ink, self.face, anchor, stroke_width=2, stroke_fill=EDGE)
                return

    def rings(self, places: Places) -> None:
        """A small ring where the plan has each point."""
        radius = 0.6 * self.arm
        for place in places.values():
            x, y = self._at(place)
            box = (x - radius, y - radius, x + radius, y + radius)
            self.pen.ellipse(box, outline=EDGE, width=self.line + 2)
            self.pen.ellipse(box, outline=PLANNED, width=self.line)

    def ways(self, planned: Places, seen: Places) -> None:
        """A line from where each point is planned to where it is."""
        for name in planned.keys() & seen.keys():
            self.pen.line((*self._at(planned[name]), *self._at(seen[name])), PLANNED, self.line)


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
