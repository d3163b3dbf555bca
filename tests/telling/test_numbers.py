"""The one rounding: what JSON can hold, and what people read."""

from __future__ import annotations

import ast
import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from previz.telling import numbers
from previz.telling.numbers import fixed, per_cent, plain, rounded, signed, stops

HOUSE = Path(__file__).resolve().parents[2] / "previz"
NUMBER = re.compile(r"[+ ]?(\.\d+)?[eEfFgG%]$")
OTHER_ROUNDING = {
    "deliver/caption.py": "pixels of the strip",
    "deliver/exposure_sheet.py": "pixels of the legend",
    "deliver/sheet.py": "pixels of the page",
    "deliver/surface.py": "pixels of the page",
}


@given(st.floats(allow_nan=True, allow_infinity=True), st.integers(0, 6) | st.none())
def test_json_gets_numbers_or_nothing_and_no_minus_zero(value: float, digits: int | None) -> None:
    found = rounded(value, digits)
    if not math.isfinite(value):
        assert found is None
        return
    assert found is not None and str(found) != "-0.0"
    assert rounded(found, digits) == found
    if digits is None:
        assert found == value
    else:
        assert abs(found - value) <= 0.5 * 10.0**-digits * (1.0 + 1e-9) + 1e-9 * abs(value)


def test_nothing_stays_nothing() -> None:
    assert rounded(None, 2) is None


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (numbers.metres(2.125), "2.12 m"),
        (numbers.metres(math.inf), "infinity"),
        (numbers.lux(228.6), "229"),
        (numbers.lux(9.94), "9.9"),
        (numbers.stops(-0.26), "-0.3 stops"),
        (numbers.stops(1.0, 2), "+1.00 stops"),
        (numbers.per_cent(33.4), "33 %"),
        (numbers.ratio(4.0), "4.0 : 1"),
        (numbers.kelvin(5600.4), "5600 K"),
        (numbers.plain(2.8), "2.8"),
        (numbers.plain(801.4, 0), "801"),
        (numbers.marked(2.8284), "2.8"),
        (numbers.hour_of_clock(0.3), "12"),
        (numbers.hour_of_clock(2.6), "3"),
    ],
)
def test_numbers_as_people_read_them(said: str, words: str) -> None:
    assert said == words


@pytest.mark.parametrize("room", ["telling", "deliver"])
def test_no_other_module_rounds(room: str) -> None:
    """Neither by `round` nor by the format of an f-string."""
    found = []
    for path in sorted((HOUSE / room).glob("*.py")):
        name = path.relative_to(HOUSE).as_posix()
        if name == "telling/numbers.py" or name in OTHER_ROUNDING:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = isinstance(node, ast.Call) and ast.unparse(node.func) == "round"
            spec = node.format_spec if isinstance(node, ast.FormattedValue) else None
            if called or (spec is not None and NUMBER.search(ast.unparse(spec).strip("f'\""))):
                found.append(f"{name}:{getattr(node, 'lineno', 0)}")
    assert not found


def test_nothing_has_no_sign():
    """What rounds to nothing is nothing, on either side of it."""
    told = (stops(-0.04), stops(0.04), fixed(-0.4), signed(-0.0), plain(-0.04, 1), per_cent(-0.2))
    assert told == ("+0.0 stops", "+0.0 stops", "0", "+0.0", "0", "0 %")
