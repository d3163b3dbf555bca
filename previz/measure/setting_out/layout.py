"""The whole set as a plan draws it: what stands where, in SI, with every direction worked out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString

from previz.geometry.doors import leaf_in_plan_m
from previz.geometry.openings import OpeningShape
from previz.geometry.piece import bounds
from previz.geometry.walls import Wall, cut_outline
from previz.measure.continuity.line import line_of
from previz.measure.gear.floor import LEGS_M, Outlines, aisle_m, footprint_m
from previz.measure.gear.held import operator_of
from previz.measure.setting_out.beams import BeamEdge, beam_edges
from previz.measure.setting_out.cables import CableRun, cable_runs, fed_lights
from previz.measure.setting_out.marks import Mark, corners_of, marks_of_scan, wall_words
from previz.measure.setting_out.rows import Row, column_m, rows_of
from previz.measure.setting_out.tapes import Surveyor
from previz.measure.setting_out.zones import Zones, zones_of
from previz.model.room import Opening
from previz.stage.furnishing import wall_number
from previz.stage.placed import StageLight
from previz.stage.room import opening_shape
from previz.stage.stage import Array, Stage, StageCamera, StagePerson, Thing

BEYOND_M = 0.6
"""The line of action is drawn this far past the two people: an estimate."""
DEPTH_OF_VIEW = 2.0
"""In a scan, without walls, an angle of view is drawn as far as this times the focus
distance: an estimate."""


@dataclass(frozen=True, eq=False)
class PlacedWall:
    """A wall by its name, with its outline in plan."""

    name: str
    wall: Wall


@dataclass(frozen=True, eq=False)
class PlacedOpening:
    """A hole in a wall: its outline in plan (4, 2); of a door also leaf and swing (n, 2)."""

    name: str
    opening: Opening
    wall: Wall
    hole_m: Array
    leaf_m: Array | None
    swing_m: Array | None


@dataclass(frozen=True, eq=False)
class PlacedPiece:
    """Furniture or a seat: outline in plan (n, 2), lowest and highest point."""

    name: str
    kind: Literal["furniture", "seat"]
    outline_m: Array
    low_m: float
    high_m: float


@dataclass(frozen=True, eq=False)
class PlacedPerson:
    """A person: landmarks, which way the body faces, whose eyes or lens they look at (3,)."""

    name: str
    person: StagePerson
    outline_m: Array
    facing: Array
    looks_at_m: Array | None


@dataclass(frozen=True, eq=False)
class PlacedCamera:
    """A camera: the edges of its angle of view in plan as ends (2, 2), its legs, the way past.

    operator_m  outline in plan (n, 2) of whoever holds it; (0, 2): nobody does, it stands
    """

    name: str
    camera: StageCamera
    row: Row
    edges_m: Array
    legs_m: Array
    operator_m: Array
    aisle_m: float | None


@dataclass(frozen=True, eq=False)
class PlacedLight:
    """A light, board or flag: its column in plan, its legs, the edges of its beam."""

    name: str
    light: StageLight
    row: Row
    column_m: Array | None
    legs_m: Array
    beam: BeamEdge | None


@dataclass(frozen=True, eq=False)
class Layout:
    """All of it. `fed` are the lights on the mains; `boom_m` the boom's legs and microphone."""

    title: str
    digest: str
    stage: Stage
    floor_m: Array
    height_m: float | None
    walls: tuple[PlacedWall, ...]
    marks: tuple[Mark, ...]
    openings: tuple[PlacedOpening, ...]
    pieces: tuple[PlacedPiece, ...]
    people: tuple[PlacedPerson, ...]
    cameras: tuple[PlacedCamera, ...]
    lights: tuple[PlacedLight, ...]
    line_m: Array | None
    boom_m: tuple[Array, Array] | None
    sockets: Mapping[str, Array]
    fed: tuple[str, ...]
    cables: tuple[CableRun, ...]
    zones: Zones
    rows: tuple[Row, ...]

    @property
    def extent_m(self) -> Array:
        """Corners (2, 2) of a box in plan round walls, marks and all that stands."""
        points = [wall.wall.outline_m for wall in self.walls]
        points += [np.array([mark.at_m for mark in self.marks])]
        points += [np.array([row.at_m for row in self.rows])]
        every = np.concatenate(points)
        return np.array([every.min(axis=0), every.max(axis=0)])


