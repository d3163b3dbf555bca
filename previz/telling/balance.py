"""What balancing found: dimmers, ND, and how near each target comes; as text, JSON and remarks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from previz.solve.balance import Balance, Dimmed, TargetResult
from previz.telling.numbers import fixed, plain, signed
from previz.telling.quantities import told

APART_PCT = 0.5
"""A dimmer whose control stands this near to its light needs no second number: an estimate."""


def balance_lines(found: Balance) -> Iterator[str]:
    """What was found, in sentences."""
    for name, dimmed in found.lights.items():
        control = _control(dimmed)
        dial = f" (dimmer at {control})" if control else ""
        before, after = plain(dimmed.before_pct), plain(dimmed.after_pct)
        yield f"{name}: {before} % -> {after} % of its light{dial}"
    for name, gelled in found.windows.items():
        yield f"{name}: ND {plain(gelled.before)} -> {plain(gelled.after)}"
    for target in found.targets:
        yield from _target(target)


def _target(target: TargetResult) -> Iterator[str]:
    name = target.target.replace("_", " ").replace("/", " ")
    is_ratio = target.unit == "ratio"
    unit, number = (" : 1", fixed) if is_ratio else (f" {target.unit}", signed)
    said = f"{name}: {number(target.got, 1)}{unit}, wanted {number(target.wanted, 1)}"
    side = "over" if target.off_stops > 0 else "short"
    off = "reached" if target.reached else f"{fixed(abs(target.off_stops), 1)} stops {side}"
    yield f"{said}: {off}"
    yield from (f"  {cure}" for cure in target.cures)


def balance_heading(title: str, found: Balance) -> str:
    """What the settings are for, as a file of them begins."""
    return (
        f"{title}: dimmers and ND by previz balance,\n"
        f"for camera {found.camera} on {found.subject}. Dimmers are in per cent of the light."
    )


def dimmer_remark(dimmed: Dimmed) -> str:
    """What stands beside a dimmer in such a file."""
    control = _control(dimmed)
    return f"was {plain(dimmed.before_pct)}" + (f"; set its dimmer to {control}" if control else "")


def _control(dimmed: Dimmed) -> str:
    """Where the control stands, if it is not where the light is."""
    return fixed(dimmed.knob_pct) if abs(dimmed.knob_pct - dimmed.after_pct) > APART_PCT else ""


def balance_json(found: Balance) -> dict[str, Any]:
    """The same by name."""
    by_name: dict[str, Any] = told(
        {
            "camera": found.camera,
            "subject": found.subject,
            "lights": {
                name: {
                    "dimmer_pct_before": dimmed.before_pct,
                    "dimmer_pct": dimmed.after_pct,
                    "dimmer_setting_pct": dimmed.knob_pct,
                }
                for name, dimmed in found.lights.items()
            },
            "windows": {
                name: {"gel_nd_before": gelled.before, "gel_nd": gelled.after}
                for name, gelled in found.windows.items()
            },
            "targets": [
                {
                    "target": target.target,
                    "wanted": target.wanted,
                    "got": target.got,
                    "unit": target.unit,
                    "off_stops": target.off_stops,
                    "reached": target.reached,
                    "cures": list(target.cures),
                }
                for target in found.targets
            ],
            "reached": found.reached,
        }
    )
    return by_name
