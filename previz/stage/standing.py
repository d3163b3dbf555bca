"""Things as they stand: within a round of a memory the same pieces at one place are one object.

So whoever holds two stages that were built one after the other sees by `is` what has moved.
"""

from __future__ import annotations

from previz.geometry.people.figure import Strands
from previz.geometry.piece import Piece, moved
from previz.memory import remembered
from previz.stage.stage import Array, Thing, ThingKind

Pieces = tuple[Piece, ...]


def stood(pieces: Pieces, matrix: Array) -> Pieces:
    """As `piece.moved`: all pieces under one 4x4."""
    return remembered(("stood", pieces, matrix.tobytes()), lambda: moved(pieces, matrix))


def standing(
    name: str,
    kind: ThingKind,
    pieces: Pieces,
    strands: Strands | None = None,
    owner: str | None = None,
) -> Thing:
    """A thing of these very pieces."""
    key = ("thing", name, kind, pieces, strands, owner)
    return remembered(key, lambda: Thing(name, kind, pieces, strands, owner))
