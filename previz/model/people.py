"""The stand-in people."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Bearing, CatalogName, Flag, HexColour, Name, Noun, Point2, ranged

STATURES_CM = {"female": (142.0, 186.0), "male": (153.0, 200.0)}
"""Within 3.5 standard scores of the survey of bodies (`geometry.people.anthropometry`)."""

HairStyle = Literal[
    "short", "short_crop", "side_parting", "shaved_sides", "receding", "stubbled", "bald",
    "medium", "bob", "long_loose", "long_tied", "bun", "ponytail", "braids",
    "curly", "curls", "afro", "locs", "covered",
]  # fmt: skip
"""Cut short, long, curled; stubbled is shaved a day or two ago, long_tied a knot at the nape."""
Headwear = Literal["none", "headscarf", "loose_headscarf", "turban", "flat_cap", "beanie"]


class Clothes(Noun):
    """What a person wears above the waist; trousers and shoes come with it."""

    top: Literal["shirt", "jumper", "jacket", "dress"] = Field("shirt", description="Garment.")
    colour: HexColour = Field("#5b6b7a", description="Its colour.")
    trousers: HexColour = Field("#2e333b", description="Colour of the trousers.")
    stripe: Flag = Field(False, description="A fine stripe: looks smart, may cause moire.")


class Person(Noun):
    """A stand-in: body by ANSUR II percentile, where it is, what it looks at."""

    at_m: Point2 = Field(description="Plan position of the seat's middle, or of the feet.")
    seat: CatalogName | None = Field(
        None, description="Seat from the furniture catalogue; without it the person stands."
    )
    posture: Literal["seated", "standing", "leaning"] | None = Field(
        None, description="Else seated when there is a seat, standing when there is none."
    )
    faces: Name | None = Field(None, description="Person or camera the body is turned to.")
    turn_deg: Bearing | None = Field(
        None, description="Instead of faces: 0 looks to plan south, positive turns to the east."
    )
    head_turn_deg: Annotated[float, ranged(-80.0, 80.0)] = Field(
        0.0, description="Turn of the head against the body; positive to the person's left."
    )
    gaze: Name | None = Field(None, description="Person or camera looked at; else as faces.")
    sex: Literal["female", "male"] = Field("female", description="Whose measurements to use.")
    age_years: Annotated[float, ranged(18.0, 95.0)] = Field(
        40.0, description="Age. Grown-ups only: children are built otherwise, and not yet here."
    )
    build: Literal["slim", "average", "heavy"] = Field("average", description="Build.")
    stature_percentile: Annotated[float, ranged(1.0, 99.0)] | None = Field(
        None,
        description="Stature among people of that sex, ANSUR II; 50 if nothing is given. Every "
        "other length, sitting eye height too, takes the same percentile, which few people do: "
        "someone at the 5th of stature is seldom at the 5th of sitting height as well.",
    )
    stature_cm: Annotated[float, ranged(142.0, 200.0)] | None = Field(
        None,
        description="Stature, instead of a percentile: of a woman 142 to 186, of a man 153 to 200.",
    )
    skin: Literal["very_light", "light", "intermediate", "tan", "brown", "dark"] = Field(
        "intermediate", description="Skin tone by individual typology angle (ITA) class."
    )
    hair: HairStyle = Field(
        "short", description="How the hair is cut and worn; covered is hidden by a headscarf."
    )
    hair_colour: Literal["black", "dark_brown", "brown", "blond", "red", "grey", "white"] = Field(
        "dark_brown",
        description="Colour of hair, brows and beard; with the years some strands turn white.",
    )
    beard: Literal["none", "stubble", "moustache", "short_beard", "full_beard"] = Field(
        "none", description="Beard."
    )
    headwear: Headwear = Field(
        "none",
        description="Worn over the hair: a headscarf closed under the chin or thrown loosely over "
        "a shoulder, a turban, a cap with a peak, a knitted cap.",
    )
    headwear_colour: HexColour = Field("#815961", description="Its colour.")
    spectacles: Flag = Field(False, description="Wears spectacles; they reflect lights.")
    expression: Literal["neutral", "talking", "smiling"] = Field("neutral", description="Face.")
    hands: Literal["resting", "gesturing"] = Field("resting", description="Hands.")
    clothes: Clothes = Field(Clothes(), description="Clothes.")

    @model_validator(mode="after")
    def _no_contradiction(self) -> Self:
        if self.stature_cm is not None and self.stature_percentile is not None:
            raise ValueError("give stature_percentile or stature_cm, not both")
        if self.faces is not None and self.turn_deg is not None:
            raise ValueError("give faces or turn_deg, not both")
        if self.posture == "seated" and self.seat is None:
            raise ValueError("a seated person needs a seat")
        return self

    @property
    def seated(self) -> bool:
        """Whether the person sits (leaning forward is sitting too)."""
        return self.seat is not None and self.posture != "standing"
