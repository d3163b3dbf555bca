"""What is said when a scene is pitched. Words alone: no picture and no number rests on them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from previz.model.base import Name, Noun, Text

Line = Annotated[str, StringConstraints(strict=True, min_length=1, max_length=300)]


class Alternative(Noun):
    """Another look at the scene, in a file of its own that is based on this one."""

    scene: Text = Field(description="The variant's scene file, in the scene's folder.")
    line: Line | None = Field(None, description="Why one would take it; else its title.")


class Pitch(Noun):
    """Words of a pitch, as the cinematographer writes to the client."""

    line: Line | None = Field(None, description="One sentence under the title.")
    by: Line | None = Field(None, description="Who presents.")
    cameras: dict[Name, Annotated[tuple[Line, ...], Field(max_length=3)]] = Field(
        {}, max_length=12, description="By camera: up to three lines on what it is for."
    )
    light: Text | None = Field(None, description="What the light is to do.")
    alternatives: dict[Name, Alternative] = Field(
        {}, max_length=8, description="Other looks to choose from, by name."
    )
    place: Annotated[tuple[Line, ...], Field(max_length=8)] = Field(
        (), description="What the place must provide besides, a line each."
    )
    close: Text | None = Field(None, description="The last word, beside the cautions.")
