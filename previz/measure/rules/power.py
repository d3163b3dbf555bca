"""Findings on power: circuits that trip, circuits that carry too much continuously."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.gear.power import COUNTED, CircuitLoad, Load
from previz.measure.measured import Measured
from previz.measure.rules.cautions import DECIDE
from previz.measure.rules.findings import CATALOGUE, Finding
from previz.scenefile.wording import listed


def power_findings(measured: Measured) -> Iterator[Finding]:
    """Circuits that trip or carry too much, plugs that are too small, draws that nobody knows."""
    load = measured.power
    for name, circuit in load.circuits.items():
        yield from _circuit(name, circuit, load)
    yield from _plugs(load)
    yield from _unknown(measured)


def _circuit(name: str, circuit: CircuitLoad, load: Load) -> Iterator[Finding]:
    drawn = f"{circuit.load_w:.0f} W, {circuit.current_a:.1f} A at {load.mains_v:g} V"
    if circuit.current_a > circuit.breaker_a:
        yield Finding(
            "circuit_overloaded",
            "fault",
            f"power.circuits.{name}",
            f"circuit {name} would carry {drawn}, and its {circuit.cut_by} "
            f"{'blows' if circuit.cut_by == 'fuse' else 'trips'} over {circuit.breaker_a:g} A "
            f"({COUNTED}): plug {_largest(circuit, load)} in elsewhere; "
            f"{DECIDE}",
            circuit.current_a,
            circuit.breaker_a,
            "A",
            f"the {circuit.cut_by}'s rating; current = apparent power / voltage",
        )
    elif circuit.current_a > circuit.continuous_a:
        yield Finding(
            "circuit_continuous",
            "warning",
            f"power.circuits.{name}",
            f"circuit {name} would carry {drawn}: continuously no more than "
            f"{circuit.continuous_a:.1f} A, {100 * load.continuous_share:.0f} % of "
            f"{circuit.breaker_a:g} A ({load.country}); plug {_largest(circuit, load)} in "
            f"elsewhere; {DECIDE}",
            circuit.current_a,
            circuit.continuous_a,
            "A",
            f"{load.country}: {load.source}",
        )


def _largest(circuit: CircuitLoad, load: Load) -> str:
    return max(circuit.lights, key=lambda name: load.currents_a[name], default="something")


def _plugs(load: Load) -> Iterator[Finding]:
    """A circuit may be larger than the plug of one light."""
    for name, current_a in load.currents_a.items():
        if current_a > load.outlet_a:
            yield Finding(
                "plug_overloaded",
                "warning",
                f"lights.{name}",
                f"{name} alone draws {current_a:.1f} A, more than one plug for "
                f"{load.outlet_a:g} A carries: it needs a connection of its own; {DECIDE}",
                current_a,
                load.outlet_a,
                "A",
                f"{load.country}: {load.source}",
            )


def _unknown(measured: Measured) -> Iterator[Finding]:
    lights = {name: light.fixture for name, light in measured.stage.lights.items()}
    unknown = [name for name, f in lights.items() if f.emits and f.power_w == 0.0]
    if unknown:
        names = listed(unknown, "and")
        yield Finding(
            "power_unknown",
            "note",
            f"lights.{unknown[0]}",
            f"the catalogue does not say what {names} draws: it counts as nothing here; "
            "read its label",
            source=CATALOGUE,
        )
