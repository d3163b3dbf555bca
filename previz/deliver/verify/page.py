"""Pages of one file that load nothing from elsewhere: wipe between plan and still, and pointing."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

import numpy as np
from PIL import Image

from previz.deliver.files import write_text
from previz.deliver.verify.pictures import Picture, Places, laid_size, resized
from previz.telling.verify import NOTHING_TO_DO

WIPE = Path(__file__).with_name("wipe.html")
POINTING = Path(__file__).with_name("pointing.html")
MOST_POINTING_PX = 2560
"""How wide the still to point at is at the most."""
SMALL_PX = 480
"""How wide the small planned frame beside it is."""
JPEG_QUALITY = 90
_SLOT = re.compile("@@([A-Z]+)@@")


@dataclass(frozen=True, eq=False)
class WipePage:
    """What a wipe page holds besides the frames; rows are label, planned and real."""

    title: str
    subtitle: str
    rows: Sequence[tuple[str, str, str]]
    steps: Sequence[str]
    remarks: Sequence[str]
    cautions: Sequence[str]
    foot: str


def write_wipe(path: Path, page: WipePage, planned: Picture, still: Picture) -> Path:
    """Write the page with the wipe between plan and still."""
    size = laid_size(still)
    return _write(
        path,
        WIPE,
        {
            "TITLE": escape(page.title),
            "SUBTITLE": escape(page.subtitle),
            "PLANNED": _data(resized(planned, size)),
            "STILL": _data(resized(still, size)),
            "STEPS": _steps(page),
            "NUMBERS": _table(page.rows),
            "CAUTIONS": _cautions(page.cautions),
            "FOOT": escape(page.foot),
        },
    )


def write_pointing(
    path: Path,
    still: Picture,
    planned_at: Places,
    planned: Picture | None,
    words: Mapping[str, str],
) -> Path:
    """Write the page on which points are set in a still, and handed back as JSON.

    planned_at  the points that can be named, where the plan has them, per cent
    planned     the planned frame, where there is one already
    words       title and file names: TITLE, CAMERA, FILE, COMMAND
    """
    height, width = still.shape[:2]
    shown = min(width, MOST_POINTING_PX)
    picture = resized(still, (shown, max(round(height * shown / width), 1)))
    small = (SMALL_PX, max(round(SMALL_PX * height / width), 1))
    beside = resized(planned, small) if planned is not None else Image.new("RGB", small, "#3a3a3a")
    places = [{"name": name, "x": x, "y": y} for name, (x, y) in planned_at.items()]
    told = json.dumps(places, allow_nan=False).replace("<", "\\u003c")
    parts = {name: escape(word) for name, word in words.items()}
    return _write(
        path,
        POINTING,
        {**parts, "STILL": _data(picture), "PLANNED": _data(beside), "PLACES": told},
    )


def _write(path: Path, template: Path, parts: Mapping[str, str]) -> Path:
    text = template.read_text(encoding="utf-8")
    write_text(path, _SLOT.sub(lambda slot: parts[slot[1]], text))
    return path


def _data(picture: Image.Image) -> str:
    held = io.BytesIO()
    Image.fromarray(np.asarray(picture)).save(held, "JPEG", quality=JPEG_QUALITY, subsampling=0)
    return f"data:image/jpeg;base64,{base64.b64encode(held.getvalue()).decode('ascii')}"


def _steps(page: WipePage) -> str:
    remarks = "".join(f'<p class="quiet">{escape(text)}</p>' for text in page.remarks)
    if not page.steps:
        return f"<p>{escape(NOTHING_TO_DO)}</p>{remarks}"
    return f"<ol>{_items(page.steps)}</ol>{remarks}"


def _table(rows: Sequence[tuple[str, str, str]]) -> str:
    cells = "".join(
        f"<tr><td>{escape(label)}</td><td>{escape(was)}</td><td>{escape(now)}</td></tr>"
        for label, was, now in rows
    )
    head = "<thead><tr><th></th><th>planned</th><th>still</th></tr></thead>"
    return f"<table>{head}<tbody>{cells}</tbody></table>"


def _cautions(sentences: Sequence[str]) -> str:
    if not sentences:
        return ""
    return f"<h2>Before anyone moves anything</h2><ul>{_items(sentences)}</ul>"


def _items(texts: Iterable[str]) -> str:
    return "".join(f"<li>{escape(text)}</li>" for text in texts)
