"""Whoever holds a camera: where they stand, and what stands there already."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from previz.measure.gear.floor import (
    BODY_M,
    LOW_M,
    TOUCH_M2,
    Clash,
    Outlines,
    beyond_m,
    floor_of,
    overlap_m,
)
from previz.stage.stage import Stage, StageCamera
from previz.stage.supports import OPERATOR_BEHIND_M, OPERATOR_RADIUS_M


def operator_of(camera: StageCamera) -> Polygon:
    """The round place in plan of whoever holds a camera, behind it."""
    ahead = np.asarray(camera.forward[:2], float)
    ahead = ahead / max(float(np.linalg.norm(ahead)), 1e-9)
    x, y = camera.position_m[:2] - OPERATOR_BEHIND_M * ahead
    return Point(float(x), float(y)).buffer(OPERATOR_RADIUS_M)


def in_the_way(stage: Stage, outlines: Outlines, camera: StageCamera) -> tuple[Clash, ...]:
    """Wall, people, furniture and gear in the place of whoever holds a camera."""
    place, name, floor = operator_of(camera), f"cameras.{camera.name}", floor_of(stage.room.shape)
    found = []
    if floor is not None and place.difference(floor).area > TOUCH_M2:
        found.append(Clash(name, "room", "wall", beyond_m(place, floor)))
    for thing in outlines.things:
        if thing.kind == "room" or thing.owner == camera.name:
            continue
        there: BaseGeometry = outlines.of(thing, LOW_M, BODY_M)
        if place.intersection(there).area > TOUCH_M2:
            found.append(Clash(name, thing.name, thing.kind, overlap_m(place, there)))
    return tuple(found)
