"""Rows of the setting-out table: where each camera, lamp, stand and seat goes, by tape."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from previz.geometry.piece import bounds
from previz.measure.setting_out.tapes import Surveyor, Tapes
from previz.stage.stage import Array, Stage, Thing
from previz.stage.supports import SupportName

RowKind = Literal["camera", "light", "stand", "seat", "person"]
COLUMN = "stand spigot"
"""The piece of a stand that its column carries: its middle is over the column's foot."""


@dataclass(frozen=True, eq=False)
class Setting:
    """A lens as it is set: as marked on it, before any adapter, and where it is focused."""

    focal_length_mm: float
    f_number: float
    t_number: float
    focus_distance_m: float
    support: SupportName = "tripod"


@dataclass(frozen=True, eq=False)
class Row:
    """One thing to set up.

    name      as the stage names it: `cameras.A`, `lights.key.stand`
    at_m      plan point (2,), plumb under what `height_m` is the height of
    height_m  of a lens (its entrance pupil), of the middle of a lamp's face; else None
    pan_rad   bearing it looks along, clockwise from plan north; None for what looks nowhere
    tilt_rad  up from level; None for a lamp without an aim
    on        whom a camera or a lamp is on; of a person, whom or which lens they look at
    outside   it stands in or behind a wall: its tapes do not find it
    """

    name: str
    kind: RowKind
    at_m: Array
    tapes: Tapes
    height_m: float | None = None
    pan_rad: float | None = None
    tilt_rad: float | None = None
    setting: Setting | None = None
    on: str | None = None
    outside: bool = False


def rows_of(stage: Stage, surveyor: Surveyor) -> tuple[Row, ...]:
    """All rows, in the order in which a set is laid out: people, cameras, lights, sound."""
    rows = (
        *_people(stage, surveyor),
        *_cameras(stage, surveyor),
        *_lights(stage, surveyor),
        *_stands(stage, surveyor),
    )
    return tuple(replace(row, outside=surveyor.is_outside(row.at_m)) for row in rows)


def bearing_rad(direction: Array) -> float:
    """Bearing of a direction in plan, clockwise from plan north, 0 to 2 pi."""
    return math.atan2(float(direction[0]), float(direction[1])) % (2.0 * math.pi)


def tilt_rad(direction: Array) -> float:
    """How far a unit vector (3,) points up from level."""
    return math.asin(max(-1.0, min(1.0, float(direction[2]))))


def column_m(thing: Thing) -> Array | None:
    """Plan point (2,) under the column of what stands on a stand; None without one."""
    spigots = [piece for piece in thing.pieces if piece.name == COLUMN]
    return bounds(spigots).mean(axis=0)[:2] if spigots else None


def _people(stage: Stage, surveyor: Surveyor) -> Iterator[Row]:
    seated = {thing.name for thing in stage.things}
    for name, person in stage.people.items():
        at_m, facing = person.place[:2, 3], -person.place[:3, 1]
        kind: RowKind = "person"
        if person.seat_with is not None or f"people.{name}.seat" in seated:
            kind = "seat"
        yield Row(
            f"people.{name}", kind, at_m, surveyor.tapes(at_m), pan_rad=bearing_rad(facing),
            on=person.looks_at,
        )  # fmt: skip


def _cameras(stage: Stage, surveyor: Surveyor) -> Iterator[Row]:
    for name, camera in stage.cameras.items():
        setup, at_m = stage.setups[name], camera.position_m[:2]
        yield Row(
            f"cameras.{name}",
            "camera",
            at_m,
            surveyor.tapes(at_m),
            height_m=float(camera.position_m[2]),
            pan_rad=bearing_rad(camera.forward),
            tilt_rad=tilt_rad(camera.forward),
            setting=Setting(
                setup.focal_length_mm,
                setup.f_number,
                camera.t_number,
                camera.focus_distance_m,
                setup.support,
            ),
            on=setup.subject,
        )


def _lights(stage: Stage, surveyor: Surveyor) -> Iterator[Row]:
    for name, light in stage.lights.items():
        at_m, toward = light.position_m[:2], light.aim_m - light.position_m
        toward = toward / np.linalg.norm(toward)
        aimed = light.setting.aim is not None or light.setting.aim_m is not None
        level = float(np.hypot(*toward[:2])) > 1e-9
        yield Row(
            f"lights.{name}",
            "light",
            at_m,
            surveyor.tapes(at_m),
            height_m=float(light.position_m[2]),
            pan_rad=bearing_rad(toward) if aimed and level else None,
            tilt_rad=tilt_rad(toward) if aimed else None,
            on=light.setting.aim,
        )


def _stands(stage: Stage, surveyor: Surveyor) -> Iterator[Row]:
    """Columns of the stands of lights and of the boom; a tripod is under its lens."""
    for thing in stage.things:
        at_m = column_m(thing) if thing.kind == "gear" else None
        if at_m is not None:
            yield Row(f"{thing.name}.stand", "stand", at_m, surveyor.tapes(at_m))
