"""Sets: pieces of furniture that belong together, in the catalogue and as a scene places them."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from previz.model.base import Bearing, CatalogName, Count, Name, Noun, Point2, ranged
from previz.model.furniture import (
    Depth,
    Height,
    MainColour,
    MainMaterial,
    PieceSeed,
    Width,
)
from previz.model.records import Positive, Record
from previz.model.room import WallName

HALF_A_SET_M = 10.0
Along = Annotated[float, ranged(-HALF_A_SET_M, HALF_A_SET_M)]
GAP_M = 0.02
"""Between a set's back and a piece that stands against it, if nothing else is said."""


class SetChange(Noun):
    """What is different about one piece of a set."""

    piece: CatalogName | None = Field(None, description="Another piece of the catalogue.")
    along_m: Along | None = Field(
        None, description="From the set's middle to the piece's, to the right as one faces it."
    )
    out_m: Annotated[float, ranged(0.0, 20.0)] | None = Field(
        None, description="From the set's back to the middle of the piece's footprint."
    )
    gap_m: Annotated[float, ranged(0.0, 10.0)] | None = Field(
        None, description="Instead of out_m: gap between the set's back and the piece's."
    )
    on: Name | None = Field(None, description="The piece of the set that it stands on.")
    base_m: Annotated[float, ranged(0.0, 12.0)] | None = Field(
        None, description="Height it stands on; with on: over the top of that piece."
    )
    turn_deg: Bearing | None = Field(
        None, description="0 faces away from the set's back; positive to the right as one faces it."
    )
    width_m: Width = None
    depth_m: Depth = None
    height_m: Height = None
    material: MainMaterial = None
    colour: MainColour = None
    seed: PieceSeed = None

    @model_validator(mode="after")
    def _one_depth(self) -> Self:
        if self.out_m is not None and self.gap_m is not None:
            raise ValueError("a piece stands at out_m or with gap_m: give one, not both")
        return self


class SetPiece(SetChange):
    """One piece of a set, with its place in it."""

    piece: CatalogName = Field(description="Name in the furniture catalogue.")
    along_m: Along = Field(description="From the set's middle to the piece's, to the right.")

    def changed(self, change: SetChange | None) -> SetPiece:
        """The piece with what a scene says otherwise."""
        if change is None:
            return self
        said = change.model_dump(exclude_none=True)
        kept = self.model_dump(exclude_none=True)
        if "out_m" in said or "gap_m" in said:
            kept = {key: value for key, value in kept.items() if key not in ("out_m", "gap_m")}
        return SetPiece.model_validate(kept | said)


class SetRecord(Record):
    """A set in the catalogue: pieces along a wall, by name.

    Its own axes: along its back, to the right as one faces it, from its middle; and out from
    its back into the room.
    """

    width_m: Positive = Field(description="Length of wall that it takes.")
    depth_m: Positive = Field(description="How far it reaches into the room.")
    pieces: Annotated[dict[Name, SetPiece], Field(min_length=1, max_length=60)] = Field(
        description="Its pieces, by name; one stands only on one that comes before it."
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        before: set[str] = set()
        for name, piece in self.pieces.items():
            if piece.on is not None and piece.on not in before:
                raise ValueError(f"{name} stands on {piece.on}, which is no piece before it")
            if abs(piece.along_m) > self.width_m / 2 or (piece.out_m or 0.0) > self.depth_m:
                raise ValueError(f"{name} lies outside the set's own width_m and depth_m")
            before.add(name)
        return self

    def left(self, without: tuple[str, ...]) -> dict[str, SetPiece]:
        """Its pieces but for some, and but for what stood on those."""
        kept: dict[str, SetPiece] = {}
        for name, piece in self.pieces.items():
            if name not in without and (piece.on is None or piece.on in kept):
                kept[name] = piece
        return kept


class FurnitureSet(Noun):
    """A set of the catalogue as a scene places it: a workshop, a kitchen in one line.

    Each of its pieces is furniture of the name `SET.PIECE`, such as `kitchen.hob`.
    """

    set: CatalogName = Field(description="Name in the catalogue's sets.")
    wall: WallName | Count | None = Field(None, description="The wall that it stands against.")
    along_m: Annotated[float, ranged(0.0, 60.0)] | None = Field(
        None, description="With wall: from the wall's left end, seen from inside, to its middle."
    )
    at_m: Point2 | None = Field(
        None, description="Instead of wall: plan position of the middle of its back."
    )
    turn_deg: Bearing = Field(
        0.0, description="With at_m: 0 faces plan south; positive turns its front to the east."
    )
    without: tuple[Name, ...] = Field(
        (), max_length=60, description="Pieces left out, and with each what stands on it."
    )
    change: dict[Name, SetChange] = Field(
        {}, max_length=60, description="What is different about its pieces, by their names."
    )

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if (self.at_m is None) == (self.wall is None):
            raise ValueError("it stands at at_m, or against wall with along_m: give one")
        if (self.wall is None) != (self.along_m is None):
            raise ValueError("along_m goes with wall, and wall with along_m")
        if self.wall is not None and self.turn_deg:
            raise ValueError("turn_deg goes with at_m; against a wall the wall turns it")
        return self
