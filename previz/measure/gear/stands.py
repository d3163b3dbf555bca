"""Stands of lights: how high they reach, what their heads run into, who stands in whose way."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from previz.geometry.walls import Wall
from previz.measure.gear.floor import LEGS_M, TOUCH_M2, Outlines, beyond_m, floor_of, stands_of
from previz.measure.roles import practicals_of
from previz.model.records import Fixture
from previz.model.room import Opening
from previz.physics import stability
from previz.stage.furnishing import wall_number
from previz.stage.placed import StageLight, StageRoom
from previz.stage.stage import Stage, Thing
from previz.units import kg_to_lb

COLUMN_M = 0.03
"""Half of a stand's column with its joints: an estimate."""
DOORWAY_M = 0.9
"""Depth of floor kept clear before a door (common practice, no source; local code decides)."""
SKY_M = 100.0
BOOM = ("boom", "counterweight", "sand bag", "bag strap")
"""Names of the pieces that hold a head away from its stand."""
TOLD_M = 0.005
"""What is outside by less is told as 0 cm, and touches: an estimate."""
TOUCH_M = 1e-3
"""A head that is outside by less touches the wall: an estimate."""
PUSH_N = 20.0
"""What brushing past a stand does to its head, indoors and without wind (estimate)."""
STAND_KG = 3.0
"""Weight of a light stand (estimate)."""
BAG_KG = 5.0
"""Ballast is laid on in steps of this, a small bag: common practice, no source."""
POUND_BAG_KG = 15.0 / kg_to_lb(1.0)
"""A small bag where weights are said in pounds, 15 lb: common practice, no source."""


@dataclass(frozen=True)
class LightStand:
    """One light, board or flag that is not a lamp of the room.

    height_m   middle of its face over the floor
    reach_m    lowest and highest working height on its stand; None without a stand
    weight_kg  without the stand
    legs_m     from the stand's column to a foot; 0 without a stand
    face_m2    what a wind finds of it
    """

    height_m: float
    reach_m: tuple[float, float] | None
    weight_kg: float
    legs_m: float
    face_m2: float

    @property
    def tipping_push_n(self) -> float:
        """The push at its head that tips it bare; of what is on a stand."""
        lever_m = stability.tripod_lever_m(self.legs_m)
        return stability.tipping_push_n(self.weight_kg + STAND_KG, lever_m, self.height_m)

    @property
    def ballast_kg(self) -> float:
        """What to lay on it so that brushing past does not tip it, in whole bags, one at least."""
        return BAG_KG * self.bags(BAG_KG)

    def bags(self, bag_kg: float) -> int:
        """How many bags of a weight that takes, one at least."""
        lever_m = stability.tripod_lever_m(self.legs_m)
        weight_kg = self.weight_kg + STAND_KG
        needed_kg = stability.ballast_kg(PUSH_N, self.height_m, lever_m, weight_kg)
        return max(1, math.ceil(needed_kg / bag_kg))


@dataclass(frozen=True)
class Meeting:
    """Two things in one place, and how deep, metres; `part` of the first is what is there."""

    first: str
    other: str
    depth_m: float
    part: str = "head"


@dataclass(frozen=True)
class Doorway:
    """The floor before a door: the widest way left past the stands in it."""

    name: str
    width_m: float
    free_m: float
    stands: tuple[str, ...]


@dataclass(frozen=True)
class Stands:
    """All of it. `outside` are heads in the ceiling or a wall, `above` is gear over people."""

    lights: Mapping[str, LightStand]
    crossed: tuple[Meeting, ...]
    outside: tuple[Meeting, ...]
    doorways: tuple[Doorway, ...]
    above: tuple[tuple[str, str], ...]


def measure_stands(stage: Stage, outlines: Outlines) -> Stands:
    """Measure what holds the lights; lamps of the room are left out."""
    lamps = practicals_of(stage)
    gear = [t for t in outlines.things if t.kind == "gear" and t.name not in lamps]
    lights = [thing for thing in gear if thing.name.startswith("lights.")]
    stands = [thing for thing in stands_of(outlines) if thing.name not in lamps]
    return Stands(
        lights={n: _stand(light) for n, light in stage.lights.items() if not light.practical},
        crossed=tuple(_crossed(stands, outlines)),
        outside=tuple(_outside(stage.room, lights, outlines)),
        doorways=tuple(_doorways(stage.room, stands, outlines)),
        above=tuple(_above([t for t in gear if t.owner is None], stage, outlines)),
    )


def _stand(light: StageLight) -> LightStand:
    fixture = light.fixture
    return LightStand(
        height_m=float(light.position_m[2]),
        reach_m=fixture.stand_height_m if light.on_stand else None,
        weight_kg=fixture.weight_kg,
        legs_m=fixture.stand_footprint_m / 2.0 if light.on_stand else 0.0,
        face_m2=_face_m2(fixture),
    )


