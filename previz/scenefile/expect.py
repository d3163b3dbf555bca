"""What would be right at a place of the scene, in words and as a stand-in value."""

from __future__ import annotations

import re
from typing import Any

from previz.model.base import CatalogName, HexColour, Moment, Name
from previz.scenefile.schema import Schema, shapes
from previz.scenefile.scope import ONLY_ROOMS, out_of_scope
from previz.scenefile.wording import listed, nearest, shown

_COUNT_WORDS = {2: "two", 3: "three"}
_AXES = {2: "[x, y]", 3: "[x, y, z]"}
_WITH_UNIT = re.compile(r"(?:[fFtT]/?)?([-+]?[0-9]+(?:\.[0-9]+)?) ?(?:[A-Za-z°%\"']{1,8})?")
_COMMA = re.compile(r"([-+]?[0-9]+),([0-9]+)")


def _pattern(annotated: Any) -> str:
    return str(annotated.__metadata__[0].pattern)


_PATTERNS = {
    _pattern(Name): "a name of letters, digits and _ that starts with a letter",
    _pattern(CatalogName): "a name from the catalogue (small letters, digits, _ and .)",
    _pattern(HexColour): 'a colour such as "#5b6b7a", in quotes',
    _pattern(Moment): "a date and time with the offset from UTC, as 2026-05-12T10:30+02:00",
}


RENAMED_WORDS = {"away_from_b": "far_side"}
"""Words of earlier versions, with what they are called now."""
_STAND_INS = {_pattern(HexColour): "#808080", _pattern(Moment): "2026-01-01T12:00Z"}


def wanted(node: Schema) -> str:
    """What a value may be: `a number from 0.7 to 64`."""
    parts: list[str] = []
    for shape in shapes(node):
        is_choice = "const" in shape or "enum" in shape
        parts += _choices(shape) if is_choice else [_wanted_shape(shape)]
    return listed(dict.fromkeys(parts))


def _wanted_shape(shape: Schema) -> str:
    kind = shape.get("type")
    if kind in ("number", "integer"):
        noun = "a whole number" if kind == "integer" else "a number"
        return f"{noun} {_range(shape)}".rstrip()
    if kind == "boolean":
        return "true or false"
    if kind == "string":
        return _PATTERNS.get(shape.get("pattern", ""), f"text{_at_most(shape)}")
    if kind == "array":
        return _wanted_list(shape)
    return _wanted_group(shape)


def _choices(shape: Schema) -> list[str]:
    values = shape["enum"] if "enum" in shape else [shape["const"]]
    return [str(value) for value in values]


def _range(shape: Schema) -> str:
    low, high = shape.get("minimum"), shape.get("maximum")
    return "" if low is None or high is None else f"from {low:g} to {shown(high)}"


def _at_most(shape: Schema) -> str:
    longest, least = shape.get("maxLength"), shape.get("minLength", 0)
    if least:
        return f" of {least} to {longest} characters"
    return f" of at most {longest} characters" if longest else ""


def _wanted_list(shape: Schema) -> str:
    fixed = shape.get("prefixItems")
    if fixed:
        count = len(fixed)
        numbers = f"{_COUNT_WORDS.get(count, count)} numbers {_AXES.get(count, '')}".rstrip()
        return f"{numbers}, each {_range(fixed[0])}"
    items = shape["items"]
    what = "groups of keys" if "$ref" in items else "points [x, y]"
    if items.get("type") == "string":
        what = "names" if "pattern" in items else "texts"
    return f"a list of {shape.get('minItems', 0)} to {shape.get('maxItems')} {what}"


def _wanted_group(shape: Schema) -> str:
    if "properties" in shape:
        keys = shape.get("required") or list(shape["properties"])
        more = ", ..." if len(shape["properties"]) > len(keys[:4]) else ""
        return f"a group of keys ({', '.join(keys[:4])}{more})"
    return "a group of named entries"


def judged(node: Schema, value: object) -> str:
    """`must be from 0.7 to 64, found 280`, with a hint where the slip is a common one."""
    options = shapes(node)
    if isinstance(value, dict) and "maxProperties" in options[0]:
        low, high = options[0].get("minProperties", 0), options[0]["maxProperties"]
        return f"must have {low} to {high} entries, found {len(value)}"
    numeric = [s for s in options if s.get("type") in ("number", "integer")]
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if len(options) == 1 and numeric and is_number and _is_whole_enough(options[0], value):
        right = _range(options[0]) or wanted(node)
    else:
        right = wanted(node)
    return f"must be {right}, found {_found(value, options)}{_hint(value, options, numeric)}"


def _is_whole_enough(shape: Schema, value: object) -> bool:
    return shape["type"] == "number" or isinstance(value, int)


def _found(value: object, options: list[Schema]) -> str:
    if isinstance(value, str) and any(len(value) > s.get("maxLength", len(value)) for s in options):
        return f"{len(value)} characters"
    if isinstance(value, dict) and value:
        return f"a group of {len(value)}" if len(value) > 1 else "a group of one key"
    return shown(value)


def _hint(value: object, options: list[Schema], numeric: list[Schema]) -> str:
    if not isinstance(value, str):
        return ""
    choices = [c for s in options if "enum" in s or "const" in s for c in _choices(s)]
    now = RENAMED_WORDS.get(value)
    if now in choices:
        return f"; it is called {now} now"
    near = nearest(value, choices)
    if near and len(choices) > 1:
        return f"; did you mean {near}?"
    if not choices and out_of_scope(value):
        return f"; {ONLY_ROOMS}"
    return _number_hint(value.strip()) if numeric else ""


def _number_hint(text: str) -> str:
    comma = _COMMA.fullmatch(text)
    if comma:
        return f"; write {comma[1]}.{comma[2]} with a point"
    number = _WITH_UNIT.fullmatch(text)
    if number and number[1] == text:
        return f"; write {text} without quotes"
    return f"; write {number[1]} alone, the key names the unit" if number else ""


def stand_in(node: Schema) -> Any:
    """A value that is valid at this place, to go on checking past a faulty one."""
    if "default" in node and node["default"] is not None:
        return node["default"]
    options = shapes(node)
    return _stand_in_shape(options[0]) if options else None


def _stand_in_shape(shape: Schema) -> Any:
    kind = shape.get("type")
    if "const" in shape or "enum" in shape:
        value: Any = shape["enum"][-1] if "enum" in shape else shape["const"]
    elif kind in ("number", "integer"):
        value = shape.get("minimum", 0)
    elif kind == "boolean":
        value = False
    elif kind == "string":
        value = _STAND_INS.get(shape.get("pattern", ""), "x")
    elif kind == "array":
        items = shape.get("prefixItems") or [shape["items"]] * shape.get("minItems", 0)
        value = [stand_in(item) for item in items]
    else:
        required = shape.get("required", [])
        value = {key: stand_in(shape["properties"][key]) for key in required}
    return value
