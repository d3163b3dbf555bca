"""Lengths and angles as a crew reads them off a tape and a head: metres, or feet and inches."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

from previz.telling.numbers import fixed, plain
from previz.units import M_PER_INCH

Units = Literal["metres", "feet"]
EIGHTHS, QUARTERS = 8, 4
"""A tape in inches is read to an eighth of one, 3 mm: common practice, no source."""
_FRACTIONS = {
    Fraction(1, 8): "⅛", Fraction(1, 4): "¼", Fraction(3, 8): "⅜", Fraction(1, 2): "½",
    Fraction(5, 8): "⅝", Fraction(3, 4): "¾", Fraction(7, 8): "⅞",
}  # fmt: skip


def tape(value_m: float, units: Units) -> str:
    """A length to set out by, with its unit: to the millimetre, or to an eighth of an inch."""
    return f"{fixed(value_m, 3)} m" if units == "metres" else feet(value_m, EIGHTHS)


def glance(value_m: float, units: Units) -> str:
    """A length to take in at a glance: to the centimetre, or to a quarter of an inch."""
    return f"{fixed(value_m, 2)} m" if units == "metres" else feet(value_m, QUARTERS)


def feet(value_m: float, parts: int) -> str:
    """Feet and inches, to so many parts of an inch: `7′ 8½″`."""
    steps = int(fixed(abs(value_m) / M_PER_INCH * parts))
    whole, inches = divmod(Fraction(steps, parts), 12)
    rest = inches - int(inches)
    shown = f"{int(inches)}{_FRACTIONS.get(rest, '')}"
    sign = "−" if value_m < 0.0 and steps else ""
    return f"{sign}{int(whole)}′ {shown}″"


def angle(value_rad: float) -> str:
    """An angle to half a degree's tenth, as heads and levels show it: `33.5°`."""
    return f"{fixed(math.degrees(value_rad), 1)}°"


def slope(value_rad: float) -> str:
    """Up or down from level, in words: `12.3° down`."""
    turn = fixed(abs(math.degrees(value_rad)), 1)
    if turn == "0.0":
        return "level"
    return f"{turn}° {'up' if value_rad > 0.0 else 'down'}"


def scale_words(scale: int, units: Units) -> str:
    """A scale as it is said: `1:50`, in feet also `¼″ = 1′ (1:48)`."""
    inches = Fraction(12, scale)
    part = inches - int(inches)
    if units == "metres" or (part and part not in _FRACTIONS):
        return f"1:{scale}"
    return f"{int(inches) or ''}{_FRACTIONS.get(part, '')}″ = 1′ (1:{scale})"


def stop(f_number: float) -> str:
    """A stop as it is marked on a lens."""
    return f"f/{plain(f_number, 2)}"


def t_stop(t_number: float) -> str:
    """The stop that exposure goes by."""
    return f"T{fixed(t_number, 1)}"


def focal(value_mm: float) -> str:
    """A focal length as it is marked."""
    return f"{plain(value_mm, 1)} mm"
