"""What a dimmer's setting gives in light, and what it does to a filament's colour."""

from __future__ import annotations

import math
from typing import Literal, get_args

from previz.physics.checks import positive, within

Curve = Literal["even", "fine_when_dim", "fine_at_both_ends", "fine_when_bright"]
CURVES: tuple[str, ...] = get_args(Curve)
"""Common practice, no source."""


def level_for_share(share: float, curve: Curve = "even") -> float:
    """The dimmer's setting (0 to 1) that gives `share` (0 to 1) of the light.

    The light at a setting x is, even: as set, x. fine_when_dim: small steps of light at the
    bottom, x^2. fine_at_both_ends: 3x^2 - 2x^3. fine_when_bright: 1 - (1 - x)^2. Common practice,
    no source; a fixture's true curve is to be measured.
    """
    within("share", share, 0.0, 1.0)
    if curve == "even":
        return share
    if curve == "fine_when_dim":
        return math.sqrt(share)
    if curve == "fine_at_both_ends":
        return 0.5 - math.sin(math.asin(1.0 - 2.0 * share) / 3.0)
    if curve == "fine_when_bright":
        return 1.0 - math.sqrt(1.0 - share)
    raise ValueError(f"curve must be one of {', '.join(CURVES)}, not {curve!r}")


LIGHT_EXPONENT = 3.4
CCT_EXPONENT = 0.42
POWER_EXPONENT = 1.6
"""A tungsten filament at another voltage: light, colour temperature and power go with voltage to
these powers. Source: Rea (editor), "The IESNA Lighting Handbook", 9th edition, 2000, light sources,
from memory. Fair from half voltage, a tenth of the light, to full."""


def filament_power_share(share: float) -> float:
    """Power (0 to 1 of full) of a filament dimmed by voltage to `share` (0 to 1) of its light.

    Power goes with voltage^1.6 and light with voltage^3.4 (from memory, see the exponents), so
    power with share^0.471: a quarter of the light takes 52 % of the power. Fair down to a tenth
    of the light.
    """
    return math.pow(within("share", share, 0.0, 1.0), POWER_EXPONENT / LIGHT_EXPONENT)


def filament_cct_k(cct_k: float, share: float) -> float:
    """Colour temperature of a tungsten filament dimmed by voltage to `share` of its light.

    Light goes with voltage^3.4 and colour temperature with voltage^0.42 (from memory, see the
    exponents), so CCT with share^0.1235. `share` above 0, up to 1; fair down to a tenth.
    """
    if not 0.0 < share <= 1.0:
        raise ValueError(f"share must lie above 0 and up to 1, not {share!r}")
    return positive("cct_k", cct_k) * math.pow(share, CCT_EXPONENT / LIGHT_EXPONENT)