def lay_out(stage: Stage, walk_m: float) -> Layout:
    """Work out a plan of a stage; `walk_m` is the least width of a way to walk."""
    outlines = Outlines(stage)
    rows = rows_of(stage, Surveyor(stage, outlines))
    by_name = {row.name: row for row in rows}
    things = {thing.name: thing for thing in stage.things}
    shape = stage.room.shape
    words = wall_words(stage.room.walls)
    walls = tuple(PlacedWall(words[n], wall) for n, wall in sorted(stage.room.walls.items()))
    return Layout(
        title=stage.title,
        digest=stage.digest,
        stage=stage,
        floor_m=np.zeros((0, 2)) if shape is None else np.asarray(shape.corners_m, float),
        height_m=None if shape is None else shape.height_m,
        walls=walls,
        marks=corners_of(stage.room) or marks_of_scan(stage),
        openings=tuple(_opening(n, o, stage) for n, o in stage.room.openings.items()),
        pieces=tuple(_piece(t, outlines) for t in stage.things if t.kind == "furniture"),
        people=tuple(_person(n, stage, things, outlines) for n in stage.people),
        cameras=tuple(_camera(n, stage, by_name, things, outlines) for n in stage.cameras),
        lights=tuple(_light(n, stage, by_name, things, outlines) for n in stage.lights),
        line_m=_line(stage),
        boom_m=_boom(things, outlines),
        sockets=stage.sockets,
        fed=tuple(light.name for light in fed_lights(stage)),
        cables=cable_runs(stage, outlines, stage.sockets),
        zones=zones_of(stage, outlines, walk_m),
        rows=rows,
    )


def _opening(name: str, opening: Opening, stage: Stage) -> PlacedOpening:
    wall = stage.room.walls[wall_number(opening.wall)]
    hole = np.asarray(cut_outline(wall, opening.along_m, opening.width_m).exterior.coords)[:-1]
    if opening.kind != "door":
        return PlacedOpening(name, opening, wall, hole, None, None)
    shape = opening_shape(name, opening)
    turns = np.linspace(0.0, max(90.0, opening.open_deg), 25)
    leaves = [leaf_in_plan_m(_opened(shape, turn), wall) for turn in turns]
    # Shut doors are drawn open, as is usual on plans.
    leaf = leaf_in_plan_m(shape, wall) if opening.open_deg > 0.0 else leaves[-1]
    return PlacedOpening(name, opening, wall, hole, leaf, np.array([one[1] for one in leaves]))


def _opened(shape: OpeningShape, turn_deg: float) -> OpeningShape:
    return replace(shape, leaf_open_deg=float(turn_deg))


def _piece(thing: Thing, outlines: Outlines) -> PlacedPiece:
    box = bounds(thing.pieces)
    kind: Literal["furniture", "seat"] = "seat" if thing.name.startswith("people.") else "furniture"
    outline = footprint_m(thing, outlines)
    return PlacedPiece(thing.name, kind, outline, float(box[0, 2]), float(box[1, 2]))


def _person(
    name: str, stage: Stage, things: Mapping[str, Thing], outlines: Outlines
) -> PlacedPerson:
    person = stage.people[name]
    target, looked_at = None, person.looks_at or ""
    if looked_at in stage.people:
        target = stage.people[looked_at].landmarks["eyes"]
    elif looked_at in stage.cameras:
        target = stage.cameras[looked_at].position_m
    outline = footprint_m(things[f"people.{name}"], outlines)
    return PlacedPerson(name, person, outline, -person.place[:2, 1], target)


