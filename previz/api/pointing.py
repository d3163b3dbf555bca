"""What was pointed at in a still: as typed, and from a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from previz.errors import InputError, Place, Problem
from previz.scenefile.text import read_text
from previz.scenefile.yaml_tree import plain, read_tree
from previz.solve.marks import (
    GREY_CARD_PCT,
    Marks,
    ends_typed,
    height_typed,
    marks_of,
    point_typed,
    spots_typed,
)


@dataclass(frozen=True)
class Typed:
    """What was pointed at, as it is typed on a command line; see `solve.marks`.

    `card_pct` is the reflectance of the card.
    """

    points: Sequence[str] = ()
    verticals: Sequence[str] = ()
    levels: Sequence[str] = ()
    heights: Sequence[str] = ()
    card: str | None = None
    card_pct: float = GREY_CARD_PCT
    file: Path | None = None


def marks_from(typed: Typed) -> Marks:
    """All of it; what is typed goes before what a file says. ValueError, InputError for a slip."""
    from_file = Marks() if typed.file is None else _read(typed.file)
    return from_file.and_also(
        Marks(
            points=dict(map(point_typed, typed.points)),
            verticals=tuple(map(ends_typed, typed.verticals)),
            levels=tuple(map(ends_typed, typed.levels)),
            heights=tuple(map(height_typed, typed.heights)),
            card=() if typed.card is None else spots_typed(typed.card, (2, 4)),
            card_pct=typed.card_pct,
        )
    )


def _read(path: Path) -> Marks:
    text = read_text(path)
    if isinstance(text, Problem):
        raise InputError([text])
    tree = read_tree(text, path)
    if tree.root is None or tree.problems:
        raise InputError(tree.problems)
    try:
        return marks_of(plain(tree.root))
    except ValueError as error:
        raise InputError([Problem(Place(path), str(error))]) from error
