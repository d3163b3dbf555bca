"""What a tape is held against: walls by name, corners by name, marks on the floor of a scan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from previz.geometry.room import RECTANGLE_WALLS
from previz.geometry.walls import Wall
from previz.measure.gear.floor import floor_of
from previz.stage.furnishing import wall_number
from previz.stage.placed import StageRoom
from previz.stage.stage import Array, Stage

_INWARD = {"south": (0.0, 1.0), "east": (-1.0, 0.0), "north": (0.0, -1.0), "west": (1.0, 0.0)}
SQUARE = 1e-6
"""What a direction may be off and still count as along an axis."""


@dataclass(frozen=True, eq=False)
class Mark:
    """A point on the floor (2,) that a tape can be hooked to."""

    name: str
    at_m: Array


@dataclass(frozen=True, eq=False)
class Reference:
    """One wall to measure from, at right angles.

    solid_m  stretches (from, to) along it, from its left end, where there is a wall to touch
    """

    name: str
    wall: Wall
    solid_m: tuple[tuple[float, float], ...]


def wall_words(walls: Mapping[int, Wall]) -> dict[int, str]:
    """What each wall is called: by plan direction in a room square to the plan, else by number."""
    if len(walls) == len(_INWARD) and all(
        np.abs(walls[RECTANGLE_WALLS[word]].inward - inward).max() < SQUARE
        for word, inward in _INWARD.items()
    ):
        return {number: f"{word} wall" for word, number in RECTANGLE_WALLS.items()}
    return {number: f"wall {number}" for number in walls}


def references_of(room: StageRoom) -> tuple[Reference, ...]:
    """All walls, less the doors and the holes that reach down to the floor; none in a scan."""
    words = wall_words(room.walls)
    return tuple(
        Reference(words[number], wall, _solid_m(wall, room))
        for number, wall in sorted(room.walls.items())
    )


def _solid_m(wall: Wall, room: StageRoom) -> tuple[tuple[float, float], ...]:
    holes = sorted(
        (opening.along_m, opening.along_m + opening.width_m)
        for opening in room.openings.values()
        if wall_number(opening.wall) == wall.number
        and (opening.kind != "window" or opening.sill_m == 0.0)
    )
    solid, reached = [], 0.0
    for low, high in holes:
        solid.append((reached, low))
        reached = max(reached, high)
    return (*solid, (reached, wall.length_m))


def corners_of(room: StageRoom) -> tuple[Mark, ...]:
    """The room's corners, numbered as walls are: wall k joins corner k and corner k + 1."""
    if room.shape is None:
        return ()
    corners = np.asarray(room.shape.corners_m, float)
    return tuple(Mark(f"corner {n}", corner) for n, corner in enumerate(corners, start=1))


def marks_of_scan(stage: Stage) -> tuple[Mark, Mark]:
    """Two marks for a room without walls: the south corners of the scan's bounds in plan."""
    boxes = np.array(
        [p.mesh.bounds for thing in stage.things if thing.kind == "room" for p in thing.pieces]
    )
    low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
    west, east = np.array([low[0], low[1]]), np.array([high[0], low[1]])
    return Mark("mark 1", west), Mark("mark 2", east)


def seen(floor: Polygon, here_m: Array, there_m: Array) -> bool:
    """Whether the straight way between two plan points stays on the floor."""
    return bool(shapely.covers(floor.buffer(SQUARE), LineString([here_m, there_m])))


def floor_polygon(stage: Stage) -> Polygon | None:
    """The floor in plan; None for a scan."""
    return floor_of(stage.room.shape)
