"""What was turned in the page and does not stand in the file: by path, laid over the scene."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

Value = None | bool | float | str | tuple[float, ...]
"""A number, a name, a switch, a place in plan; None takes an entry out of the scene."""

_NAME = r"[A-Za-z][A-Za-z0-9_]{0,39}"
_TURNABLE = re.compile(
    rf"cameras\.{_NAME}\.(lens|focal_length_mm|f_number|iso|shutter_deg|nd_density"
    r"|place\.(at_m|frame|from_deg|headroom_pct|look_room_pct|height|height_m))"
    rf"|lights\.{_NAME}\.(dimmer_pct|cct_k|on)"
    rf"|openings\.{_NAME}\.gel_nd"
    r"|exposure\.white_balance\.(cct_k|card)"
)
_WORD = re.compile(r"[A-Za-z0-9_.]{1,60}")
MOST = 400
"""Paths in all: 12 cameras, 40 lights and 40 windows have fewer controls."""


@dataclass(frozen=True)
class Overrides:
    """Values by path; never changed, laid over each other."""

    values: Mapping[str, Value] = field(default_factory=dict)

    def with_values(self, more: Mapping[str, Value]) -> Overrides:
        """These, and others over them."""
        return Overrides({**self.values, **more})

    def without(self, paths: tuple[str, ...]) -> Overrides:
        """These, but for some."""
        return Overrides({path: v for path, v in self.values.items() if path not in paths})

    def settings(self) -> tuple[str, ...]:
        """As `--set` takes them: `lights.key.dimmer_pct=40`."""
        return tuple(f"{path}={as_yaml(value)}" for path, value in self.values.items())


def as_yaml(value: Value) -> str:
    """A value in one line, as it may stand in a scene file; JSON is YAML."""
    return json.dumps(list(value) if isinstance(value, tuple) else value, allow_nan=False)


def edits_from(raw: object) -> dict[str, Value]:
    """Values by path as a page sends them; ValueError for what no control of it sends."""
    if not isinstance(raw, dict) or not 0 < len(raw) <= MOST:
        raise ValueError("a change is a few values by path")
    return {_path(path): _value(value) for path, value in raw.items()}


def _path(path: object) -> str:
    if not isinstance(path, str) or not _TURNABLE.fullmatch(path):
        raise ValueError("this cannot be turned in the page")
    return path


def _value(value: object) -> Value:
    match value:
        case None | bool():
            return value
        case int() | float():
            return _number(value)
        case str() if _WORD.fullmatch(value):
            return value
        case [int() | float() as x, int() | float() as y]:
            return (_number(x), _number(y))
    raise ValueError("a value is a number, a word, a switch or a place in plan")


def _number(value: float) -> float:
    """Finite, and not longer than anybody reads."""
    if isinstance(value, bool) or not abs(value) < 1e6:
        raise ValueError("a number is finite")
    return round(float(value), 4)
