"""How a value is written into a scene: as people write it, and so that every reader agrees."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from decimal import Decimal

from previz.scenefile.scalars import MOMENT, resolve
from previz.scenefile.text import UNREADABLE
from previz.scenefile.wording import shown

Value = bool | int | float | str | Sequence["Value"]
"""What can be written under a key."""

DECIMALS = {
    "m": 3, "mm": 2, "cm": 1, "deg": 2, "pct": 1, "k": 0,
    "nd": 2, "density": 2, "number": 2, "stops": 2, "hours": 2,
}  # fmt: skip
"""Decimals by the unit that ends a key, finer than anything of a set is placed or set by hand.

Source: common practice, no source.
"""
FINER = {"latitude_deg": 5, "longitude_deg": 5}
"""Decimals of single keys: 0.00001 degrees are about a metre on the ground."""
LEAST_DIGITS = 3
"""Significant digits that a small number keeps whatever its unit."""
MOST_DIGITS = 6
"""Significant digits of a number whose key names no unit."""
_PLAIN = re.compile(r"[^\W\d](?:[\w./+ -]*[\w./+-])?")


def as_written(key: str, value: Value) -> Value:
    """The value as a reader finds it once it is written under `key`: numbers are rounded.

    Raises ValueError, in words, for what no scene can hold.
    """
    if isinstance(value, (str, bool)):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return _rounded(key, value)
    if isinstance(value, Sequence):
        return [as_written(key, item) for item in value]
    raise ValueError(f"must be a number, text, true, false or a list of them, found {shown(value)}")


def in_yaml(value: Value, quote: str = "") -> str:
    """YAML for a value of `as_written`, on one line, good inside { } and [ ] too.

    Text is put between `quote` marks if one is given, and between " if it would otherwise be
    read as something else.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return _digits(value)
    if isinstance(value, str):
        return _text(value, quote)
    return f"[{', '.join(in_yaml(item) for item in value)}]"


def same(one: object, other: object) -> bool:
    """Whether two trees hold the same: 1 is 1.0 but not true, and the order of keys counts."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, (list, tuple)) and isinstance(other, (list, tuple)):
        return len(one) == len(other) and all(map(same, one, other))
    return isinstance(one, bool) == isinstance(other, bool) and one == other


def _rounded(key: str, value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"must be a finite number, found {value:g}")
    if value == 0:
        return 0.0
    size = math.floor(math.log10(abs(value)))
    decimals = FINER.get(key, DECIMALS.get(key.rpartition("_")[2]))
    decimals = MOST_DIGITS - 1 - size if decimals is None else decimals
    return round(value, max(decimals, LEAST_DIGITS - 1 - size)) + 0.0


def _digits(value: float) -> str:
    """42 for 42.0, and no exponent where it can be done without."""
    if isinstance(value, int) or (value.is_integer() and abs(value) < 1e15):
        return str(int(value))
    if not 1e-7 < abs(value) < 1e15:
        digits, _, power = repr(value).partition("e")
        # Some readers take a power of ten without a point for text.
        return f"{digits}e{power}" if "." in digits else f"{digits}.0e{power}"
    return format(Decimal(repr(value)), "f")


def _text(value: str, quote: str) -> str:
    if quote == "'" and value.isprintable():
        return "'" + value.replace("'", "''") + "'"
    is_word = _PLAIN.fullmatch(value) or MOMENT.fullmatch(value)
    if not quote and is_word and resolve(value) == value:
        return value
    escaped = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return UNREADABLE.sub(_escaped, escaped)


def _escaped(found: re.Match[str]) -> str:
    code = ord(found.group())
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
