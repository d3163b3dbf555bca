"""The scene: the one truth that everything else is made from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from previz.model.base import Name, Noun, Text
from previz.model.cameras import Camera
from previz.model.exposure import Exposure, Look, Picture, Recording
from previz.model.furniture import Furniture
from previz.model.lights import Light
from previz.model.meters import Meter, Targets
from previz.model.moves import Move
from previz.model.people import Person
from previz.model.pitch import Pitch
from previz.model.power import Power
from previz.model.room import Daylight, Opening, Room
from previz.model.rules import Rules
from previz.model.sets import FurnitureSet
from previz.model.sound import Sound


class Scene(Noun):
    """A filmed interview: room, people, cameras, lights, exposure."""

    previz: Literal[1] = Field(description="Format version of this file: 1.")
    title: Text = Field(description="What the scene is.")
    notes: Text = Field("", description="Anything worth telling the crew.")
    seed: Annotated[int, Field(strict=True, ge=0, le=2**31)] = Field(
        1,
        description="Repeats the same books, leaves, folds and hair. What lies outside the windows "
        "is the same with every seed, so that their light is too.",
    )
    room: Room = Field(description="The room.")
    openings: dict[Name, Opening] = Field(
        {}, max_length=40, description="Windows, doors and plain openings, by name."
    )
    daylight: Daylight = Field(Daylight(), description="What lies outside the windows.")
    people: dict[Name, Person] = Field({}, max_length=12, description="Stand-in people, by name.")
    furniture: dict[Name, Furniture] = Field(
        {}, max_length=200, description="Furniture and props, by name."
    )
    sets: dict[Name, FurnitureSet] = Field(
        {}, max_length=12, description="Pieces that belong together, placed as one, by name."
    )
    cameras: Annotated[dict[Name, Camera], Field(min_length=1, max_length=12)] = Field(
        description="Cameras, by name; the first is the A camera."
    )
    moves: dict[Name, Move] = Field({}, max_length=24, description="Camera moves, by name.")
    lights: dict[Name, Light] = Field(
        {}, max_length=40, description="Lights, boards, frames and flags, by name."
    )
    sound: Sound = Field(Sound(), description="Microphones.")
    exposure: Exposure = Field(Exposure(), description="How the cameras are set.")
    look: Look = Field(Look(), description="From scene light to picture.")
    picture: Picture = Field(Picture(), description="Size of the pictures.")
    meters: dict[Name, Meter] = Field(
        {}, max_length=60, description="Places where the light is read, by name."
    )
    targets: Targets = Field(Targets(), description="What the light should come to.")
    power: Power = Field(Power(), description="Circuits that the lights are plugged into.")
    recording: Recording = Field(Recording(), description="How much is recorded.")
    rules: Rules = Field(Rules(), description="Limits that `check` holds the cameras against.")
    pitch: Pitch = Field(Pitch(), description="What is said when the scene is pitched.")
