"""Numbers as JSON holds them, which knows neither infinity nor what is no number."""

from __future__ import annotations

import math


def rounded(value: float | None, digits: int = 3) -> float | None:
    """`value` to so many digits; None where it is infinite, no number or not there."""
    if value is None or not math.isfinite(value):
        return None
    # Adding zero turns -0.0 into 0.0.
    return round(float(value), digits) + 0.0
