"""How values, places in a scene and near names are put into one line of plain English."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable

Trail = tuple[str | int, ...]
"""Keys, and positions in lists (from 0), from the top of the scene down to a value."""

LONGEST_SHOWN = 40
_NAME = re.compile(r"[A-Za-z0-9_.]{1,60}")
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_]{1,60}")


def clipped(text: str) -> str:
    """The text in double quotes on one line, cut to a readable length, controls escaped."""
    short = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."
    return printable(json.dumps(short, ensure_ascii=False, allow_nan=False))


def printable(text: str) -> str:
    """The text with whatever cannot be seen escaped."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def is_name(text: str) -> bool:
    """Whether the text can name something in a scene or in the catalogue."""
    return _NAME.fullmatch(text) is not None


def spoken(name: str) -> str:
    """A name as it is, or in quotes and escaped when it is none."""
    return name if _PLAIN_KEY.fullmatch(name) else clipped(name)


def shown(value: object) -> str:
    """A value as people would write it."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return str(value) if isinstance(value, int) else f"{value:.6g}"
    if isinstance(value, str):
        return clipped(value)
    return _shown_group(value)


def _shown_group(value: object) -> str:
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}" if value else "an empty list"
    return "a group of keys" if value else "an empty group"


def dotted(trail: Trail) -> str:
    """`cameras.A.f_number`; positions in lists are counted from 1."""
    text = ""
    for part in trail:
        if isinstance(part, int):
            text += f", item {part + 1}"
        else:
            text += f".{spoken(part)}" if text else spoken(part)
    return text


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """The choice that `word` was most likely meant to be, or None."""
    options = list(choices)
    lowered = {option.lower(): option for option in reversed(options)}
    if word.lower() in lowered:
        return lowered[word.lower()]
    if len(word) >= 3:
        longer = [option for option in options if option.lower().startswith(word.lower())]
        if longer:
            return longer[0]
    close = difflib.get_close_matches(word[:80].lower(), lowered, n=1, cutoff=0.65)
    return lowered[close[0]] if close else None


def listed(words: Iterable[str], last: str = "or") -> str:
    """`a, b or c`."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"
