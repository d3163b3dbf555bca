"""Microphones, as far as they stand in the picture."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from previz.model.base import Name, Noun, Point2, ranged


class Boom(Noun):
    """A microphone on a pole over a person's head, held by a stand."""

    over: Name = Field(description="Person it points at.")
    stand_at_m: Point2 = Field(description="Plan position of the stand.")
    above_head_m: Annotated[float, ranged(0.05, 3.0)] = Field(
        0.45, description="Height of the microphone over the top of the head."
    )
    ahead_m: Annotated[float, ranged(0.0, 2.0)] = Field(
        0.35, description="How far before the face the microphone hangs."
    )


class Sound(Noun):
    """The microphones of the set."""

    boom: Boom | None = Field(None, description="Boom microphone.")
    lavalier: Name | None = Field(None, description="Person who wears a clip-on microphone.")
