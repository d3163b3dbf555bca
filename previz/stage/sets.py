"""Sets of the catalogue as single pieces of furniture, each with its own name and place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from previz.catalog import Catalog
from previz.geometry.walls import Wall
from previz.model.furniture import Furniture
from previz.model.scene import Scene
from previz.model.sets import GAP_M, FurnitureSet, SetPiece
from previz.stage.furnishing import wall_number
from previz.stage.placing import placed, turn_along_deg

_OWN = ("piece", "width_m", "depth_m", "height_m", "material", "colour", "seed")


@dataclass(frozen=True, eq=False)
class Spread:
    """All furniture of a scene by name, and what it stands against.

    walls  the room's by number, and beyond them the backs of sets that stand free
    """

    furniture: dict[str, Furniture]
    walls: dict[int, Wall]


def spread_sets(scene: Scene, catalog: Catalog, walls: Mapping[int, Wall]) -> Spread:
    """The scene's own furniture, and each piece of its sets as `SET.PIECE`."""
    spread = Spread(dict(scene.furniture), dict(walls))
    for name, wanted in scene.sets.items():
        record = catalog.furniture_set(wanted.set)
        if wanted.wall is not None and wanted.along_m is not None:
            number, middle_m = wall_number(wanted.wall), wanted.along_m
        else:
            number, middle_m = max(spread.walls, default=0) + 1, record.width_m / 2
            spread.walls[number] = _back_of(wanted, record.width_m, number)
        for part, piece in pieces_of(wanted, catalog).items():
            spread.furniture[f"{name}.{part}"] = _as_furniture(
                piece, spread.walls[number], middle_m
            )
    return spread


def pieces_of(wanted: FurnitureSet, catalog: Catalog) -> dict[str, SetPiece]:
    """The pieces of a set that the scene leaves in, as it changes them, on their true heights."""
    pieces: dict[str, SetPiece] = {}
    tops_m: dict[str, float] = {}
    for name, own in catalog.furniture_set(wanted.set).left(wanted.without).items():
        piece = own.changed(wanted.change.get(name))
        base_m = (piece.base_m or 0.0) + tops_m.get(piece.on or "", 0.0)
        height_m = piece.height_m or catalog.furniture(piece.piece).height_m or 0.0
        tops_m[name] = base_m + height_m
        pieces[name] = piece.model_copy(update={"base_m": base_m})
    return pieces


def _back_of(wanted: FurnitureSet, width_m: float, number: int) -> Wall:
    """The back of a set that stands free, as a wall of no thickness."""
    assert wanted.at_m is not None
    turn = placed(wanted.turn_deg, (*wanted.at_m, 0.0))
    ends = [turn[:2, :2] @ [x, 0.0] + turn[:2, 3] for x in (-width_m / 2, width_m / 2)]
    inward = turn[:2, :2] @ [0.0, -1.0]
    return Wall(number, ends[0], ends[1], inward, width_m, 0.0, np.array(ends))


def _as_furniture(piece: SetPiece, wall: Wall, middle_m: float) -> Furniture:
    own: dict[str, Any] = {key: getattr(piece, key) for key in _OWN}
    along_m, turn_deg = middle_m + piece.along_m, piece.turn_deg or 0.0
    if piece.out_m is None:
        gap_m = GAP_M if piece.gap_m is None else piece.gap_m
        own |= {"wall": wall.number, "along_m": along_m, "gap_m": gap_m}
    else:
        x, y = wall.left_m + wall.along * along_m + wall.inward * piece.out_m
        own["at_m"] = (float(x), float(y))
        turn_deg = (turn_along_deg(wall.inward) + turn_deg + 180.0) % 360.0 - 180.0
    return Furniture(base_m=piece.base_m or 0.0, turn_deg=turn_deg, **own)
