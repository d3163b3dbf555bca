"""What unquoted words mean. Expected values: YAML 1.2.2, section 10.3.2 (core schema)."""

from __future__ import annotations

import pytest

from previz.scenefile.scalars import Refused, Scalar, resolve


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("null", None), ("true", True), ("False", False), ("12", 12), ("-7", -7), ("+3", 3),
        ("0", 0), ("0.5", 0.5), (".5", 0.5), ("5.", 5.0), ("1e3", 1000.0), ("-1.5E-2", -0.015),
        ("2.8", 2.8), ("oak_boards", "oak_boards"), ("f2.8", "f2.8"), ("24-70", "24-70"),
        ("2,8", "2,8"), ("nobody", "nobody"), ("yesterday", "yesterday"), ("1.2.3", "1.2.3"),
        ("x" * 500, "x" * 500), ("y", "y"), ("N", "N"),
    ],
)  # fmt: skip
def test_reads(word: str, value: Scalar) -> None:
    found = resolve(word)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    "word",
    [
        "yes", "No", "ON", "off", "~", "16:9", "10:30:00", "012", "-007", "0x1F", "0o17",
        "0b11", "1_000", "1_0.5", "2026-05-12", "2026-5-1", "2026-05-12T10:30", ".inf",
        "-.INF", ".nan", "NaN", "inf", "1e999", "-1e999", "9" * 41,
    ],
)  # fmt: skip
def test_refuses_and_says_what_to_write(word: str) -> None:
    found = resolve(word)
    assert isinstance(found, Refused)
    assert "write" in found.reason or "too large" in found.reason or "at most" in found.reason


@pytest.mark.parametrize("word", ["2026-05-12T10:30+02:00", "2026-05-12T10:30:15Z"])
def test_a_moment_with_its_offset_is_text(word: str) -> None:
    assert resolve(word) == word
