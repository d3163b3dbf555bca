"""The plan of the set for the page's map: outlines in metres, x east, y north."""

from __future__ import annotations

import math
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from previz.geometry.walls import cut_outline
from previz.measure.gear.floor import Outlines, footprint_m
from previz.stage.furnishing import wall_number
from previz.stage.stage import Array, Stage, Thing

DIGITS = 3
"""Millimetres."""
Points = list[list[float]]

_OUTLINES: WeakKeyDictionary[Thing, Points] = WeakKeyDictionary()
"""Outlines of things that were drawn before: most things are the same in the next version."""


def plan_json(stage: Stage) -> dict[str, Any]:
    """Walls, openings, furniture, people, lights and cameras as the map draws them."""
    outlines = Outlines(stage)
    things = [thing for thing in stage.things if thing.kind == "furniture"]
    shape = stage.room.shape
    return {
        "floor": [] if shape is None else _points(np.asarray(shape.corners_m, float)),
        "walls": [_points(wall.outline_m) for wall in stage.room.walls.values()],
        "openings": _openings(stage),
        "furniture": [o for o in (_outline(thing, outlines) for thing in things) if o],
        "people": {
            name: {
                "at": _point(person.landmarks["eyes"][:2]),
                "facing": _point(person.face_forward[:2]),
                "outline": _person(name, stage, outlines),
            }
            for name, person in stage.people.items()
        },
        "lights": {
            name: {
                "at": _point(light.position_m[:2]),
                "aim": _point(light.aim_m[:2]),
                "lit": light.output > 0.0 and light.fixture.emits,
            }
            for name, light in stage.lights.items()
        },
        "cameras": {
            name: {
                "at": _point(camera.position_m[:2]),
                "turn_deg": round(
                    math.degrees(math.atan2(camera.forward[1], camera.forward[0])), 2
                ),
                "angle_deg": round(math.degrees(camera.horizontal_angle_rad), 2),
                "focus_m": round(camera.focus_distance_m, DIGITS),
            }
            for name, camera in stage.cameras.items()
        },
    }


def _openings(stage: Stage) -> list[dict[str, Any]]:
    """Each with its two ends on the wall's inner face, and how deep the wall is behind it."""
    walls = stage.room.walls
    found = []
    for name, opening in stage.room.openings.items():
        wall = walls.get(wall_number(opening.wall))
        if wall is not None:
            hole = cut_outline(wall, opening.along_m, opening.width_m)
            outline = _points(np.asarray(hole.exterior.coords)[:-1])
            found.append({"name": name, "kind": opening.kind, "outline": outline})
    return found


def _person(name: str, stage: Stage, outlines: Outlines) -> Points:
    found = [thing for thing in stage.things if thing.name == f"people.{name}"]
    return _outline(found[0], outlines) if found else []


def _outline(thing: Thing, outlines: Outlines) -> Points:
    """Outline of what of a thing is met between floor and head height."""
    if thing not in _OUTLINES:
        _OUTLINES[thing] = _points(footprint_m(thing, outlines))
    return _OUTLINES[thing]


def _points(points: Array) -> Points:
    return [_point(point) for point in points]


def _point(point: Array) -> list[float]:
    return [round(float(value), DIGITS) for value in point[:2]]
