"""What a page says, checked before anything is done with it."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass

from previz.watch.jobs import View
from previz.watch.overrides import MOST, Value, edits_from

LARGEST_BYTES = 1 << 16
NARROWEST_PX = 160
LONGEST_S = 3600.0
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,39}")


@dataclass(frozen=True)
class Seen:
    """A picture was shown."""

    number: int


@dataclass(frozen=True)
class Turn:
    """Something was turned; `goes_on`: the same gesture as the change before."""

    values: dict[str, Value]
    goes_on: bool


@dataclass(frozen=True)
class Forget:
    """Let go of what was turned: of some paths, or of all."""

    paths: tuple[str, ...]


@dataclass(frozen=True)
class Press:
    """A button: settle, preview, write, undo, redo."""

    button: str


@dataclass(frozen=True)
class Show:
    """Show a move from a moment on, running or standing there; no move: the cameras again."""

    move: str | None
    at_s: float
    running: bool


Said = Seen | Turn | Forget | Press | View | Show
BUTTONS = ("settle", "preview", "write", "undo", "redo")


def read(text: str, widest_px: int) -> Said:
    """One message of a page; ValueError for what no page of ours sends."""
    raw = json.loads(text)
    if not isinstance(raw, dict):
        raise ValueError("a message is an object")
    kind = raw.get("kind")
    match kind:
        case "seen":
            return Seen(_whole(raw.get("number")))
        case "turn":
            return Turn(edits_from(raw.get("values")), raw.get("goes_on") is True)
        case "forget":
            return Forget(_texts(raw.get("paths")))
        case "view":
            return _view(raw, widest_px)
        case "show":
            return _show(raw)
        case str() if kind in BUTTONS:
            return Press(kind)
    raise ValueError("this is none of the messages of a page")


def _view(raw: dict[str, object], widest_px: int) -> View:
    names = _texts(raw.get("cameras"))
    if not all(_NAME.fullmatch(name) for name in names):
        raise ValueError("a camera has a name")
    width = _whole(raw.get("width"))
    # Even widths in steps, so that a window that is drawn larger does not begin anew at each pixel.
    stepped = 32 * -(-width // 32)
    return View(names, min(widest_px, max(NARROWEST_PX, stepped)) if width else 0)


def _show(raw: dict[str, object]) -> Show:
    move, at_s = raw.get("move"), raw.get("at_s", 0)
    if move is not None and not (isinstance(move, str) and _NAME.fullmatch(move)):
        raise ValueError("a move has a name")
    if isinstance(at_s, bool) or not isinstance(at_s, int | float) or not 0.0 <= at_s < LONGEST_S:
        raise ValueError("a moment is seconds from the start")
    return Show(move, float(at_s), raw.get("running") is True)


def _texts(raw: object) -> tuple[str, ...]:
    if not isinstance(raw, list) or len(raw) > MOST or not all(isinstance(t, str) for t in raw):
        raise ValueError("this is a list of words")
    return tuple(raw)


def _whole(raw: object) -> int:
    if not isinstance(raw, int) or isinstance(raw, bool) or not 0 <= raw < 1 << 31:
        raise ValueError("this is a whole number")
    return raw
