"""What the lights draw and what a circuit may carry continuously. Local code and licensed practice
decide; these figures only warn early.
"""

from __future__ import annotations

from dataclasses import dataclass

from previz.physics.checks import not_negative, positive, within


def current_a(power_w: float, voltage_v: float, power_factor: float = 1.0) -> float:
    """Current of a single-phase load, P / (V x power factor): definition of the power factor.

    RMS values of a steady load; a cold filament or a ballast takes far more when switched on.
    """
    within("power_factor", power_factor, 1e-6, 1.0)
    return not_negative("power_w", power_w) / (positive("voltage_v", voltage_v) * power_factor)


def energy_kwh(power_w: float, hours: float) -> float:
    """Energy of a steady load over time, P t: definition of the units."""
    return not_negative("power_w", power_w) * not_negative("hours", hours) / 1000.0


@dataclass(frozen=True)
class CircuitRule:
    """How much of a rating a load of hours may take, where, and who says so.

    breaker_a        rating of the circuit's breaker, or of the plug's fuse where there is one
    low_v, high_v    what the supply may have, as `supply` says
    frequencies_hz   what it may have; where there are two, the place decides
    source           of the rating, and of the share for hours
    """

    country: str
    voltage_v: float
    low_v: float
    high_v: float
    frequencies_hz: tuple[int, ...]
    breaker_a: float
    continuous_share: float
    supply: str
    source: str

    @property
    def continuous_a(self) -> float:
        """Current for a load of three hours or more."""
        return self.breaker_a * self.continuous_share

    @property
    def continuous_w(self) -> float:
        """The same as power, at a power factor of 1."""
        return self.continuous_a * self.voltage_v

    @property
    def breaker_w(self) -> float:
        """The breaker's full rating as power."""
        return self.breaker_a * self.voltage_v


MARGIN = 0.8
"""Share of a rating for hours where no code gives one: common practice, no source."""
_NEC = "NFPA 70 (NEC) 210.20(A): breaker at 125 % of continuous load, from memory; US only"
_MARGIN = "80 % as a voluntary margin: common practice, no source"
_UK = (
    "BS 1363 plug with a BS 1362 fuse, 13 A: what one plug carries; the house's circuit is not "
    f"known here, and neither gives a share for a continuous load: {_MARGIN}"
)
_JP = f"JIS C 8303 outlet, 15 A (from memory); {_MARGIN}"
_EUROPE = (230.0, 207.0, 253.0, (50,))
_US = (120.0, 110.0, 127.0, (60,))
_JAPAN = (100.0, 95.0, 107.0, (50, 60))
_EN_50160 = "EN 50160 4.2.2: 230 V within 10 %"
_ANSI = "ANSI C84.1, range B of the service voltage: 110 to 127 V (from memory)"
_101_V = "101 V within 6 V by the ordinance to Japan's Electricity Business Act (from memory)"
CIRCUIT_RULES: dict[str, CircuitRule] = {
    "us_15a": CircuitRule("US", *_US, 15.0, 0.8, _ANSI, _NEC),
    "us_20a": CircuitRule("US", *_US, 20.0, 0.8, _ANSI, _NEC),
    "uk_13a": CircuitRule("UK", *_EUROPE, 13.0, MARGIN, _EN_50160, _UK),
    "eu_16a": CircuitRule("continental Europe", *_EUROPE, 16.0, MARGIN, _EN_50160, _MARGIN),
    "eu_10a": CircuitRule("continental Europe", *_EUROPE, 10.0, MARGIN, _EN_50160, _MARGIN),
    "jp_15a": CircuitRule("Japan", *_JAPAN, 15.0, MARGIN, _101_V, _JP),
}
"""Usual outlets, from memory. Only the US share is a rule of code; the others are a habit."""

FUSED = ("uk_13a",)
"""Outlets whose plug has a fuse of that rating: BS 1363, from memory."""

LAMP_WITHIN = 0.1
"""How far the mains may lie from what a filament lamp is made for. At a tenth more its light is up
by 38 % and its life under a third (exponents 3.4 and -13, see `dimmer`), so more is
no lamp for this supply: an estimate of what a set would put up with, no source."""


def suits(lamp_v: float, mains_v: float) -> bool:
    """Whether a filament lamp made for `lamp_v` may run at `mains_v`: within `LAMP_WITHIN`, an
    estimate."""
    return abs(mains_v - positive("lamp_v", lamp_v)) <= LAMP_WITHIN * lamp_v


def rule(name: str) -> CircuitRule:
    """The rule of that name, whose `source` names where it is from; else ValueError with the names.

    All from memory, see `CIRCUIT_RULES`.
    """
    if name not in CIRCUIT_RULES:
        raise ValueError(f"a circuit is one of {', '.join(CIRCUIT_RULES)}, not {name!r}")
    return CIRCUIT_RULES[name]
