"""What the lights draw, by name; `report_json` rounds."""

from __future__ import annotations

from typing import Any

from previz.measure.gear.power import COUNTED, CircuitLoad, Load


def power_json(load: Load) -> dict[str, Any]:
    """As printed by `--json`."""
    return {
        "load_w": load.load_w,
        "as_set_w": load.as_set_w,
        "mains_v": load.mains_v,
        "country": load.country,
        "circuits": {name: _circuit_json(circuit) for name, circuit in load.circuits.items()},
        "hours": load.hours,
        "energy_kwh": load.energy_kwh,
        "counted": COUNTED,
        "source": load.source,
    }


def _circuit_json(circuit: CircuitLoad) -> dict[str, Any]:
    return {
        "lights": list(circuit.lights),
        "load_w": circuit.load_w,
        "load_va": circuit.load_va,
        "as_set_w": circuit.as_set_w,
        "current_a": circuit.current_a,
        "breaker_a": circuit.breaker_a,
        "continuous_a": circuit.continuous_a,
        "breaker_used_pct": circuit.breaker_used_pct,
        "continuous_used_pct": circuit.continuous_used_pct,
        "headroom_a": circuit.headroom_a,
    }
