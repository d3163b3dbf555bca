"""The one guard the laws share: a number outside a law's domain is refused, never bent."""

from __future__ import annotations

import math


def positive(name: str, value: float) -> float:
    """`value`, or ValueError naming it when it is not a finite number above zero."""
    if not (math.isfinite(value) and value > 0.0):
        raise ValueError(f"{name} must be a finite number above 0, not {value!r}")
    return value


def not_negative(name: str, value: float) -> float:
    """`value`, or ValueError naming it when it is below zero or not finite."""
    if not (math.isfinite(value) and value >= 0.0):
        raise ValueError(f"{name} must be a finite number of 0 or more, not {value!r}")
    return value


def within(name: str, value: float, low: float, high: float) -> float:
    """`value`, or ValueError naming it when it lies outside `low` to `high` (both allowed)."""
    if not low <= value <= high:
        raise ValueError(f"{name} must lie between {low:g} and {high:g}, not {value!r}")
    return value
