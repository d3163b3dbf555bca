"""What the lights draw, by circuit, against what each circuit may carry.

Planned at full power: every light that is plugged in counts with all it can draw, dimmed or
not, on or off, for on the day it will be turned up. What it draws as set is information.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from previz.model.power import Circuit
from previz.model.records import Fixture
from previz.physics import power
from previz.physics.dimmer import filament_power_share
from previz.stage.placed import StageLight
from previz.stage.stage import Stage

ONLY_CIRCUIT = "mains"
"""Name of the one circuit of a scene that gives none."""
COUNTED = "every light at full power, dimmed or off as well, and what else runs on the circuit"
"""What a load counts."""


@dataclass(frozen=True)
class CircuitLoad:
    """One circuit.

    load_w        lights at full power, and what else runs on it
    load_va       the same as apparent power; power factors are summed as if in phase, which
                  is the most it can be
    as_set_w      as the dimmers are set, about
    current_a     at the mains voltage
    breaker_a     what its breaker or fuse is rated for
    cut_by        which of the two it is
    continuous_a  what it may carry continuously, three hours or more
    """

    lights: tuple[str, ...]
    load_w: float
    load_va: float
    as_set_w: float
    current_a: float
    breaker_a: float
    continuous_a: float
    cut_by: Literal["breaker", "fuse"] = "breaker"

    @property
    def breaker_used_pct(self) -> float:
        """Share of the breaker's rating that is taken."""
        return 100.0 * self.current_a / self.breaker_a

    @property
    def continuous_used_pct(self) -> float:
        """Share of what it may carry continuously, three hours or more that is taken."""
        return 100.0 * self.current_a / self.continuous_a

    @property
    def headroom_a(self) -> float:
        """Current left continuously; below 0 when it is too much."""
        return self.continuous_a - self.current_a


@dataclass(frozen=True)
class Load:
    """The whole set. `outlet_a` is what one plug of the usual outlet may carry."""

    mains_v: float
    country: str
    source: str
    outlet_a: float
    continuous_share: float
    hours: float
    currents_a: Mapping[str, float]
    circuits: Mapping[str, CircuitLoad]

    @property
    def load_w(self) -> float:
        """All circuits together, watts."""
        return sum(circuit.load_w for circuit in self.circuits.values())

    @property
    def as_set_w(self) -> float:
        """The same as the dimmers are set, about."""
        return sum(circuit.as_set_w for circuit in self.circuits.values())

    @property
    def energy_kwh(self) -> float:
        """Over the recording's hours at full power: the most it can be."""
        return power.energy_kwh(self.load_w, self.hours)


def load_of(stage: Stage) -> Load:
    """Load of a set. Lights without a circuit are on the first; none given: all on `mains`."""
    mains = stage.mains.power
    rule = power.rule(mains.outlet)
    mains_v = mains.mains_v or rule.voltage_v
    fused = mains.outlet in power.FUSED
    given = dict(mains.circuits) or {ONLY_CIRCUIT: Circuit()}
    first = next(iter(given))
    fed = {name: light for name, light in stage.lights.items() if light.fixture.emits}
    circuits = {}
    for name, circuit in given.items():
        on_it = [n for n, light in fed.items() if (light.setting.circuit or first) == name]
        breaker_a = circuit.breaker_a or rule.breaker_a
        load_va = sum(_apparent_va(fed[light].fixture) for light in on_it) + circuit.other_w
        circuits[name] = CircuitLoad(
            lights=tuple(on_it),
            load_w=sum(fed[light].fixture.power_w for light in on_it) + circuit.other_w,
            load_va=load_va,
            as_set_w=sum(drawn_w(fed[light]) for light in on_it) + circuit.other_w,
            current_a=power.current_a(load_va, mains_v),
            breaker_a=breaker_a,
            continuous_a=breaker_a * rule.continuous_share,
            cut_by="fuse" if fused and circuit.breaker_a is None else "breaker",
        )
    currents = {
        name: power.current_a(light.fixture.power_w, mains_v, light.fixture.power_factor)
        for name, light in fed.items()
    }
    return Load(
        mains_v=mains_v,
        country=rule.country,
        source=rule.source,
        outlet_a=rule.breaker_a,
        continuous_share=rule.continuous_share,
        hours=stage.programme.recording.hours,
        currents_a=currents,
        circuits=circuits,
    )


def drawn_w(light: StageLight) -> float:
    """What a light draws as set, about: a dimmed filament more than its share of light.

    Anything else, an LED, is taken to draw in proportion to its light: an estimate.
    """
    fixture, share = light.fixture, light.output
    return fixture.power_w * (filament_power_share(share) if fixture.filament else share)


def _apparent_va(fixture: Fixture) -> float:
    return fixture.power_w / fixture.power_factor
