"""Conversions between people's units (mm, degrees, stops) and SI. Nothing else knows a factor."""

from __future__ import annotations

import math

MM_PER_M = 1000.0
M_PER_INCH = 0.0254
"""By definition."""


def mm_to_m(value_mm: float) -> float:
    """Millimetres to metres."""
    return value_mm / MM_PER_M


def m_to_mm(value_m: float) -> float:
    """Metres to millimetres."""
    return value_m * MM_PER_M


def m_to_ft(value_m: float) -> float:
    """Metres to international feet."""
    return value_m / 0.3048


def m_to_in(value_m: float) -> float:
    """Metres to inches."""
    return value_m / 0.0254


def kg_to_lb(value_kg: float) -> float:
    """Kilograms to pounds."""
    return value_kg / 0.45359237


def ratio_to_stops(ratio: float) -> float:
    """Stops between two amounts of light whose quotient is `ratio` (> 0)."""
    return math.log2(ratio)


def stops_to_ratio(stops: float) -> float:
    """Quotient of two amounts of light that lie `stops` apart."""
    return float(2.0**stops)
