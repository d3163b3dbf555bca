"""From the frames of a move to its contact sheet: from its first frame to its last."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from previz.deliver.sheet import Cell, Group, Sheet
from previz.stage.moving.move import StageMove
from previz.stage.words import in_short
from previz.telling.moves import frame_rows, moment

MOST_FRAMES = 12
ON_A_PAGE = 6


def sheet_frames(move: StageMove) -> tuple[int, ...]:
    """Numbers of the frames on the sheet: the first, the last, and some evenly between."""
    return tuple(
        dict.fromkeys(int(n) for n in np.linspace(0, move.frames - 1, MOST_FRAMES).round())
    )


def sheet_of(
    move: StageMove,
    pictures: Mapping[int, NDArray[np.uint8]],
    title: str,
    foot: str,
    cautions: tuple[str, ...],
) -> Sheet:
    """The sheet; `pictures` by the number of their frame. Six frames fill a page."""
    numbers = sorted(pictures)
    times = move.frame_times_s
    pages = [numbers[at : at + ON_A_PAGE] for at in range(0, len(numbers), ON_A_PAGE)]
    groups = tuple(
        Group(
            f"{moment(times[page[0]])} to {moment(times[page[-1]])}" if len(pages) > 1 else "",
            tuple(
                Cell(moment(times[n]), pictures[n], tuple(frame_rows(move, times[n]).items()))
                for n in page
            ),
        )
        for page in pages
    )
    said = f"Move {move.name}: {in_short(move)}"
    return Sheet(title, said, groups, foot, cautions)
