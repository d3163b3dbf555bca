"""What an unquoted word of YAML means: the YAML 1.2 core reading, and refusal of the traps.

YAML 1.1 readers, which are many, read `no` as False, `16:9` as 969 and `012` as 10, where
1.2 readers see text or 12. A scene must not depend on who reads it, so such words are
refused and the message says what to write instead.
Source: YAML 1.2.2 section 10.3 (core schema); YAML 1.1 types bool, int, float, timestamp.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from previz.model.exposure import ASPECTS

Scalar = str | int | float | bool | None


@dataclass(frozen=True)
class Refused:
    """Why a word is not accepted, and what to write instead."""

    reason: str


_INT = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_LEADING_ZERO = re.compile(r"[-+]?0[0-9]+")
_OTHER_BASE = re.compile(r"[-+]?0[xob][0-9a-fA-F_]+")
_UNDERSCORED = re.compile(r"[-+]?[0-9][0-9_]*_[0-9_]*(\.[0-9_]*)?")
_BASE_SIXTY = re.compile(r"[-+]?[0-9]+(:[0-5]?[0-9])+(\.[0-9]*)?")
_DATE = re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}([Tt ].*)?")
MOMENT = re.compile(r"[0-9-]{10}T[0-9:]{5,8}(Z|[+-][0-9]{2}:[0-9]{2})")
_NOT_FINITE = re.compile(r"[-+]?\.?inf|[-+]?\.?nan", re.IGNORECASE)
_SWITCH = {"yes": True, "on": True, "no": False, "off": False}
"""YAML 1.1 has `y` and `n` among them too, but hardly a reader took them so, and y is an axis."""
_LONGEST_NUMBER = 40


def resolve(word: str) -> Scalar | Refused:
    """Value of an unquoted word, or why it is refused."""
    if word in ("null", "Null", "NULL"):
        return None
    if word in ("true", "True", "TRUE"):
        return True
    if word in ("false", "False", "FALSE"):
        return False
    if len(word) > _LONGEST_NUMBER:
        is_number = _FLOAT.fullmatch(word) is not None
        return (
            Refused(f"a number may have at most {_LONGEST_NUMBER} characters")
            if is_number
            else word
        )
    trap = _trap(word)
    if trap:
        return Refused(trap)
    return _number(word) if _FLOAT.fullmatch(word) else word


def _trap(word: str) -> str | None:
    if word == "~":
        return "~ is refused; write null to leave an entry out"
    switch = _SWITCH.get(word.lower())
    if switch is not None:
        right = "true" if switch else "false"
        return f'{word} is read as {right} or as text; write {right}, or "{word}" for text'
    if _BASE_SIXTY.fullmatch(word):
        shape = word.replace(":", "x")
        or_shape = f", or {shape} for a shape of picture" if shape in ASPECTS else ""
        return f'{word} is read by some as a number to base 60; write "{word}" for text{or_shape}'
    # A moment with its offset from UTC can mean nothing else, and stays the text it is.
    if _DATE.fullmatch(word) and not MOMENT.fullmatch(word):
        return f'{word} is read as a date; write "{word}" for text'
    return _odd_number(word)


def _odd_number(word: str) -> str | None:
    if _LEADING_ZERO.fullmatch(word):
        plain = word.lstrip("+-0") or "0"
        return f'{word} is read by some as octal; write {plain}, or "{word}" for text'
    if _OTHER_BASE.fullmatch(word):
        return f'{word} is not a decimal number; write it in decimal, or "{word}" for text'
    if _UNDERSCORED.fullmatch(word):
        plain = word.replace("_", "")
        return f'{word}: write {plain} without underscores, or "{word}" for text'
    if _NOT_FINITE.fullmatch(word):
        return f'{word} is not a usable number; write a finite one, or "{word}" for text'
    return None


def _number(word: str) -> int | float | Refused:
    if _INT.fullmatch(word):
        return int(word)
    value = float(word)
    if value in (float("inf"), float("-inf")):
        return Refused(f"{word} is too large a number")
    return value
