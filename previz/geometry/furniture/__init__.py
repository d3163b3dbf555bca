"""Furniture and props by name: `build_furniture("stool", height_m=0.45)`.

`SHAPES` maps each name to a dataclass whose fields are its parameters, with their defaults.
"""

from __future__ import annotations

import difflib
from dataclasses import fields
from typing import Any

from previz.errors import CatalogError
from previz.geometry.furniture import (
    backgrounds,
    cabinets,
    chairs,
    clutter,
    containers,
    crockery,
    kitchen,
    lamps,
    plants,
    props,
    shelves,
    tables,
    textiles,
    timber,
    tools,
    upholstery,
    wall,
    wheelchair,
)
from previz.geometry.furniture.base import FurnitureShape, LampShape, Seat, SeatInfo
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece

SHAPES: dict[str, type[FurnitureShape]] = {
    "side_chair": chairs.SideChair,
    "stool": chairs.Stool,
    "workshop_stool": chairs.WorkshopStool,
    "armchair": upholstery.Armchair,
    "sofa": upholstery.Sofa,
    "wheelchair": wheelchair.Wheelchair,
    "table": tables.Table,
    "round_table": tables.RoundTable,
    "trestle_table": tables.TrestleTable,
    "desk": tables.Desk,
    "workbench": tables.Workbench,
    "shelves": shelves.Shelves,
    "floor_lamp": lamps.FloorLamp,
    "table_lamp": lamps.TableLamp,
    "pendant_lamp": lamps.PendantLamp,
    "plant": plants.Plant,
    "mug": containers.Mug,
    "jar": containers.Jar,
    "carton": containers.Carton,
    "brush_pot": containers.BrushPot,
    "cabinet": cabinets.Cabinet,
    "picture": wall.FramedPicture,
    "clock": wall.Clock,
    "tool_rack": tools.ToolRack,
    "press": tools.Press,
    "rug": textiles.Rug,
    "cloth_rolls": textiles.ClothRolls,
    "paper_stack": props.PaperStack,
    "book_pile": props.BookPile,
    "open_book": props.OpenBook,
    "radiator": props.Radiator,
    "coat_rail": clutter.CoatRail,
    "pin_board": clutter.PinBoard,
    "wall_socket": clutter.WallSocket,
    "cable": clutter.Cable,
    "papers": clutter.Papers,
    "basket": clutter.Basket,
    "kitchen_units": kitchen.KitchenUnits,
    "wall_cupboards": kitchen.WallCupboards,
    "fridge": kitchen.Fridge,
    "hob": kitchen.Hob,
    "tap": kitchen.Tap,
    "wall_panel": kitchen.WallPanel,
    "wall_shelf": crockery.WallShelf,
    "utensil_rail": crockery.UtensilRail,
    "kettle": crockery.Kettle,
    "fruit_bowl": crockery.FruitBowl,
    "chopping_boards": crockery.ChoppingBoards,
    "clamp_rack": timber.ClampRack,
    "leaning_boards": timber.LeaningBoards,
    "wood_stack": timber.WoodStack,
    "paper_sweep": backgrounds.PaperSweep,
    "drape": backgrounds.Drape,
}


__all__ = [
    "SHAPES",
    "FurnitureShape",
    "SeatInfo",
    "build_furniture",
    "emitter_of",
    "furniture",
    "parameters_of",
    "seat_of",
]


def parameters_of(shape: str) -> dict[str, Any]:
    """Names of a shape's parameters and their defaults."""
    maker: Any = _maker(shape)
    return {field.name: field.default for field in fields(maker)}


def furniture(shape: str, **parameters: Any) -> FurnitureShape:
    """The thing of that name; CatalogError for a name or a parameter that does not exist."""
    maker = _maker(shape)
    known = parameters_of(shape)
    for name, value in parameters.items():
        if name not in known:
            raise CatalogError(
                f"{shape} has no parameter {name}; it has {', '.join(known)}{_near(name, known)}"
            )
        if name.endswith("_m") and not 0 <= value < 50:
            raise CatalogError(f"{shape}: {name} is {value}; lengths are 0 to 50 metres")
    return maker(**parameters)


def build_furniture(shape: str, **parameters: Any) -> tuple[Piece, ...]:
    """Pieces of the thing: origin on the floor in the middle of its footprint, front to -Y."""
    return furniture(shape, **parameters).pieces()


def seat_of(shape: str, **parameters: Any) -> SeatInfo:
    """Where one sits on it; CatalogError when it is nothing to sit on."""
    thing = furniture(shape, **parameters)
    if not isinstance(thing, Seat):
        raise CatalogError(f"{shape} is nothing to sit on")
    return thing.seat()


def emitter_of(shape: str, **parameters: Any) -> EmitterShape | None:
    """The emitting surface of a lamp in its own frame; None for what gives no light."""
    thing = furniture(shape, **parameters)
    return thing.emitter() if isinstance(thing, LampShape) else None


def _maker(shape: str) -> type[FurnitureShape]:
    if shape not in SHAPES:
        raise CatalogError(f"there is no furniture called {shape}{_near(shape, SHAPES)}")
    return SHAPES[shape]


def _near(name: str, known: dict[str, Any]) -> str:
    close = difflib.get_close_matches(name, known, n=1)
    return f"; did you mean {close[0]}?" if close else ""
