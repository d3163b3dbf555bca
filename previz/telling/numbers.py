"""The one rounding: numbers as JSON holds them, and as people read them.

JSON knows neither infinity nor what is no number: there they become None. A text names infinity.
"""

from __future__ import annotations

import math


def rounded(value: float | None, digits: int | None) -> float | None:
    """`value` to so many digits (None: as it is); None where it is infinite or no number."""
    if value is None or not math.isfinite(value):
        return None
    # Adding zero turns -0.0 into 0.0.
    return float(value) + 0.0 if digits is None else round(float(value), digits) + 0.0


# --- bare numbers ----------------------------------------------------------------------------


def fixed(value: float, digits: int = 0) -> str:
    """So many digits after the point; what rounds to nothing has no sign (never `-0.0`)."""
    return f"{value:z.{digits}f}"


def signed(value: float, digits: int = 1) -> str:
    """The same with its sign: `+0.3`."""
    return f"{value:+z.{digits}f}"


def plain(value: float, digits: int | None = None) -> str:
    """As short as it goes, `2.8` or `800`; rounded first where `digits` are given."""
    return f"{(value if digits is None else round(value, digits)) + 0.0:g}"


def marked(value: float, figures: int = 2) -> str:
    """As lenses are marked: so many figures in all, no zeros behind."""
    return f"{value:.{figures}g}"


# --- with their unit -------------------------------------------------------------------------


def metres(value_m: float) -> str:
    """A distance; infinity by name."""
    return "infinity" if math.isinf(value_m) else f"{fixed(value_m, 2)} m"


def millimetres(value_mm: float, digits: int = 1) -> str:
    """A length on the sensor or in the eye."""
    return f"{fixed(value_mm, digits)} mm"


def degrees(value_deg: float, digits: int = 0) -> str:
    """An angle."""
    return f"{fixed(value_deg, digits)} deg"


def signed_degrees(value_deg: float, digits: int = 1) -> str:
    """An angle to one side or the other."""
    return f"{signed(value_deg, digits)} deg"


def per_cent(value_pct: float, digits: int = 0) -> str:
    """A share."""
    return f"{fixed(value_pct, digits)} %"


def stops(value_stops: float, digits: int = 1) -> str:
    """A difference of light, with its sign."""
    return f"{signed(value_stops, digits)} stops"


def half_stops(value_stops: float) -> int:
    """How many half stops a difference is, whichever way: a meter's needle is read no finer."""
    return round(2.0 * abs(value_stops))


def ratio(value: float) -> str:
    """One amount of light to another: `4.0 : 1`."""
    return f"{fixed(value, 1)} : 1"


def lux(value_lx: float) -> str:
    """Illuminance as people say it, without its unit: whole above 10."""
    return fixed(value_lx, 0 if value_lx >= 10.0 else 1)


def luminance(value_cd_m2: float) -> str:
    """What a spot meter reads."""
    return f"{marked(value_cd_m2, 3)} cd/m2"


def kelvin(value_k: float) -> str:
    """A colour temperature."""
    return f"{fixed(value_k)} K"


def watts(value_w: float) -> str:
    """A load."""
    return f"{fixed(value_w)} W"


def amperes(value_a: float) -> str:
    """A current."""
    return f"{fixed(value_a, 1)} A"


def hour_of_clock(value_h: float) -> str:
    """A place on a clock's face, 12 at the top."""
    return str(round(value_h) or 12)
