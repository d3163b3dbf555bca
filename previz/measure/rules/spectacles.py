"""Finding on spectacles: a light that veils a lens, and what takes it out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from previz.measure.light.spectacles import SpectacleLens, Veil, lenses_of, veils, walls_of
from previz.measure.measured import Measured
from previz.measure.rules.findings import GEOMETRY, PRACTICE, Finding
from previz.measure.rules.spectacle_cures import BOTHERS_STOPS, Cures, Fitting, bothers
from previz.scenefile.wording import listed
from previz.stage.stage import Stage

Found = Mapping[str, tuple[Veil, ...]]
"""Veils by camera."""


def spectacle_veils(stage: Stage) -> dict[str, tuple[Veil, ...]]:
    """By camera: what the lenses of everybody in its frame mirror toward it."""
    worn = _worn(stage)
    walls = walls_of(stage) if worn else None
    return {
        name: tuple(
            veil
            for person, lenses in worn.items()
            if walls is not None
            for veil in veils(stage, camera, person, lenses, walls)
        )
        for name, camera in stage.cameras.items()
    }


def spectacle_findings(measured: Measured, found: Found) -> Iterator[Finding]:
    """One for each light that a camera sees veil somebody's lens."""
    worn = _worn(measured.stage) if any(found.values()) else {}
    for camera, seen in found.items():
        worst: dict[tuple[str, str], Veil] = {}
        for veil in filter(bothers, seen):
            other = worst.get((veil.person, veil.light))
            if other is None or veil.covered_pct > other.covered_pct:
                worst[veil.person, veil.light] = veil
        for veil in worst.values():
            yield _finding(measured, camera, veil, worn[veil.person])


def _worn(stage: Stage) -> dict[str, tuple[SpectacleLens, ...]]:
    lenses = {name: lenses_of(stage, person) for name, person in stage.people.items()}
    return {name: pair for name, pair in lenses.items() if pair}


def _finding(
    measured: Measured, camera: str, veil: Veil, lenses: tuple[SpectacleLens, ...]
) -> Finding:
    stage = measured.stage
    movable = veil.light in stage.lights and not _of_the_room(measured, veil.light)
    fitting = Fitting(stage, stage.people[veil.person], lenses, veil.light)
    cures = fitting.cures(_ceiling_m(stage), movable=movable)
    return Finding(
        "spectacles_reflection",
        "warning",
        f"cameras.{camera}",
        f"camera {camera} sees {veil.light} mirrored over {veil.covered_pct:.0f} % of "
        f"{veil.person}'s {veil.lens} lens, {_stops(veil.stops_over_grey)} mid grey: "
        f"{_cure(measured, camera, veil, cures)}",
        veil.stops_over_grey,
        BOTHERS_STOPS,
        "stops",
        f"{GEOMETRY}; how much a lens mirrors: the catalogue's record of it, coated; {PRACTICE}",
    )


def _ceiling_m(stage: Stage) -> float:
    """Height of the room; infinite in a scan."""
    return stage.room.shape.height_m if stage.room.shape else math.inf


def _of_the_room(measured: Measured, light: str) -> bool:
    placed = measured.stage.lights.get(light)
    return placed is not None and placed.practical


def _stops(stops: float) -> str:
    return f"{abs(stops):.1f} stops {'over' if stops >= 0.0 else 'under'}"


def _cure(measured: Measured, camera: str, veil: Veil, cures: Cures) -> str:
    """What to do, least trouble first."""
    ways = []
    if cures.raised_deg is not None:
        ways.append(f"raise {veil.light} by {cures.raised_deg} deg")
    if cures.round_deg is not None:
        where = _which_way(measured, camera, veil, cures.round_deg)
        ways.append(f"move it {abs(cures.round_deg)} deg {where}")
    if cures.tipped_deg is not None and cures.tips_mm is not None:
        ways.append(
            f"lift the tips of the temples {cures.tips_mm:.0f} mm, which tips the lenses "
            f"{cures.tipped_deg} deg down"
        )
    if veil.light in measured.stage.room.openings:
        window = measured.stage.room.openings[veil.light].kind == "window"
        ways.append(f"{'draw its curtain' if window else 'shut it'} or turn the chair")
    elif _of_the_room(measured, veil.light):
        ways.append("put the lamp elsewhere")
    if not ways:
        ways.append("change its place altogether, or take the lenses out of the frame")
    return listed(ways)


def _which_way(measured: Measured, camera: str, veil: Veil, round_deg: int) -> str:
    """Whether a turn about the eyes takes a light away from the camera's line or toward it."""
    eyes_m = measured.stage.people[veil.person].landmarks["eyes"]
    to_camera = measured.stage.cameras[camera].position_m - eyes_m
    faces = [e.shape.position_m for e in measured.stage.emitters if e.layer == veil.light]
    to_light = faces[0] - eyes_m
    cross = to_camera[0] * to_light[1] - to_camera[1] * to_light[0]
    dot = to_camera[0] * to_light[0] + to_camera[1] * to_light[1]
    now_deg = math.degrees(math.atan2(cross, dot))
    then_deg = (now_deg + round_deg + 180.0) % 360.0 - 180.0
    farther = abs(then_deg) > abs(now_deg) or now_deg * then_deg < 0.0
    return f"farther round from camera {camera}" if farther else f"round toward camera {camera}"
