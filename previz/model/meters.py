"""Where light is read, and what it should come to."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Name, Noun, Point3, ranged


class Meter(Noun):
    """A flat receptor anywhere in the room."""

    at_m: Point3 = Field(description="Where it is held.")
    facing: Literal["up", "down"] | Name | None = Field(
        None, description="up, down, or the camera, light or person it faces."
    )
    facing_m: Point3 | None = Field(None, description="Point it faces, instead of a name.")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.facing is None) == (self.facing_m is None):
            raise ValueError("a meter faces a name (facing) or a point (facing_m): give one")
        return self


Stops = Annotated[float, ranged(-12.0, 12.0)]
Ratio = Annotated[float, ranged(1.0, 256.0)]


class FaceTarget(Noun):
    """How bright the face is."""

    stops_over_grey: Stops = Field(
        description="Incident light at the face against what the camera is set for."
    )


class UnderKey(Noun):
    """How much darker than a grey card in the face's light."""

    stops_under_key: Stops = Field(description="Stops below; negative is above.")


class OverKey(Noun):
    """How much brighter than a grey card, or the light, at the face."""

    stops_over_key: Stops = Field(description="Stops above; negative is below.")


class Targets(Noun):
    """What `balance` solves the dimmers and the ND for."""

    camera: Name | None = Field(None, description="Camera they are meant for; else the first.")
    subject: Name | None = Field(None, description="Person they are meant for; else the guest.")
    face: FaceTarget | None = Field(None, description="Exposure of the face.")
    key_to_fill: Ratio | None = Field(
        None, description="Key : fill at the face, each light alone; 4 is two stops."
    )
    lighting_ratio: Ratio | None = Field(
        None, description="(Key + fill) : fill at the face; 5 is key to fill 4."
    )
    background: UnderKey | None = Field(
        None, description="Mean luminance behind the subject, windows and lamps left out."
    )
    hair: OverKey | None = Field(
        None, description="Hair light on the head, facing the light, against the key on the face."
    )
    window: OverKey | None = Field(
        None,
        description="Most that the mean luminance of what is seen of a window may come to.",
    )

    @model_validator(mode="after")
    def _one_ratio(self) -> Self:
        if self.key_to_fill is not None and self.lighting_ratio is not None:
            raise ValueError("give key_to_fill or lighting_ratio, not both")
        return self
