"""Findings on the floor: stands in walls, people and furniture, room to walk."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.gear.overlaps import MARGIN_M, over_ceiling_m
from previz.measure.measured import CameraNumbers, Measured
from previz.measure.rules.findings import GEOMETRY, Finding, Severity, spoken
from previz.stage.supports import OPERATOR_BEHIND_M, OPERATOR_RADIUS_M, SUPPORTS

NO_WAY_M = 0.1
"""Nobody calls less than this a way: common practice, no source."""
SEVERITIES: dict[str, Severity] = {"wall": "fault", "person": "fault", "furniture": "warning"}


def floor_findings(measured: Measured) -> Iterator[Finding]:
    """Stands in what is there already, and cameras that leave no room to walk or to stand."""
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
    for name, numbers in measured.cameras.items():
        yield from _held(name, numbers)
    yield from _in_one_another(measured)
    yield from _through_ceiling(measured)
    least = measured.rules.aisle_min_m
    for name, numbers in measured.cameras.items():
        # Compared as it is told, in whole centimetres.
        if numbers.aisle_m is not None and round(numbers.aisle_m, 2) < round(least, 2):
            yield Finding(
                "aisle",
                "note",
                f"cameras.{name}",
                f"camera {name} leaves {_way(numbers.aisle_m)} past, {100 * least:.0f} cm is usual",
                numbers.aisle_m,
                least,
                "m",
            )


def _held(name: str, numbers: CameraNumbers) -> Iterator[Finding]:
    """A camera in somebody's hands: too low or too high for them, or no place to stand."""
    support, height = SUPPORTS[numbers.support], float(numbers.position_m[2])
    if support.lens_m is None:
        return
    low, high = support.lens_m
    if not low <= height <= high:
        limit = high if height > high else low
        yield Finding(
            "support_height",
            "warning",
            f"cameras.{name}",
            f"the lens of camera {name} is {height:.2f} m high and a {support.words} holds it "
            f"{'up to' if height > high else 'from'} {limit:.2f} m: take a tripod, or another "
            "height",
            height,
            limit,
            "m",
            "an estimate",
        )
    for clash in numbers.in_operators_way:
        what = "the wall" if clash.kind == "wall" else spoken(clash.other)
        yield Finding(
            "operator_space",
            SEVERITIES.get(clash.kind, "warning"),
            f"cameras.{name}",
            f"whoever holds camera {name} ({support.words}) would stand {100 * clash.depth_m:.0f} "
            f"cm in {what}: keep {100 * support.from_wall_m:.0f} cm free behind the lens, for the "
            f"operator's body is {100 * OPERATOR_BEHIND_M:.0f} cm behind it and reaches "
            f"{100 * OPERATOR_RADIUS_M:.0f} cm round, elbows and all",
            clash.depth_m,
            0.0,
            "m",
            f"{GEOMETRY}; a person who stands, the rig on the shoulder: an estimate",
        )


def _in_one_another(measured: Measured) -> Iterator[Finding]:
    for overlap in measured.overlaps:
        first, other = spoken(overlap.first), spoken(overlap.other)
        seats = overlap.first.startswith("people.") and overlap.other.endswith(".seat")
        whose = overlap.first.split(".")[1]
        cure = f"; if they share it, say seat_with: {whose}" if seats else ""
        yield Finding(
            "in_one_another",
            "warning",
            overlap.other,
            f"{first} and {other} are {100 * overlap.depth_m:.0f} cm in one another: move one of "
            f"them{cure}",
            overlap.depth_m,
            MARGIN_M,
            "m",
            GEOMETRY,
        )


def _through_ceiling(measured: Measured) -> Iterator[Finding]:
    for thing, over_m in over_ceiling_m(measured.stage).items():
        yield Finding(
            "through_ceiling",
            "warning",
            thing,
            f"{spoken(thing)} reaches {100 * over_m:.0f} cm over the ceiling: lower it or make it "
            "less high; base_m adds to the height at which a piece on a wall hangs by itself",
            over_m,
            MARGIN_M,
            "m",
            GEOMETRY,
        )


def _way(free_m: float) -> str:
    return f"{100 * free_m:.0f} cm to walk" if free_m >= NO_WAY_M else "no way"