def _camera(
    name: str,
    stage: Stage,
    rows: Mapping[str, Row],
    things: Mapping[str, Thing],
    outlines: Outlines,
) -> PlacedCamera:
    camera, thing = stage.cameras[name], things.get(f"cameras.{name}")
    legs = np.zeros((0, 2)) if thing is None else _legs(thing, outlines)
    return PlacedCamera(
        name=name,
        camera=camera,
        row=rows[f"cameras.{name}"],
        edges_m=view_edges_m(stage, camera),
        legs_m=legs,
        operator_m=_operator_m(stage, camera),
        aisle_m=aisle_m(stage, outlines, camera),
    )


def _operator_m(stage: Stage, camera: StageCamera) -> Array:
    if not stage.setups[camera.name].held:
        return np.zeros((0, 2))
    return np.asarray(operator_of(camera).exterior.coords, float)[:-1]


def view_edges_m(stage: Stage, camera: StageCamera) -> Array:
    """Where the left and the right edge of a picture, at its middle height, meet the walls.

    Plan points (2, 2); in a scan, ends at a distance.
    """
    half = camera.sensor_width_m / 2.0 / camera.focal_length_m
    rays = np.array([[-half, 0.0, -1.0], [half, 0.0, -1.0]]) @ camera.pose[:3, :3].T
    return np.array([_until_wall(stage, camera, ray[:2]) for ray in rays])


def _until_wall(stage: Stage, camera: StageCamera, ray: Array) -> Array:
    here = camera.position_m[:2]
    ahead = ray / max(float(np.linalg.norm(ray)), 1e-9)
    if stage.room.shape is None:
        return np.asarray(here + DEPTH_OF_VIEW * camera.focus_distance_m * ahead)
    corners = np.asarray(stage.room.shape.corners_m, float)
    reach_m = float(np.linalg.norm(np.ptp(corners, axis=0)))
    hits = LineString([here, here + reach_m * ahead]).intersection(
        LineString([*corners, corners[0]])
    )
    points = shapely.get_coordinates(hits)
    if not len(points):
        return np.asarray(here + reach_m * ahead)
    return np.asarray(points[np.linalg.norm(points - here, axis=1).argmin()], float)


def _light(
    name: str,
    stage: Stage,
    rows: Mapping[str, Row],
    things: Mapping[str, Thing],
    outlines: Outlines,
) -> PlacedLight:
    light = stage.lights[name]
    thing = things.get(light.thing)
    column = None if thing is None else column_m(thing)
    legs = np.zeros((0, 2)) if thing is None or column is None else _legs(thing, outlines)
    beam = beam_edges(stage, light)
    return PlacedLight(name, light, rows[light.thing], column, legs, beam)


def _legs(thing: Thing, outlines: Outlines) -> Array:
    legs = outlines.of(thing, 0.0, LEGS_M)
    return np.zeros((0, 2)) if legs.is_empty else np.asarray(legs.exterior.coords, float)[:-1]


def _boom(things: Mapping[str, Thing], outlines: Outlines) -> tuple[Array, Array] | None:
    """Legs (n, 2) of the boom's stand, and the microphone's middle (3,)."""
    boom = things.get("sound.boom")
    if boom is None:
        return None
    microphone = [piece for piece in boom.pieces if piece.name == "microphone"]
    return _legs(boom, outlines), bounds(microphone).mean(axis=0)


def _line(stage: Stage) -> Array | None:
    """Ends (2, 2) of the line of action, drawn past guest and interviewer."""
    line = line_of(stage)
    if line is None:
        return None
    here, there = (stage.people[n].landmarks["eyes"][:2] for n in (line.guest, line.interviewer))
    along = (there - here) / math.dist(here, there)
    return np.array([here - BEYOND_M * along, there + BEYOND_M * along])
