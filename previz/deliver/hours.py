"""From a camera's frames at several hours to the sheet that shows them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from previz.deliver.sheet import Cell, Group, Sheet
from previz.solve.hours import Hour, Strip
from previz.telling.hours import hour_rows

ON_A_PAGE = 6


def sheet_of(
    strip: Strip,
    pictures: Mapping[str, NDArray[np.uint8]],
    title: str,
    foot: str,
    cautions: tuple[str, ...],
) -> Sheet:
    """The sheet; `pictures` by the names of the hours' cameras. Six frames fill a page."""
    pages = [strip.hours[i : i + ON_A_PAGE] for i in range(0, len(strip.hours), ON_A_PAGE)]
    groups = tuple(
        Group(
            f"{page[0].label} to {page[-1].label}" if len(pages) > 1 else "",
            tuple(Cell(_label(strip, h), pictures[h.camera], hour_rows(strip, h)) for h in page),
        )
        for page in pages
    )
    said = (
        f"Camera {strip.camera}, {strip.own_at:%d %B %Y}. Exposure and white balance as at "
        f"{strip.own_at:%H:%M}; the light of each window in stops against then."
    )
    return Sheet(title, said, groups, foot, cautions)


def _label(strip: Strip, hour: Hour) -> str:
    return f"{hour.label}, the scene's time" if hour.at == strip.own_at else hour.label
