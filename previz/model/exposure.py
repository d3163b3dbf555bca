"""How the cameras are set, the look of the picture, and its size."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Name, Noun, Text, ranged
from previz.model.cameras import ConfusionRule

WIDTHS_PX = {"360p": 640, "720p": 1280, "hd": 1920, "uhd": 3840}


class WhiteBalance(Noun):
    """What the cameras call white."""

    cct_k: Annotated[float, ranged(1700.0, 20000.0)] | None = Field(
        None, description="Set by number."
    )
    card: Name | None = Field(None, description="Set from a white card held at this person's face.")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.cct_k is None) == (self.card is None):
            raise ValueError("white balance is set by cct_k or from a card: give one")
        return self


class Exposure(Noun):
    """Settings that all cameras share unless one says otherwise."""

    iso: Annotated[float, ranged(25.0, 409600.0)] = Field(800.0, description="ISO speed.")
    fps: Annotated[float, ranged(1.0, 1000.0)] = Field(25.0, description="Frames per second.")
    shutter_deg: Annotated[float, ranged(1.0, 360.0)] = Field(
        180.0, description="Shutter angle: 180 at 25 fps is 1/50 s."
    )
    nd_density: Annotated[float, ranged(0.0, 4.0)] = Field(
        0.0, description="ND filter before the lens; 0.3 is one stop."
    )
    white_balance: WhiteBalance = Field(
        WhiteBalance(cct_k=5600.0), description="What the cameras call white."
    )
    circle_of_confusion: ConfusionRule = Field(
        "diagonal_1500",
        description="What counts as sharp: sensor diagonal / 1500, 0.025 mm (cine), or one pixel "
        "of the delivered picture.",
    )
    mains_hz: Literal[50, 60] | None = Field(
        None,
        description="Frequency of the mains, for the flicker of lamps that follow it; else that of "
        "the outlet in `power`.",
    )


class Look(Noun):
    """From scene light to picture."""

    view: Literal["film", "video"] = Field(
        "film",
        description="film: a film-like shoulder; video: straight, clipped at white.",
    )
    lut: Text | None = Field(None, description="A .cube file in the scene's folder, put on last.")


Delivery = Literal["16x9", "2.39x1", "4x5", "1x1", "9x16"]
ASPECTS: dict[Delivery, float] = {
    "16x9": 16.0 / 9.0, "2.39x1": 2.39, "4x5": 0.8, "1x1": 1.0, "9x16": 9.0 / 16.0,
}  # fmt: skip
"""Width over height: 16:9 of ITU-R BT.709-6, 2.39:1 of SMPTE ST 195 (number from memory), the rest
common practice of telephones, no source."""


def spoken(shape: Delivery) -> str:
    """A shape as people write it: `9:16`, which YAML would read as a number to base 60."""
    return shape.replace("x", ":")


class Picture(Noun):
    """Size and shape of the pictures."""

    size: Literal["360p", "720p", "hd", "uhd"] = Field(
        "720p", description="Picture width 640, 1280, 1920 or 3840 pixels."
    )

    delivery: Annotated[tuple[Delivery, ...], Field(max_length=5)] = Field(
        (),
        description="Shapes that are delivered. Cameras are framed for the first, cut out of the "
        "middle of what they record; the others are cut round the eyes, drawn as guides and "
        "checked. Without any, the picture is what the camera records.",
    )

    @property
    def width_px(self) -> int:
        """Picture width; an upright picture is as high as another of its size is wide."""
        upright = ASPECTS[self.delivery[0]] if self.delivery else 1.0
        return 2 * round(WIDTHS_PX[self.size] * min(upright, 1.0) / 2.0)


class Recording(Noun):
    """How much is recorded."""

    rate_mbit_s: Annotated[float, ranged(0.1, 20000.0)] = Field(
        200.0, description="Bit rate of each camera, megabits a second."
    )
    hours: Annotated[float, ranged(0.0, 1000.0)] = Field(
        2.0, description="Hours each camera records."
    )
