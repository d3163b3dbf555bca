"""The room and the holes in its walls."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import (
    Bearing,
    CatalogName,
    Count,
    HexColour,
    Moment,
    Noun,
    Number,
    Point2,
    Text,
    ranged,
)

WallName = Literal["north", "south", "east", "west"]


class ScannedMesh(Noun):
    """A room taken from a scan instead of from dimensions."""

    file: Text = Field(description="Mesh file (glb, gltf, obj, ply, stl) in the scene's folder.")
    scale: Annotated[float, ranged(1e-4, 1e4)] = Field(
        1.0, description="Metres per unit of the file: 0.01 for a scan in centimetres."
    )
    up: Literal["x", "y", "z"] = Field("y", description="Axis of the file that points up.")
    floor: Literal["lowest"] | Number = Field(
        "lowest",
        description="Height in the scan (metres after scaling) that becomes z = 0, or `lowest`.",
    )
    turn_deg: Bearing = Field(0.0, description="Turn about the vertical after setting upright.")


class Sweep(Noun):
    """Wall and floor as one surface, joined by a radius: the cove of a studio."""

    wall: WallName | Count = Field(description="Wall by plan direction or number.")
    radius_m: Annotated[float, ranged(0.1, 6.0)] = Field(
        0.8, description="Radius between wall and floor."
    )
    floor_m: Annotated[float, ranged(0.1, 30.0)] = Field(
        3.0, description="How far from the wall the floor belongs to it."
    )
    colour: HexColour | None = Field(None, description="Its paint; else that of the walls.")


class Room(Noun):
    """Floor plan and height; the floor is z = 0.

    Plan north is +y, east is +x. Give width and depth for a rectangle, or `floor_m`
    for any other plan, or `scan` for a scanned room.
    """

    width_m: Annotated[float, ranged(1.0, 60.0)] | None = Field(
        None, description="Inside width of a rectangular room, west to east (x)."
    )
    depth_m: Annotated[float, ranged(1.0, 60.0)] | None = Field(
        None, description="Inside depth of a rectangular room, south to north (y)."
    )
    centre_m: Point2 = Field(
        (0.0, 0.0), description="Where the middle of a rectangular room's floor lies."
    )
    floor_m: Annotated[tuple[Point2, ...], Field(min_length=3, max_length=64)] | None = Field(
        None, description="Corners of the floor in order; wall 1 joins corner 1 and corner 2."
    )
    scan: ScannedMesh | None = Field(None, description="A scanned room.")
    height_m: Annotated[float, ranged(1.8, 20.0)] | None = Field(
        None, description="Floor to ceiling; needed unless the room is a scan."
    )
    walls: CatalogName = Field("painted_plaster", description="Material of the walls.")
    floor: CatalogName = Field("oak_boards", description="Material of the floor.")
    ceiling: CatalogName = Field("ceiling_white", description="Material of the ceiling.")
    wall_colour: HexColour | None = Field(None, description="Paint over the walls' material.")
    wall_thickness_m: Annotated[float, ranged(0.05, 2.0)] = Field(
        0.25, description="Thickness of the walls: how deep a window's reveal is."
    )
    sweep: Sweep | None = Field(None, description="A wall that runs into the floor in a curve.")
    skirting_m: Annotated[float, ranged(0.0, 0.5)] = Field(
        0.09, description="Height of the skirting board; 0 for none."
    )
    north_bearing_deg: Bearing = Field(
        0.0, description="Compass bearing of plan north (+y): where the sun is measured from."
    )

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        box = self.width_m is not None or self.depth_m is not None
        shapes = [box, self.floor_m is not None, self.scan is not None]
        if sum(shapes) != 1:
            raise ValueError(
                "a room is one of: width_m with depth_m, floor_m (corners), or scan (a mesh file)"
            )
        if box and (self.width_m is None or self.depth_m is None):
            raise ValueError("a rectangular room needs both width_m and depth_m")
        if self.scan is None and self.height_m is None:
            raise ValueError("a room needs height_m")
        return self


class Covering(Noun):
    """What hangs before a window."""

    kind: Literal["curtains", "roller_blind", "venetian_blind"] = Field(
        "curtains", description="What hangs there."
    )
    open_pct: Annotated[float, ranged(0.0, 100.0)] = Field(
        70.0, description="How far it is drawn open; slats of a venetian blind tilt instead."
    )
    material: CatalogName = Field("cloth_linen", description="Cloth or slat material.")
    colour: HexColour | None = Field(None, description="Colour over the material's own.")


class Opening(Noun):
    """A window, a door or a plain opening in a wall."""

    kind: Literal["window", "door", "opening"] = Field("window", description="What it is.")
    wall: WallName | Count = Field(
        description="Wall of a rectangular room by plan direction, or wall number from 1."
    )
    along_m: Annotated[float, ranged(0.0, 60.0)] = Field(
        description="From the wall's left end, as you face it from inside, to the left edge."
    )
    width_m: Annotated[float, ranged(0.1, 30.0)] = Field(description="Width of the hole.")
    height_m: Annotated[float, ranged(0.1, 12.0)] = Field(description="Height of the hole.")
    sill_m: Annotated[float, ranged(0.0, 12.0)] = Field(
        0.0, description="Height of the hole's lower edge over the floor."
    )
    panes_across: Annotated[int, Field(strict=True, ge=1, le=12)] = Field(
        2, description="Panes side by side."
    )
    panes_up: Annotated[int, Field(strict=True, ge=1, le=12)] = Field(
        2, description="Panes one over another."
    )
    material: CatalogName = Field("painted_wood", description="Frame, or door leaf.")
    transmittance_pct: Annotated[float, ranged(0.0, 100.0)] = Field(
        80.0,
        description="Light the glass lets through (clear double glazing about 80).",
    )
    gel_nd: Annotated[float, ranged(0.0, 6.0)] = Field(
        0.0, description="Density of ND gel on the window; 0.3 is one stop."
    )
    gels: Annotated[tuple[CatalogName, ...], Field(max_length=3)] = Field(
        (), description="Correction or ND gels on the window, from the catalogue."
    )
    open_deg: Annotated[float, ranged(0.0, 120.0)] = Field(
        0.0, description="How far a door stands open."
    )
    covering: Covering | None = Field(None, description="Curtains or a blind.")


class Coordinates(Noun):
    """Where on earth."""

    latitude_deg: Annotated[float, ranged(-90.0, 90.0)] = Field(description="North above 0.")
    longitude_deg: Annotated[float, ranged(-180.0, 180.0)] = Field(description="East above 0.")


class SunDirection(Noun):
    """Where the sun stands, in numbers."""

    bearing_deg: Annotated[float, ranged(0.0, 360.0)] = Field(
        description="Compass bearing: 0 north, 90 east."
    )
    elevation_deg: Annotated[float, ranged(-18.0, 90.0)] = Field(
        description="Height over the horizon."
    )


class Daylight(Noun):
    """What lies outside the windows.

    With `place` and `at` the sun stands where it does there and then, and the light of the
    sky follows its height; `sun` gives its direction in numbers instead.
    """

    place: Coordinates | None = Field(None, description="Where the room is.")
    at: Moment | None = Field(
        None, description="Date and time with the offset from UTC: 2026-05-12T10:30+02:00."
    )
    sun: SunDirection | None = Field(None, description="Direction of the sun, in numbers.")

    sky: Literal["overcast", "clear", "dusk", "night"] = Field(
        "overcast",
        description="Kind of sky; under a clear one the sun shines, if place and time or sun say "
        "from where.",
    )
    horizontal_lx: Annotated[float, ranged(0.0, 130000.0)] | None = Field(
        None,
        description="Illuminance outdoors on level ground, by sky and sun; else by the sun's "
        "height, else typical for the sky.",
    )
    cct_k: Annotated[float, ranged(1700.0, 25000.0)] | None = Field(
        None, description="Colour temperature of the sky's light; else typical for the sky."
    )
    view: Literal["street", "garden", "rooftops", "plain"] = Field(
        "garden", description="What is seen through the windows."
    )

    @model_validator(mode="after")
    def _one_sun(self) -> Self:
        if self.at is not None and not _is_moment(self.at):
            raise ValueError(f"{self.at} is no moment of the calendar")
        if (self.place is None) != (self.at is None):
            raise ValueError("daylight by place and time needs both place and at")
        if self.place is not None and self.sun is not None:
            raise ValueError("the sun comes from place and at, or from sun: give one")
        return self


def _is_moment(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).utcoffset() is not None
    except ValueError:
        return False
