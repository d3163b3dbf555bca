"""Furniture and props as a scene places them."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from previz.model.base import Bearing, CatalogName, Count, HexColour, Noun, Point2, ranged
from previz.model.room import WallName

Size = Annotated[float, ranged(0.01, 20.0)]
Width = Annotated[Size | None, Field(description="Width, where the piece allows another.")]
Depth = Annotated[Size | None, Field(description="Depth, where the piece allows another.")]
Height = Annotated[Size | None, Field(description="Height, where the piece allows another.")]
MainMaterial = Annotated[CatalogName | None, Field(description="Main material, if another.")]
MainColour = Annotated[HexColour | None, Field(description="Colour of its main material.")]
PieceSeed = Annotated[
    Annotated[int, Field(strict=True, ge=0, le=2**31)] | None,
    Field(description="Repeats the same books, leaves, folds; else from the scene's seed."),
]


class Furniture(Noun):
    """One piece of furniture or one prop from the catalogue."""

    piece: CatalogName = Field(description="Name in the furniture catalogue.")
    at_m: Point2 | None = Field(None, description="Plan position of the middle of its footprint.")
    turn_deg: Bearing = Field(
        0.0, description="0 faces plan south; positive turns the front to the east."
    )
    wall: WallName | Count | None = Field(
        None, description="Instead of at_m: stand or hang with the back against this wall."
    )
    along_m: Annotated[float, ranged(0.0, 60.0)] | None = Field(
        None, description="With wall: from the wall's left end, seen from inside, to its middle."
    )
    gap_m: Annotated[float, ranged(0.0, 10.0)] = Field(
        0.02, description="With wall: gap between the wall and its back."
    )
    base_m: Annotated[float, ranged(0.0, 12.0)] = Field(
        0.0,
        description=(
            "Height it stands on: 0.74 for a cup on a table. A piece that hangs on a wall has a "
            "height of its own, and this adds to it."
        ),
    )
    width_m: Width = None
    depth_m: Depth = None
    height_m: Height = None
    material: MainMaterial = None
    colour: MainColour = None
    seed: PieceSeed = None

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if (self.at_m is None) == (self.wall is None):
            raise ValueError("furniture stands at at_m, or against wall with along_m: give one")
        if self.wall is not None and self.along_m is None:
            raise ValueError("furniture against a wall needs along_m")
        if self.wall is None and self.along_m is not None:
            raise ValueError("along_m goes with wall")
        return self
