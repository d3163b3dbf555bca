"""Findings on the floor: stands in walls, people and furniture, room to walk."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.measured import Measured
from previz.measure.rules.findings import GEOMETRY, Finding, Severity, spoken

NO_WAY_M = 0.1
"""Nobody calls less than this a way: common practice, no source."""
SEVERITIES: dict[str, Severity] = {"wall": "fault", "person": "fault", "furniture": "warning"}


def floor_findings(measured: Measured) -> Iterator[Finding]:
    """Stands in what is there already, and cameras that leave no room to walk."""
    for clash in measured.clashes:
        what = "the wall" if clash.kind == "wall" else spoken(clash.other)
        yield Finding(
            f"stand_in_{clash.kind}",
            SEVERITIES[clash.kind],
            clash.stand,
            f"the legs of {spoken(clash.stand)} reach {100 * clash.depth_m:.0f} cm into {what}: "
            "move it, or spread its legs less",
            clash.depth_m,
            0.0,
            "m",
            GEOMETRY,
        )
    least = measured.rules.aisle_min_m
    for name, numbers in measured.cameras.items():
        if numbers.aisle_m is not None and numbers.aisle_m < least:
            yield Finding(
                "aisle",
                "note",
                f"cameras.{name}",
                f"camera {name} leaves {_way(numbers.aisle_m)} past, {100 * least:.0f} cm is usual",
                numbers.aisle_m,
                least,
                "m",
            )


def _way(free_m: float) -> str:
    return f"{100 * free_m:.0f} cm to walk" if free_m >= NO_WAY_M else "no way"
