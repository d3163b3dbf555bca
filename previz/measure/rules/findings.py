"""What a finding is, and the sources that rules rest on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["fault", "warning", "note"]
ORDER: tuple[Severity, ...] = ("fault", "warning", "note")

PRACTICE = "common practice, no source"
CATALOGUE = "the catalogue's record"
GEOMETRY = "geometry of the scene"


@dataclass(frozen=True)
class Finding:
    """One thing to know before the day.

    rule      its name, stable
    severity  fault: the shot does not work; warning: look at it; note: good to know
    about     what it is about: `cameras.A`
    message   one sentence that says what is so and what to do
    value, limit, unit
              what was measured and what it is held against, so that the value as it stands is past
              its limit: both have one sign. Stops are positive where it is brighter. None where
              there is no number
    source    what the limit rests on
    """

    rule: str
    severity: Severity
    about: str
    message: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = PRACTICE


def spoken(thing: str) -> str:
    """A thing's name for people: `camera A` for `cameras.A`, `the seat of guest`, `the room`."""
    kind, _, name = thing.partition(".")
    if not name:
        return f"the {kind}"
    if kind == "people":
        whose, _, part = name.partition(".")
        return f"the {part} of {whose}" if part else whose
    if kind == "furniture":
        return name
    return f"{kind.removesuffix('s')} {name}" if kind != "sound" else f"the {name}"


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Faults first; otherwise as found."""
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))
