"""The exposure map with its legend under it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from previz.deliver.files import whole_file
from previz.deliver.surface import font
from previz.develop.exposure_map import Span, band_colour, exposure_map, hatched
from previz.telling.numbers import signed

INK, PAPER = (28, 28, 30), (255, 255, 255)
LEAST_WIDTH_PX = 900


def write_exposure_map(
    path: Path, stops: NDArray[np.float64], span: Span, marks: Mapping[str, float], title: str
) -> None:
    """Write the map as PNG. `marks` are put on the legend: `skin of guest` at +0.8."""
    picture = Image.fromarray(exposure_map(stops, span))
    if picture.width < LEAST_WIDTH_PX:
        times = -(-LEAST_WIDTH_PX // picture.width)
        size = (picture.width * times, picture.height * times)
        picture = picture.resize(size, Image.Resampling.NEAREST)
    legend = _legend(picture.width, span, marks, title)
    page = Image.new("RGB", (picture.width, picture.height + legend.height), PAPER)
    page.paste(picture, (0, 0))
    page.paste(legend, (0, picture.height))
    with whole_file(path) as fresh:
        page.save(fresh, format="PNG", optimize=True)


def _legend(width: int, span: Span, marks: Mapping[str, float], title: str) -> Image.Image:
    unit = max(width // 60, 14)
    face = font(unit)
    page = Image.new("RGB", (width, unit * (7 + len(marks))), PAPER)
    pen = ImageDraw.Draw(page)
    pen.text((unit, unit // 2), title, font=face, fill=INK)
    left, top, high = unit, unit * 2, unit * 2
    cell = (width - 2 * unit) / (len(span.bands) + 2)
    labels = ["noise", *(f"{b:+d}" if b else "grey" for b in span.bands), "clips"]
    for number, label in enumerate(labels):
        x = left + number * cell
        box = (round(x), top, round(x + cell), top + high)
        if number in (0, len(labels) - 1):
            patch = np.zeros((high, box[2] - box[0], 3), np.uint8)
            hatched(patch, np.ones(patch.shape[:2], bool), "lost" if number == 0 else "clipped")
            page.paste(Image.fromarray(patch), box[:2])
        else:
            pen.rectangle(box, fill=band_colour(span.bands[number - 1], span))
        pen.rectangle(box, outline=INK)
        pen.text((x + cell / 2, top + high + unit * 0.2), label, font=face, fill=INK, anchor="ma")
    for row, (name, stop) in enumerate(marks.items()):
        x = left + (np.clip(stop, span.floor_stops, span.clip_stops) - span.bands[0] + 1.5) * cell
        y = top + high + unit * (1.8 + row * 1.1)
        pen.line((x, top + high + unit * 1.4, x, y + unit * 0.5), fill=INK, width=2)
        text = f"{name} {signed(stop)}"
        over = x + unit * 0.4 + pen.textlength(text, font=face) > width
        pen.text(
            (x - unit * 0.4, y) if over else (x + unit * 0.4, y),
            text, font=face, fill=INK, anchor="ra" if over else "la",
        )  # fmt: skip
    return page