def _face_m2(fixture: Fixture) -> float:
    """Area of the face, square on."""
    if fixture.width_m and fixture.height_m:
        return fixture.width_m * fixture.height_m
    across_m = fixture.diameter_m or 0.1
    if fixture.length_m:
        return across_m * fixture.length_m
    return math.pi * across_m**2 / 4.0


def _crossed(stands: list[Thing], outlines: Outlines) -> list[Meeting]:
    """Stands whose column is among another's legs; legs alone can be turned past each other."""
    found = []
    for first, other in combinations(stands, 2):
        one, two = (outlines.of(stand, 0.0, LEGS_M) for stand in (first, other))
        inside_m = max(_inside_m(one.centroid, two), _inside_m(two.centroid, one))
        if inside_m > 0.0:
            found.append(Meeting(first.name, other.name, inside_m))
    return found


def _inside_m(column: Point, legs: BaseGeometry) -> float:
    """How deep a column is inside the outline of legs; 0 outside."""
    room = legs.buffer(COLUMN_M)
    return float(column.distance(room.exterior)) if room.contains(column) else 0.0


def _outside(room: StageRoom, lights: list[Thing], outlines: Outlines) -> list[Meeting]:
    """Heads of lights that reach through the ceiling or a wall."""
    shape, floor = room.shape, floor_of(room.shape)
    if shape is None or floor is None:
        return []
    found = []
    for light in lights:
        top_m = max(float(piece.mesh.bounds[1, 2]) for piece in light.pieces)
        if top_m - shape.height_m >= TOLD_M:
            found.append(Meeting(light.name, "ceiling", top_m - shape.height_m))
        head = outlines.of(light, LEGS_M, SKY_M)
        depth_m = beyond_m(head, floor)
        if head.difference(floor).area > TOUCH_M2 and depth_m >= TOLD_M:
            part = "head" if _head_is_outside(light, floor) else "boom arm"
            found.append(Meeting(light.name, "wall", depth_m, part))
    return found


def _head_is_outside(light: Thing, floor: Polygon) -> bool:
    """Whether it is the lamp itself that is outside, and not only what carries it on a boom."""
    arm = [piece for piece in light.pieces if piece.name.startswith(BOOM)]
    head = [p for p in light.pieces if p not in arm and not p.name.startswith("stand")]
    plan = np.concatenate([piece.mesh.vertices[:, :2] for piece in head or light.pieces])
    return not arm or bool((shapely.distance(shapely.points(plan), floor) > TOUCH_M).any())


def _doorways(room: StageRoom, stands: list[Thing], outlines: Outlines) -> list[Doorway]:
    found = []
    for name, opening in room.openings.items():
        if opening.kind == "window":
            continue
        wall = room.walls[wall_number(opening.wall)]
        start = wall.left_m + opening.along_m * wall.along
        zone = doorway(opening, wall)
        spans: dict[str, tuple[float, float]] = {}
        for stand in stands:
            inside = outlines.of(stand, 0.0, LEGS_M).intersection(zone)
            if inside.area > TOUCH_M2:
                across = (shapely.get_coordinates(inside) - start) @ wall.along
                spans[stand.name] = (float(across.min()), float(across.max()))
        if spans:
            free_m = widest_gap_m(list(spans.values()), opening.width_m)
            found.append(Doorway(name, opening.width_m, free_m, tuple(spans)))
    return found


def doorway(opening: Opening, wall: Wall) -> Polygon:
    """The floor in plan before a door or a plain opening that is kept clear."""
    start = wall.left_m + opening.along_m * wall.along
    end, into = start + opening.width_m * wall.along, DOORWAY_M * wall.inward
    return Polygon([start, end, end + into, start + into])


def widest_gap_m(spans: list[tuple[float, float]], width_m: float) -> float:
    """Widest part of 0 to `width_m` that no span (from, to) covers."""
    reached, widest = 0.0, 0.0
    for low, high in sorted(spans):
        widest = max(widest, low - reached)
        reached = max(reached, high)
    return max(widest, width_m - reached)


def _above(gear: list[Thing], stage: Stage, outlines: Outlines) -> list[tuple[str, str]]:
    """Gear and the person who is under it."""
    things = {thing.name: thing for thing in outlines.things}
    found = []
    for thing in gear:
        for name, person in stage.people.items():
            own = things.get(f"people.{name}")
            if own is None:
                continue
            top_m = float(np.asarray(person.landmarks["head_top"])[2])
            over = outlines.of(thing, top_m, SKY_M)
            if over.intersection(outlines.of(own, 0.0, SKY_M)).area > TOUCH_M2:
                found.append((thing.name, name))
    return found
