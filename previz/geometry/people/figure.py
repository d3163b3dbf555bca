"""Who is in the chair and how they hold themselves: what is asked for, and what comes out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.faces import Face
from previz.geometry.piece import Piece
from previz.model.people import Expression

Array = NDArray[np.float64]

Sex = Literal["female", "male"]
Build = Literal["slim", "average", "heavy"]
SkinClass = Literal["very_light", "light", "intermediate", "tan", "brown", "dark"]
HairStyle = Literal[
    "short", "short_crop", "side_parting", "shaved_sides", "receding", "stubbled", "bald",
    "medium", "bob", "long_loose", "long_tied", "bun", "ponytail", "braids",
    "curly", "curls", "afro", "locs", "covered",
]  # fmt: skip
BeardStyle = Literal["none", "stubble", "moustache", "short_beard", "full_beard"]
Headwear = Literal["none", "headscarf", "loose_headscarf", "turban", "flat_cap", "beanie"]
HairColour = Literal["black", "dark_brown", "brown", "auburn", "blond", "grey", "white"]
EyeColour = Literal["dark_brown", "brown", "hazel", "green", "blue", "grey"]
Clothes = Literal[
    "shirt", "jumper", "jacket", "dress", "t_shirt", "open_shirt", "blouse", "cardigan", "hoodie",
    "apron", "work_jacket", "suit",
]  # fmt: skip
Posture = Literal["seated", "standing", "leaning", "leaning_in", "legs_crossed", "at_bench"]
SeatKind = Literal["chair", "stool", "sofa"]
Hands = Literal["resting", "gesturing", "folded", "on_table"]
Rgb = tuple[float, float, float]


@dataclass(frozen=True)
class Figure:
    """A person's looks.

    sex, age_years       6 to 95; a child below 18
    stature_percentile   of ANSUR II for the sex, of a child among its age; every other length
                         follows the same percentile
    stature_m            instead of the percentile: the height standing, unshod; within
                         `model.growth.statures_cm`, else ValueError
    build                words, or -1 (slim) to 1 (heavy)
    skin                 class of the individual typology angle (ITA), or the angle in degrees
    hair, hair_colour    style and pigment; "covered" is under a headscarf in `scarf_colour`
    beard                of the same pigment
    headwear             over the hair, in `scarf_colour`
    eyes                 colour of the iris; None: one that goes with skin and seed
    spectacles           thin frame with clear glass
    expression           of the face
    clothes              upper garment; `clothes_colour` is linear BT.709 reflectance
    under_colour         of what shows under it, or of a suit's tie; None takes the usual one
    trousers_colour      reflectance of the trousers
    stripe_m             period of a fine vertical stripe, or None for plain cloth
    face                 a face of its own; None draws one by seed
    seed                 mottling, hairs, folds, and the face if none is given
    """

    sex: Sex = "female"
    age_years: float = 35.0
    stature_percentile: float = 50.0
    stature_m: float | None = None
    build: Build | float = "average"
    skin: SkinClass | float = "intermediate"
    hair: HairStyle = "short"
    hair_colour: HairColour = "dark_brown"
    eyes: EyeColour | None = None
    beard: BeardStyle = "none"
    headwear: Headwear = "none"
    spectacles: bool = False
    expression: Expression = "neutral"
    clothes: Clothes = "jumper"
    clothes_colour: Rgb = (0.10, 0.16, 0.24)
    under_colour: Rgb | None = None
    trousers_colour: Rgb = (0.022, 0.030, 0.055)
    stripe_m: float | None = None
    stripe_colour: Rgb = (0.60, 0.60, 0.58)
    scarf_colour: Rgb = (0.22, 0.10, 0.12)
    face: Face | None = None
    seed: int = 1

    def build_number(self) -> float:
        """The build as a number, -1 slim to 1 heavy."""
        if isinstance(self.build, str):
            return {"slim": -1.0, "average": 0.0, "heavy": 1.0}[self.build]
        return float(np.clip(self.build, -1.5, 1.5))


@dataclass(frozen=True)
class Pose:
    """How a person sits or stands, in the person's own frame.

    The frame: origin on the floor under the middle of the hips, Z up, the pelvis facing -Y,
    the person's left at +X.

    posture         "leaning" is seated, bent forward, forearms on the thighs; "leaning_in" is
                    seated, bent forward a little; "at_bench" stands, hands on the work
    seat_height_m   of the seat's upper face
    seat            a sofa lets the back recline, a stool's edge lets the thighs slope
    hands           in the lap (or hanging, when standing), talking, folded, or one on a table
    torso_turn_deg  of the shoulders against the pelvis, towards the person's left
    head_turn_deg   of the head against the shoulders, towards the person's left
    head_tilt_deg   ear towards the person's left shoulder
    gaze_target     point looked at (3,), metres in this frame; None looks straight ahead
    bearing         which of the ways people hold themselves; 0 is square and even
    rest_m          point (3,) on a table or an armrest near one side, in this frame, where a hand
                    may lie; of somebody at a bench, on the work between both; None: there is none
    foot_m          height of what the feet of someone who sits stand on
    """

    posture: Posture = "seated"
    seat_height_m: float = 0.45
    seat: SeatKind = "chair"
    hands: Hands = "resting"
    torso_turn_deg: float = 0.0
    head_turn_deg: float = 0.0
    head_tilt_deg: float = 0.0
    gaze_target: tuple[float, float, float] | None = None
    bearing: int = 0
    rest_m: tuple[float, float, float] | None = None
    foot_m: float = 0.0

    @property
    def stands(self) -> bool:
        """Whether the person stands."""
        return self.posture in ("standing", "at_bench")


@dataclass(frozen=True, eq=False)
class Strands:
    """Hair as curves, for a back end that draws them.

    points       (n, k, 3) control points of cubic B-splines, root first, metres; the end points
                 are repeated by the back end if its curves need that
    radius_m     (n, k) at every control point
    eumelanin, pheomelanin   concentrations as in the absorption model of d'Eon et al. 2011
    absorption   (3,) what those amount to, linear BT.709, per strand radius, fitted so that the
                 mass of hair looks like its word; hair that has turned grey is neutral here,
                 which no mix of the two pigments is
    colour       (3,) linear reflectance for a back end without that model
    tone         (n,) number of each strand's tone, where strands of one head differ in colour
    tone_absorption, tone_colour   (t, 3) of every tone, as `absorption` and `colour`
    """

    points: Array
    radius_m: Array
    eumelanin: float
    pheomelanin: float
    absorption: Array
    colour: Array
    tone: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, np.int64))
    tone_absorption: Array = field(default_factory=lambda: np.zeros((0, 3)))
    tone_colour: Array = field(default_factory=lambda: np.zeros((0, 3)))

    @property
    def by_tone(self) -> list[Strands]:
        """The strands of each tone by themselves, of one colour each."""
        if not len(self.tone_colour):
            return [self]
        found = []
        for number in np.unique(self.tone):
            of = self.tone == number
            look = self.tone_absorption[number], self.tone_colour[number]
            pigments = self.eumelanin, self.pheomelanin
            found.append(Strands(self.points[of], self.radius_m[of], *pigments, *look))
        return found


@dataclass(frozen=True, eq=False)
class Body:
    """A person as meshes, with the points a ruler or a camera asks for.

    pieces        everything that is a mesh, in the person's frame (see Pose)
    strands       hair as curves, or None; "hair" among the pieces is its stand-in as a mesh
    landmarks     name -> point (3,), metres
    face_forward  unit vector the face points along
    gaze          unit vector from between the eyes to what is looked at
    eye_axes      unit vectors of the left and the right eye, (2, 3)
    """

    pieces: tuple[Piece, ...]
    strands: Strands | None
    landmarks: Mapping[str, Array]
    face_forward: Array
    gaze: Array
    eye_axes: Array = field(default_factory=lambda: np.zeros((2, 3)))
