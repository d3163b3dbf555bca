"""Lights, and the boards, frames and flags that shape them."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import (
    Bearing,
    CatalogName,
    Flag,
    Name,
    Noun,
    Percent,
    Point2,
    Point3,
    Text,
    ranged,
)


class LightPlace(Noun):
    """Where a light's face is: in plan, or in the trade's words round a person.

    In words: `side` and `azimuth_deg` say how far round the subject from the A camera,
    `elevation_deg` how high over the eyes, `distance_m` how far from them.
    """

    at_m: Point2 | None = Field(None, description="Plan position of the light's face.")
    height_m: Annotated[float, ranged(0.0, 12.0)] | None = Field(
        None, description="Height of the middle of the light's face."
    )
    on: Name | None = Field(
        None,
        description="Instead of height_m: the piece of `furniture` that a lamp of the room stands "
        "on; without at_m in the middle of it.",
    )
    side: Literal["camera_left", "camera_right"] | None = Field(
        None, description="Side of the picture the light comes from."
    )
    azimuth_deg: Annotated[float, ranged(0.0, 180.0)] | None = Field(
        None, description="Angle round the subject from the camera: 0 frontal, 180 behind."
    )
    elevation_deg: Annotated[float, ranged(-60.0, 89.0)] | None = Field(
        None, description="Angle over the subject's eye level."
    )
    distance_m: Annotated[float, ranged(0.1, 50.0)] | None = Field(
        None, description="Distance from the subject's eyes to the light's face."
    )
    camera: Name | None = Field(
        None, description="Camera the words refer to; else the first camera."
    )

    @model_validator(mode="after")
    def _numbers_or_words(self) -> Self:
        if self.on is not None and self.height_m is not None:
            raise ValueError("what it stands on gives its height: give on or height_m, not both")
        numbers = {"at_m": self.at_m or self.on, "height_m": self.height_m or self.on}
        words = {
            "side": self.side,
            "azimuth_deg": self.azimuth_deg,
            "elevation_deg": self.elevation_deg,
            "distance_m": self.distance_m,
        }
        for wanted, other in ((numbers, words), (words, numbers)):
            if all(value is None for value in other.values()):
                lacking = [key for key, value in wanted.items() if value is None]
                if lacking and len(lacking) < len(wanted):
                    or_on = ", or on: the furniture it stands on" if "height_m" in lacking else ""
                    raise ValueError(f"this place also needs {', '.join(lacking)}{or_on}")
        given = any(v is not None for v in numbers.values())
        if given == any(v is not None for v in words.values()):
            raise ValueError(
                "a light's place is at_m with height_m or on, or side with azimuth_deg, "
                "elevation_deg and distance_m"
            )
        return self


Leaf = Annotated[float, ranged(-30.0, 120.0)]


class BarnDoors(Noun):
    """Four black doors before a fresnel: 0 lies along the axis, 90 stands wide open.

    Below 0 a door closes over the lens.
    """

    top_deg: Leaf = Field(90.0, description="Upper door.")
    bottom_deg: Leaf = Field(90.0, description="Lower door.")
    left_deg: Leaf = Field(90.0, description="Door on the left, seen from behind the light.")
    right_deg: Leaf = Field(90.0, description="Door on the right, seen from behind the light.")


class Light(Noun):
    """One fixture, board, frame or flag on its stand."""

    fixture: CatalogName = Field(description="Fixture from the catalogue.")
    place: LightPlace = Field(description="Where its face is.")
    aim: Name | None = Field(None, description="Person whose face it aims at.")
    aim_m: Point3 | None = Field(None, description="Point it aims at, instead of a person.")
    role: Literal["key", "fill", "hair", "background"] | None = Field(
        None,
        description="What it is for, if that is not plain from where it stands, whom it is on and "
        "how strong it is there: `measure`, `balance` and the rules go by it.",
    )
    dimmer_pct: Percent = Field(
        100.0,
        description="Light it gives, in per cent of full. Not where the dimmer's control stands: "
        "`balance` says that too where the fixture's curve is another.",
    )
    cct_k: Annotated[float, ranged(1700.0, 20000.0)] | None = Field(
        None, description="Colour temperature, within what the fixture can do."
    )
    beam_deg: Annotated[float, ranged(1.0, 179.0)] | None = Field(
        None, description="Beam angle (half value, full angle) of a focusable fixture."
    )
    gels: Annotated[tuple[CatalogName, ...], Field(max_length=4)] = Field(
        (), description="Gels before it, from the catalogue: correction, ND, diffusion."
    )
    duv: Annotated[float, ranged(-0.03, 0.03)] = Field(
        0.0, description="Distance from the white locus: green above 0, magenta below."
    )
    grid_deg: Annotated[float, ranged(10.0, 150.0)] | None = Field(
        None, description="Egg-crate on a soft face: full angle beyond which nothing passes."
    )
    barn_doors: BarnDoors | None = Field(None, description="Barn doors of a fresnel.")
    ies: Text | None = Field(
        None,
        description="IES LM-63 file in the scene's folder: how this light spreads, and its flux.",
    )
    circuit: Name | None = Field(
        None, description="Circuit it is plugged into; else the first of `power`."
    )
    on: Flag = Field(True, description="Switched on.")
    stand: Literal["light_stand", "boom_arm", "none"] = Field(
        "light_stand", description="What holds it; cameras see it."
    )
    boom_turn_deg: Bearing | None = Field(
        None,
        description="With stand: boom_arm, which way its arm runs from the head to its stand: 0 to "
        "plan south, positive turns to the east; else away from what it is aimed at.",
    )
    turn_deg: Bearing = Field(0.0, description="Roll of the head about its own axis.")

    @model_validator(mode="after")
    def _one_aim(self) -> Self:
        if self.aim is not None and self.aim_m is not None:
            raise ValueError("a light aims at a person (aim) or at a point (aim_m): give one")
        if self.boom_turn_deg is not None and self.stand != "boom_arm":
            raise ValueError("boom_turn_deg goes with stand: boom_arm")
        if self.aim is None and self.place.side is not None:
            raise ValueError("a place in words needs a person to aim at (aim)")
        return self
