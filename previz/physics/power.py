"""What the lights draw and what a circuit may carry continuously. Local code and licensed practice
decide; these figures only warn early.
"""

from __future__ import annotations

from dataclasses import dataclass

from previz.physics.checks import not_negative, positive, within


def current_a(power_w: float, voltage_v: float, power_factor: float = 1.0) -> float:
    """Current of a single-phase load: P / (V x power factor)."""
    within("power_factor", power_factor, 1e-6, 1.0)
    return not_negative("power_w", power_w) / (positive("voltage_v", voltage_v) * power_factor)


def power_w(current_a: float, voltage_v: float, power_factor: float = 1.0) -> float:
    """Real power at a current: I V x power factor."""
    within("power_factor", power_factor, 1e-6, 1.0)
    return not_negative("current_a", current_a) * positive("voltage_v", voltage_v) * power_factor


def energy_kwh(power_w: float, hours: float) -> float:
    """Energy over time."""
    return not_negative("power_w", power_w) * not_negative("hours", hours) / 1000.0


@dataclass(frozen=True)
class CircuitRule:
    """How much of a breaker's rating a load of hours may take, where, and who says so."""

    country: str
    voltage_v: float
    breaker_a: float
    continuous_share: float
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


_NEC = "NFPA 70 (NEC) 210.20(A): breaker at 125 % of continuous load, from memory; US only"
_MARGIN = "80 % as a voluntary margin: common practice, no source"
CIRCUIT_RULES: dict[str, CircuitRule] = {
    "us_15a": CircuitRule("US", 120.0, 15.0, 0.8, _NEC),
    "us_20a": CircuitRule("US", 120.0, 20.0, 0.8, _NEC),
    "uk_13a": CircuitRule("UK", 230.0, 13.0, 1.0, "BS 1363 outlet, fused at 13 A"),
    "eu_16a": CircuitRule("continental Europe", 230.0, 16.0, 0.8, _MARGIN),
    "eu_10a": CircuitRule("continental Europe", 230.0, 10.0, 0.8, _MARGIN),
}
"""Usual outlets, from memory. Only the US share is a rule of code; the others are the fuse
(BS 1363) or a habit."""


FUSED = ("uk_13a",)
"""Outlets whose plug has a fuse of that rating."""


def smallest_breaker_a(continuous_a: float, other_a: float = 0.0, share: float = 0.8) -> float:
    """Least breaker rating for a mixed load: continuous / share + the rest (NEC 210.20(A))."""
    within("share", share, 1e-6, 1.0)
    return not_negative("continuous_a", continuous_a) / share + not_negative("other_a", other_a)


def rule(name: str) -> CircuitRule:
    """The rule of that name; ValueError listing the names there are."""
    if name not in CIRCUIT_RULES:
        raise ValueError(f"a circuit is one of {', '.join(CIRCUIT_RULES)}, not {name!r}")
    return CIRCUIT_RULES[name]
