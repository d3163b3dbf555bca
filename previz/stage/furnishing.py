"""Furniture of a scene: from catalogue record to pieces standing in the room."""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from previz.catalog import Catalog
from previz.errors import CatalogError
from previz.geometry.furniture import parameters_of
from previz.geometry.furniture.lamps import unlit
from previz.geometry.once import build_furniture, emitter_of
from previz.geometry.piece import Piece, bounds
from previz.geometry.room import RECTANGLE_WALLS
from previz.geometry.walls import Wall
from previz.memory import remembered
from previz.model.furniture import Furniture
from previz.model.records import FurnitureRecord
from previz.physics.colour import linear_from_hex
from previz.scenefile.wording import listed
from previz.stage.placed import StagePiece
from previz.stage.placing import placed, turn_along_deg
from previz.stage.stage import Array, Thing
from previz.stage.standing import standing, stood

SOCKET = "wall_socket"
"""The shape that lights are plugged into."""
MEASURES = ("width_m", "depth_m", "height_m", "seat_height_m")


def seed_of(name: str, scene_seed: int) -> int:
    """A seed of its own for each thing, so that adding one changes no other."""
    return zlib.crc32(f"{scene_seed}:{name}".encode()) & 0x7FFFFFFF


def shape_parameters(record: FurnitureRecord, seed: int) -> dict[str, Any]:
    """Parameters of a record's shape. CatalogError for one that the shape does not have."""
    known = parameters_of(record.shape)
    given: dict[str, Any] = {**record.options, **record.materials}
    given |= {key: getattr(record, key) for key in MEASURES if getattr(record, key) is not None}
    if "seat_height_m" not in known:
        given.pop("seat_height_m", None)  # of a stool, which is as high as it is
    idle = [key for key in given if key not in known]
    if idle:
        raise CatalogError(
            f"{record.label}: {listed(idle, 'and')} would do nothing, for the shape {record.shape} "
            f"has no such measure; it has {listed(known, 'and')}"
        )
    return given | ({"seed": seed} if "seed" in known else {})


def furniture_pieces(
    wanted: Furniture, name: str, catalog: Catalog, scene_seed: int
) -> tuple[Piece, ...]:
    """Pieces of one furniture entry in its own frame."""
    record = catalog.furniture(wanted.piece)
    seed = wanted.seed if wanted.seed is not None else seed_of(name, scene_seed)
    parameters = shape_parameters(record, seed)
    if record.resizable:
        for key in MEASURES[:3]:
            value = getattr(wanted, key)
            if value is not None and key in parameters_of(record.shape):
                parameters[key] = value
    main = next(iter(record.materials), None)
    if wanted.material is not None and main is not None:
        parameters[main] = wanted.material
    pieces = _unlit(build_furniture(record.shape, **parameters), record.shape, parameters)
    if wanted.colour is None:
        return pieces
    material = parameters.get(main, pieces[0].material) if main else pieces[0].material
    return dyed(pieces, wanted.colour, material)


def _unlit(
    pieces: tuple[Piece, ...], shape: str, parameters: Mapping[str, Any]
) -> tuple[Piece, ...]:
    """A lamp that stands as furniture is off: its shade is there, and no light in it."""
    emitter = emitter_of(shape, **parameters)
    if emitter is None:
        return pieces
    return remembered(("unlit", pieces), lambda: (*pieces, unlit(emitter)))


def dyed(pieces: tuple[Piece, ...], colour: str, material: str) -> tuple[Piece, ...]:
    """The same with another colour, as #rrggbb, on what is of one material."""

    def dye() -> tuple[Piece, ...]:
        linear = np.asarray(linear_from_hex(colour), float)
        return tuple(replace(p, colour=linear) if p.material == material else p for p in pieces)

    return remembered(("dyed", pieces, colour, material), dye)


def furniture_matrix(
    wanted: Furniture, pieces: tuple[Piece, ...], walls: Mapping[int, Wall]
) -> Array:
    """Where a furniture entry stands: 4x4 from its own frame to the world."""
    if wanted.at_m is not None:
        return placed(wanted.turn_deg, (*wanted.at_m, wanted.base_m))
    assert wanted.wall is not None and wanted.along_m is not None
    wall = walls[wall_number(wanted.wall)]
    behind = float(bounds(pieces)[1, 1])
    plan = wall.left_m + wall.along * wanted.along_m + wall.inward * (behind + wanted.gap_m)
    return placed(turn_along_deg(wall.inward) + wanted.turn_deg, (*plan, wanted.base_m))


def wall_number(wall: str | int) -> int:
    """Number of a wall, from 1; a rectangle's walls by plan direction."""
    return RECTANGLE_WALLS[wall] if isinstance(wall, str) else wall


@dataclass(frozen=True, eq=False)
class Furnished:
    """All furniture of a scene, standing; and where each piece was put, by its thing's name.

    tops_m  middle of the top (3,) of each piece, by its name in the scene
    """

    things: list[Thing]
    places: dict[str, StagePiece]
    tops_m: dict[str, Array]


def furnish(
    furniture: Mapping[str, Furniture],
    catalog: Catalog,
    walls: Mapping[int, Wall],
    scene_seed: int,
) -> Furnished:
    """Build and place it."""
    made = Furnished([], {}, {})
    for name, wanted in furniture.items():
        pieces = furniture_pieces(wanted, name, catalog, scene_seed)
        matrix = furniture_matrix(wanted, pieces, walls)
        thing = standing(f"furniture.{name}", "furniture", stood(pieces, matrix))
        made.things.append(thing)
        record = catalog.furniture(wanted.piece)
        place = piece_at(record.label, matrix)
        made.places[thing.name] = replace(place, on_stands=record.on_stands)
        low, high = bounds(thing.pieces)
        # A vise or a rail may stand over the top: the record's height is where things are put.
        height_m = wanted.height_m or record.height_m or float(high[2]) - wanted.base_m
        made.tops_m[name] = np.array([*((low + high) / 2.0)[:2], wanted.base_m + height_m])
    return made


def piece_at(label: str, matrix: Array) -> StagePiece:
    """A piece under a 4x4 that turns it about the vertical only."""
    return StagePiece(label, matrix[:3, 3], math.atan2(float(matrix[1, 0]), float(matrix[0, 0])))


def sockets_of(
    furniture: Mapping[str, Furniture], catalog: Catalog, things: Sequence[Thing]
) -> dict[str, Array]:
    """Middle (3,) of each wall socket among the furniture that stands, by its name."""
    standing_pieces = {thing.name: thing.pieces for thing in things}
    return {
        name: bounds(standing_pieces[f"furniture.{name}"]).mean(axis=0)
        for name, wanted in furniture.items()
        if catalog.furniture(wanted.piece).shape == SOCKET
    }
