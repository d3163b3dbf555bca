"""What a dimmer's setting gives in light, and what it does to a filament's colour."""

from __future__ import annotations

import math
from typing import Literal, get_args

from previz.physics.checks import positive, within

Curve = Literal["linear", "square", "s_curve", "inverse_square"]
CURVES: tuple[str, ...] = get_args(Curve)


def output_share(level: float, curve: Curve = "linear") -> float:
    """Light (0 to 1) at a dimmer's setting `level` (0 to 1).

    linear: as set. square: finer at the bottom, near the eye's response. s_curve: fine at both
    ends, 3x^2 - 2x^3. inverse_square: fine at the top, 1 - (1 - x)^2. Common practice, no source;
    a fixture's true curve is to be measured.
    """
    within("level", level, 0.0, 1.0)
    if curve == "linear":
        return level
    if curve == "square":
        return level * level
    if curve == "s_curve":
        return level * level * (3.0 - 2.0 * level)
    if curve == "inverse_square":
        return level * (2.0 - level)
    raise ValueError(f"curve must be one of {', '.join(CURVES)}, not {curve!r}")


def level_for_share(share: float, curve: Curve = "linear") -> float:
    """The setting that gives `share` of the light: the exact inverse of `output_share`."""
    within("share", share, 0.0, 1.0)
    if curve == "linear":
        return share
    if curve == "square":
        return math.sqrt(share)
    if curve == "s_curve":
        return 0.5 - math.sin(math.asin(1.0 - 2.0 * share) / 3.0)
    if curve == "inverse_square":
        return 1.0 - math.sqrt(1.0 - share)
    raise ValueError(f"curve must be one of {', '.join(CURVES)}, not {curve!r}")


def filament_cct_k(cct_k: float, share: float) -> float:
    """Colour temperature of a tungsten filament dimmed by voltage to `share` of its light.

    Light goes with voltage^3.4 and colour temperature with voltage^0.42, so CCT with
    share^0.1235. Source: exponents of the incandescent-lamp tables in lighting handbooks, from
    memory; fair from half voltage to full. `share` above 0, up to 1.
    """
    if not 0.0 < share <= 1.0:
        raise ValueError(f"share must lie above 0 and up to 1, not {share!r}")
    return positive("cct_k", cct_k) * math.pow(share, 0.42 / 3.4)
