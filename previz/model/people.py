"""The stand-in people."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Bearing, CatalogName, Flag, HexColour, Name, Noun, Point2, ranged

HairStyle = Literal[
    "short", "short_crop", "side_parting", "shaved_sides", "receding", "stubbled", "bald",
    "medium", "bob", "long_loose", "long_tied", "bun", "ponytail", "braids",
    "curly", "curls", "afro", "locs", "covered",
]  # fmt: skip
"""Cut short, long, curled; stubbled is shaved a day or two ago, long_tied a knot at the nape."""
Headwear = Literal["none", "headscarf", "loose_headscarf", "turban", "flat_cap", "beanie"]


FaceNumber = Annotated[int, Field(strict=True, ge=0)]
Expression = Literal[
    "neutral",
    "talking",
    "explaining",
    "recalling",
    "listening",
    "attentive",
    "doubtful",
    "smiling",
    "thoughtful",
]


STANDING = ("standing", "at_bench")
"""Postures of people who stand."""


class Clothes(Noun):
    """What a person wears above the waist; trousers and shoes come with it."""

    top: Literal[
        "shirt", "jumper", "jacket", "dress", "t_shirt", "open_shirt", "blouse", "cardigan",
        "hoodie", "apron", "work_jacket", "suit",
    ] = Field("shirt", description="Garment; an apron is worn over a shirt.")  # fmt: skip
    colour: HexColour = Field("#5b6b7a", description="Its colour.")
    under: HexColour | None = Field(
        None,
        description="Colour of what shows under it: the shirt of a jacket or an apron, the T-shirt "
        "of a cardigan or a work jacket; of a suit, its tie.",
    )
    trousers: HexColour = Field(
        "#2e333b", description="Colour of the trousers; a suit's are of its own cloth."
    )
    stripe: Flag = Field(False, description="A fine stripe: looks smart, may cause moire.")


class Person(Noun):
    """A stand-in: body by ANSUR II percentile, where it is, what it looks at."""

    at_m: Point2 = Field(description="Plan position of the seat's middle, or of the feet.")
    seat: CatalogName | None = Field(
        None, description="Seat from the furniture catalogue; without it the person stands."
    )
    seat_with: Name | None = Field(
        None,
        description="Instead of seat: sits beside this person on theirs. The seat then stands in "
        "the middle of all who share it.",
    )
    posture: Literal[
        "seated", "standing", "leaning", "leaning_in", "legs_crossed", "at_bench"
    ] | None = Field(
        None,
        description="Else seated when there is a seat, standing when there is none. Leaning has "
        "the forearms on the thighs, leaning_in only bends forward; at_bench stands, hands on the "
        "work.",
    )  # fmt: skip
    faces: Name | None = Field(None, description="Person or camera the body is turned to.")
    turn_deg: Bearing | None = Field(
        None, description="Instead of faces: 0 looks to plan south, positive turns to the east."
    )
    head_turn_deg: Annotated[float, ranged(-80.0, 80.0)] = Field(
        0.0, description="Turn of the head against the body; positive to the person's left."
    )
    gaze: Name | None = Field(None, description="Person or camera looked at; else as faces.")
    sex: Literal["female", "male"] = Field("female", description="Whose measurements to use.")
    age_years: Annotated[float, ranged(6.0, 95.0)] = Field(
        40.0,
        description="Age. Up to 18 years a body is a child's of that age: CDC growth charts.",
    )
    build: Literal["slim", "average", "heavy"] = Field("average", description="Build.")
    stature_percentile: Annotated[float, ranged(1.0, 99.0)] | None = Field(
        None,
        description="Stature among people of that sex, ANSUR II, among children of that sex and "
        "age, CDC growth charts; 50 if nothing is given. Every "
        "other length, sitting eye height too, takes the same percentile, which few people do: "
        "someone at the 5th of stature is seldom at the 5th of sitting height as well.",
    )
    stature_cm: Annotated[float, ranged(98.0, 220.0)] | None = Field(
        None,
        description="Stature, instead of a percentile: of a grown-up 135 to 220, of a child near "
        "its age's (at 6 years 98 to 134, at 10 years 116 to 162).",
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
    eyes: Literal["dark_brown", "brown", "hazel", "green", "blue", "grey"] | None = Field(
        None, description="Colour of the eyes; else one that goes with the skin."
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
    face: CatalogName | FaceNumber | None = Field(
        None,
        description="Face from the catalogue, or a number for one by chance. Else one that goes "
        "with sex and skin, and that nobody else in the scene has.",
    )
    expression: Expression = Field(
        "neutral",
        description="What the face does: neutral rests; talking, explaining and recalling speak; "
        "listening, attentive and doubtful listen; smiling has its lips together.",
    )
    hands: Literal["resting", "gesturing", "folded", "on_table"] = Field(
        "resting",
        description="Hands: at rest, talking, folded in the lap, or one of them on a table or an "
        "armrest that is near.",
    )
    clothes: Clothes = Field(Clothes(), description="Clothes.")

    @model_validator(mode="after")
    def _no_contradiction(self) -> Self:
        if self.stature_cm is not None and self.stature_percentile is not None:
            raise ValueError("give stature_percentile or stature_cm, not both")
        if self.faces is not None and self.turn_deg is not None:
            raise ValueError("give faces or turn_deg, not both")
        if self.seat is not None and self.seat_with is not None:
            raise ValueError("give seat or seat_with, not both")
        has_seat = self.seat is not None or self.seat_with is not None
        if self.posture in ("seated", "leaning_in", "legs_crossed") and not has_seat:
            raise ValueError(
                f"a person with posture {self.posture} needs a seat, or somebody's to share "
                "(seat_with)"
            )
        return self

    @property
    def seated(self) -> bool:
        """Whether the person sits (leaning forward is sitting too)."""
        has_seat = self.seat is not None or self.seat_with is not None
        return has_seat and self.posture not in STANDING
