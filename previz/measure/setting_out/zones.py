"""Parts of the floor: what is kept clear, where a hot lamp burns, where one can walk."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from previz.measure.gear.floor import BODY_M, LOW_M, Outlines
from previz.measure.gear.heat import stand_off_m
from previz.measure.gear.stands import doorway
from previz.measure.setting_out.marks import floor_polygon
from previz.stage.furnishing import wall_number
from previz.stage.stage import Array, Stage

CRUMB_M2 = 0.3
"""Free floor smaller than this is no room to walk: an estimate."""


@dataclass(frozen=True, eq=False)
class HotZone:
    """Round a hot lamp that is on: nothing that burns within `radius_m` of its face."""

    light: str
    at_m: Array
    radius_m: float


@dataclass(frozen=True, eq=False)
class Zones:
    """`clear` by door, (4, 2) each; `walk` as rings (n, 2), outlines and holes together."""

    clear: dict[str, Array]
    hot: tuple[HotZone, ...]
    walk: tuple[Array, ...]


def zones_of(stage: Stage, outlines: Outlines, width_m: float) -> Zones:
    """Zones of a set; one can walk where a way `width_m` wide is free."""
    walls = stage.room.walls
    return Zones(
        clear={
            name: np.asarray(doorway(o, walls[wall_number(o.wall)]).exterior.coords, float)[:-1]
            for name, o in stage.room.openings.items()
            if o.kind != "window"
        },
        hot=tuple(
            HotZone(name, light.position_m, stand_off_m(light.fixture))
            for name, light in stage.lights.items()
            if light.on and light.fixture.hot
        ),
        walk=_walk(stage, outlines, width_m),
    )


def _walk(stage: Stage, outlines: Outlines, width_m: float) -> tuple[Array, ...]:
    """Free floor, opened by a disc of that width: what is narrower falls away."""
    floor = floor_polygon(stage)
    if floor is None:
        return ()
    things = [outlines.of(t, LOW_M, BODY_M) for t in stage.things if t.kind != "room"]
    free = floor.difference(shapely.union_all(things)) if things else floor
    wide = free.buffer(-width_m / 2.0).buffer(width_m / 2.0)
    parts = [p for p in shapely.get_parts(wide) if isinstance(p, Polygon) and p.area > CRUMB_M2]
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    return tuple(np.asarray(ring.coords, float)[:-1] for ring in rings)
