"""The room: floor, walls with their openings cut through, ceiling, joinery and mouldings.

Every part is a closed solid. Walls stand outside the floor polygon, floor and ceiling slabs
run under and over them, so that a room without openings lets no light through and every face
seen from inside is there once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from shapely.geometry import Polygon

from previz.geometry import mouldings, plan
from previz.geometry.doors import architrave_reach_m, door
from previz.geometry.mesh import Mesh
from previz.geometry.openings import (
    OpeningShape,
    hole,
    opening_name,
    problems_in_walls,
)
from previz.geometry.piece import Array, Piece
from previz.geometry.plan import rectangle
from previz.geometry.solid import cut, prism, swept, together
from previz.geometry.walls import Wall, cut_outline, outer_outline, wall_problems, walls_round
from previz.geometry.windows import Portal, portal, window

__all__ = [
    "RECTANGLE_WALLS",
    "BuiltRoom",
    "OpeningShape",
    "Portal",
    "RoomShape",
    "Wall",
    "build_room",
    "opening_problems",
    "rectangle",
    "shape_problems",
]

SLAB_THICKNESS_M = 0.2
# Walls of `rectangle` by plan direction.
RECTANGLE_WALLS = {"south": 1, "east": 2, "north": 3, "west": 4}


@dataclass(frozen=True, eq=False)
class RoomShape:
    """Inside of a room: its floor polygon, its height and what it is made of.

    `corners_m` (n, 2) may run either way round; walls keep the numbers this order gives them.
    `skirting_height_m` and `cornice_m` (the cove's size along wall and ceiling) may be 0: none.
    """

    corners_m: ArrayLike
    height_m: float
    wall_thickness_m: float = 0.25
    wall_material: str = "painted_plaster"
    floor_material: str = "oak_boards"
    ceiling_material: str = "ceiling_white"
    skirting_height_m: float = 0.09
    skirting_material: str = "painted_wood"
    cornice_m: float = 0.0


@dataclass(frozen=True, eq=False)
class BuiltRoom:
    """The pieces of a room in world metres, its windows' portals, and its walls by number."""

    pieces: tuple[Piece, ...]
    portals: tuple[Portal, ...]
    walls: tuple[Wall, ...]


def shape_problems(shape: RoomShape) -> list[str]:
    """Everything that keeps `shape` from being built, one sentence each; empty when it can be."""
    texts = []
    if not 0 < shape.height_m < np.inf:
        texts.append("the room's height must be finite and more than 0")
    if not 0 < shape.wall_thickness_m < np.inf:
        texts.append("the walls' thickness must be finite and more than 0")
    trims = shape.skirting_height_m + shape.cornice_m
    if min(shape.skirting_height_m, shape.cornice_m) < 0 or trims >= shape.height_m:
        texts.append("skirting and cornice must not be negative and must fit the room's height")
    outline = plan.polygon_problems(np.asarray(shape.corners_m, dtype=float))
    if outline or texts:
        return texts + outline
    return wall_problems(walls_round(shape.corners_m, shape.wall_thickness_m), shape.corners_m)


def opening_problems(shape: RoomShape, openings: Sequence[OpeningShape]) -> list[tuple[int, str]]:
    """Every fault of every opening: (its place in the list from 0, one sentence).

    Empty when `shape` itself has problems: there are no walls to hold openings against.
    """
    if shape_problems(shape):
        return []
    walls = walls_round(shape.corners_m, shape.wall_thickness_m)
    return problems_in_walls(walls, shape.height_m, openings)


def build_room(shape: RoomShape, openings: Sequence[OpeningShape] = ()) -> BuiltRoom:
    """Build the room with its openings; ValueError, one line a problem, when it cannot stand."""
    walls, portals = plan_room(shape, openings)
    return BuiltRoom(room_pieces(shape, openings, walls), portals, walls)


def plan_room(
    shape: RoomShape, openings: Sequence[OpeningShape] = ()
) -> tuple[tuple[Wall, ...], tuple[Portal, ...]]:
    """Walls by number and portals of a room; ValueError as `build_room`."""
    problems = shape_problems(shape)
    for index, text in opening_problems(shape, openings):
        problems.append(f"{opening_name(openings[index], index)}: {text}")
    if problems:
        raise ValueError("\n".join(problems))
    walls = walls_round(shape.corners_m, shape.wall_thickness_m)
    by_number = {wall.number: wall for wall in walls}
    portals = [
        portal(opening, by_number[opening.wall], index, opening_name(opening, index))
        for index, opening in enumerate(openings)
        if opening.kind == "window"
    ]
    return tuple(by_number[number] for number in sorted(by_number)), tuple(portals)


def room_pieces(
    shape: RoomShape, openings: Sequence[OpeningShape], walls: tuple[Wall, ...]
) -> tuple[Piece, ...]:
    """Pieces of a room whose `walls` stand."""
    by_number = {wall.number: wall for wall in walls}
    pieces = [
        *_slabs(shape, walls),
        *_walls(shape, walls, openings),
        *_trims(shape, walls, openings),
    ]
    for index, opening in enumerate(openings):
        wall, name = by_number[opening.wall], opening_name(opening, index)
        if opening.kind == "window":
            pieces += window(opening, wall, name)
        elif opening.kind == "door":
            pieces += door(opening, wall, name)
    return tuple(pieces)


def _slabs(shape: RoomShape, walls: tuple[Wall, ...]) -> list[Piece]:
    outline = outer_outline(walls, shape.corners_m)
    top = shape.height_m + SLAB_THICKNESS_M
    return [
        Piece("floor", prism(outline, -SLAB_THICKNESS_M, 0.0), shape.floor_material),
        Piece("ceiling", prism(outline, shape.height_m, top), shape.ceiling_material),
    ]


def _walls(
    shape: RoomShape, walls: tuple[Wall, ...], openings: Sequence[OpeningShape]
) -> list[Piece]:
    by_number = {wall.number: wall for wall in walls}
    pieces = []
    for number in sorted(by_number):
        wall = by_number[number]
        whole = prism(wall.outline_m, 0.0, shape.height_m)
        mesh = cut(whole, _holes_in(wall, by_number, shape.height_m, openings))
        if len(mesh.faces):
            grain = np.array([*wall.along, 0.0])
            pieces.append(Piece(f"wall_{number}", mesh, shape.wall_material, grain=grain))
    return pieces


def _holes_in(
    wall: Wall, by_number: dict[int, Wall], height_m: float, openings: Sequence[OpeningShape]
) -> list[Mesh]:
    """Holes of the wall's own openings, and of those in a wall whose body this one enters.

    A hole near a corner that juts into the room runs, behind the face, into the next wall.
    """
    holes = []
    for opening in openings:
        owner = by_number[opening.wall]
        shared = cut_outline(owner, opening.along_m, opening.width_m)
        if owner is wall or Polygon(wall.outline_m).intersection(shared).area > 1e-6:
            holes.append(hole(opening, owner, height_m).moved(owner.frame))
    return holes


def _trims(
    shape: RoomShape, walls: tuple[Wall, ...], openings: Sequence[OpeningShape]
) -> list[Piece]:
    """Skirting and cornice, each cut where an opening reaches its height."""
    pieces = []
    if shape.skirting_height_m > 0:
        low = [opening for opening in openings if opening.sill_m < shape.skirting_height_m]
        mesh = _trim(walls, low, mouldings.skirting_profile(shape.skirting_height_m))
        pieces += [Piece("skirting", mesh, shape.skirting_material)] if mesh else []
    if shape.cornice_m > 0:
        under = shape.height_m - shape.cornice_m
        high = [opening for opening in openings if opening.top_m > under]
        profile = mouldings.cornice_profile(shape.cornice_m, shape.height_m)
        mesh = _trim(walls, high, profile)
        pieces += [Piece("cornice", mesh, shape.ceiling_material)] if mesh else []
    return pieces


def _trim(walls: tuple[Wall, ...], openings: Sequence[OpeningShape], profile: Array) -> Mesh | None:
    cuts: dict[int, list[tuple[float, float]]] = {}
    for opening in openings:
        reach = architrave_reach_m(opening)
        stretch = (opening.along_m - reach, opening.right_m + reach)
        cuts.setdefault(opening.wall, []).append(stretch)
    runs = [
        swept(path.sections(profile), loop=path.loop) for path in mouldings.wall_paths(walls, cuts)
    ]
    return together(runs) if runs else None
