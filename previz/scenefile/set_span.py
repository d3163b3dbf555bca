"""How much wall the pieces of a set take, and which of them to leave out for a shorter wall."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from previz.scenefile.view import View

if TYPE_CHECKING:
    from previz.catalog import Catalog
    from previz.model.sets import SetPiece, SetRecord

Span = tuple[float, float]
_SLACK_M = 1e-6


@dataclass(frozen=True)
class Fit:
    """A way to fit a set to a wall: what to leave out, and where its middle may stand, metres."""

    without: tuple[str, ...]
    along_m: Span

    def near(self, wanted_m: float) -> float:
        """The place that is nearest to the one wanted, whole centimetres within the two ends."""
        low, high = math.ceil(100.0 * self.along_m[0]), math.floor(100.0 * self.along_m[1])
        return min(max(round(100.0 * wanted_m), low), max(high, low)) / 100.0


def spans_of(view: View, name: str, record: SetRecord, catalog: Catalog) -> dict[str, Span]:
    """From where to where along the set's back each piece reaches that is left in, metres.

    Counted from the set's middle, to the right as one faces it, and no farther than its record
    says that it reaches.
    """
    left_out = view.value("sets", name, "without")
    without = tuple(str(part) for part in left_out) if isinstance(left_out, list) else ()
    half = record.width_m / 2.0
    spans = {}
    for part, piece in record.left(without).items():
        middle, reach = _along(view, name, part, piece, catalog)
        spans[part] = (max(middle - reach, -half), min(middle + reach, half))
    return spans


def taken_by(spans: dict[str, Span]) -> Span:
    """From where to where all of them reach; nothing at all where none is left."""
    return min((s[0] for s in spans.values()), default=0.0), max(
        (s[1] for s in spans.values()), default=0.0
    )


def fit_to(length_m: float, spans: dict[str, Span], record: SetRecord) -> Fit | None:
    """The way to fit a set to a wall of `length_m` that keeps most of it; None: nothing would."""
    best: tuple[float, dict[str, Span]] = (0.0, {})
    for start, _ in spans.values():
        inside = {
            part: span
            for part, span in spans.items()
            if span[0] >= start - _SLACK_M and span[1] <= start + length_m + _SLACK_M
        }
        left_out = tuple(part for part in record.pieces if part not in inside)
        kept = {part: inside[part] for part in record.left(left_out) if part in inside}
        worth = sum(high - low for low, high in kept.values())
        best = max(best, (worth, kept), key=lambda found: found[0])
    kept = best[1]
    if not kept:
        return None
    low, high = taken_by(kept)
    # What stands on a piece goes with it and need not be named.
    out = [part for part in record.pieces if part not in kept]
    named = tuple(part for part in out if record.pieces[part].on not in out)
    return Fit(named, (-low, length_m - high))


def _along(
    view: View, name: str, part: str, piece: SetPiece, catalog: Catalog
) -> tuple[float, float]:
    """Middle of a piece along the set's back, and half of what it takes of it, metres."""
    trail = ("sets", name, "change", part)
    own = catalog.furniture(_record_name(view.text(*trail, "piece"), piece, catalog))
    middle = view.number(*trail, "along_m")
    wide = view.number(*trail, "width_m") or piece.width_m or own.width_m or 0.0
    # A depth that is left to the piece's shape is taken to be no more than its width.
    deep = view.number(*trail, "depth_m") or piece.depth_m or own.depth_m or wide
    turned = view.number(*trail, "turn_deg")
    turn = math.radians((piece.turn_deg or 0.0) if turned is None else turned)
    reach = 0.5 * (wide * abs(math.cos(turn)) + deep * abs(math.sin(turn)))
    return (piece.along_m if middle is None else middle), reach


def _record_name(changed: str | None, piece: SetPiece, catalog: Catalog) -> str:
    known = changed is not None and changed in catalog.names("furniture")
    return str(changed) if known else piece.piece
