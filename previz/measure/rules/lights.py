"""Findings on the lights' stands: too high, through the ceiling, in another's or a door's way."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.gear.stands import Meeting
from previz.measure.measured import Measured
from previz.measure.rules.cautions import DECIDE
from previz.measure.rules.findings import CATALOGUE, GEOMETRY, PRACTICE, Finding, spoken
from previz.scenefile.wording import listed

SLACK_M = 0.01


def light_findings(measured: Measured) -> Iterator[Finding]:
    """Stands out of reach, heads in ceiling or wall, stands in one another and before doors."""
    yield from _reach(measured)
    yield from _outside(measured)
    yield from _crossed(measured)
    yield from _doorways(measured)


def _reach(measured: Measured) -> Iterator[Finding]:
    for name, light in measured.stands.lights.items():
        if light.reach_m is None:
            continue
        low, high = light.reach_m
        if low - SLACK_M <= light.height_m <= high + SLACK_M:
            continue
        above = light.height_m > high
        limit = high if above else low
        cure = (
            "take a taller stand, or a lower place"
            if above
            else "take a floor stand, or hang it from an arm"
        )
        yield Finding(
            "stand_reach",
            "warning",
            f"lights.{name}",
            f"{name} is set {light.height_m:.2f} m high, and its usual stand goes "
            f"{'no higher' if above else 'no lower'} than {limit:.2f} m: {cure}",
            light.height_m,
            limit,
            "m",
            CATALOGUE,
        )


def _outside(measured: Measured) -> Iterator[Finding]:
    for meeting in measured.stands.outside:
        yield Finding(
            f"light_in_{meeting.other}",
            "fault",
            meeting.first,
            f"the {meeting.part} of {spoken(meeting.first)} reaches {100 * meeting.depth_m:.0f} cm "
            f"into the {meeting.other}: {_back_in(meeting)}",
            meeting.depth_m,
            0.0,
            "m",
            GEOMETRY,
        )


def _back_in(meeting: Meeting) -> str:
    if meeting.part == "boom arm":
        return "turn it another way (boom_turn_deg), or bring the light in"
    return f"bring it {'down' if meeting.other == 'ceiling' else 'in'}"


def _crossed(measured: Measured) -> Iterator[Finding]:
    for meeting in measured.stands.crossed:
        yield Finding(
            "stand_in_stand",
            "warning",
            meeting.first,
            f"{spoken(meeting.first)} and {spoken(meeting.other)} have their legs in one another, "
            f"{100 * meeting.depth_m:.0f} cm deep: move one",
            meeting.depth_m,
            0.0,
            "m",
            GEOMETRY,
        )


def _doorways(measured: Measured) -> Iterator[Finding]:
    for door in measured.stands.doorways:
        least = min(measured.rules.aisle_min_m, door.width_m)
        if door.free_m >= least:
            continue
        names = listed([spoken(stand) for stand in door.stands], "and")
        one = len(door.stands) == 1
        stand, leave = ("stands", "leaves") if one else ("stand", "leave")
        yield Finding(
            "doorway",
            "warning",
            f"openings.{door.name}",
            f"{names} {stand} before {door.name} and {leave} {100 * door.free_m:.0f} cm of "
            f"{100 * door.width_m:.0f} to pass: keep the way out clear; {DECIDE}",
            door.free_m,
            least,
            "m",
            f"{GEOMETRY}; {PRACTICE}",
        )
