"""Cameras: sensor, lens, where they stand, what they aim at."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import CatalogName, Name, Noun, Percent, Point2, Point3, ranged
from previz.model.rules import ShotSize

ConfusionRule = Literal["diagonal_1500", "cine", "pixel"]


class CameraPlace(Noun):
    """Where the lens is: in numbers, or by the framing it is to give."""

    at_m: Point2 | None = Field(None, description="Plan position of the lens (its entrance pupil).")
    frame: ShotSize | None = Field(
        None, description="Instead of at_m: stand where the person aimed at is framed so."
    )
    from_deg: Annotated[float, ranged(-180.0, 180.0)] | None = Field(
        None,
        description="With frame: angle round the person from where their body faces; 0 frontal, "
        "positive towards their left hand, which is to the right in a frontal picture.",
    )
    headroom_pct: Annotated[float, ranged(-60.0, 60.0)] | None = Field(
        None, description="With frame: space over the head, % of the height; else as is usual."
    )
    look_room_pct: Annotated[float, ranged(5.0, 95.0)] | None = Field(
        None,
        description="With frame: space from the eyes to the edge on the side looked to, % of the "
        "width; else as is usual.",
    )
    height: Literal["eye"] | None = Field(
        None, description="`eye`: level with the eyes of the person it aims at."
    )
    height_m: Annotated[float, ranged(0.05, 12.0)] | None = Field(
        None, description="Lens height over the floor."
    )

    @model_validator(mode="after")
    def _one_height(self) -> Self:
        if self.height is not None and self.height_m is not None:
            raise ValueError("give height or height_m, not both")
        return self

    @model_validator(mode="after")
    def _numbers_or_frame(self) -> Self:
        if (self.at_m is None) == (self.frame is None):
            raise ValueError("a camera stands at at_m, or where frame asks: give one")
        extra = (self.from_deg, self.headroom_pct, self.look_room_pct)
        if self.frame is None and any(value is not None for value in extra):
            raise ValueError("from_deg, headroom_pct and look_room_pct go with frame")
        return self

    @property
    def plan_m(self) -> Point2:
        """Plan position; ValueError while `frame` still has to be turned into numbers."""
        if self.at_m is None:
            raise ValueError("this camera has no position yet: its frame is not solved")
        return self.at_m


class Camera(Noun):
    """One camera with its real sensor, recording mode and lens."""

    sensor: CatalogName = Field(description="Sensor from the catalogue.")
    mode: CatalogName = Field("uhd", description="Recording mode of that sensor.")
    lens: CatalogName = Field(description="Lens from the catalogue.")
    focal_length_mm: Annotated[float, ranged(3.0, 2000.0)] | None = Field(
        None, description="Focal length set on a zoom; a prime has only its own."
    )
    f_number: Annotated[float, ranged(0.7, 64.0)] = Field(description="Stop set on the lens.")
    adapter: CatalogName | None = Field(
        None, description="Focal reducer or extender between lens and sensor."
    )
    place: CameraPlace = Field(description="Where the lens is.")
    aim: Name | None = Field(None, description="Person whose eyes it aims at.")
    aim_m: Point3 | None = Field(None, description="Point it aims at, instead of a person.")
    aim_from_left_pct: Percent = Field(
        50.0, description="Where in the picture's width the aimed-at point comes to lie."
    )
    aim_from_top_pct: Percent = Field(
        40.0, description="Where in the picture's height the aimed-at point comes to lie."
    )
    focus: Literal["eye"] | Name = Field(
        "eye", description="`eye` of the person aimed at, or another person's name."
    )
    focus_distance_m: Annotated[float, ranged(0.02, 1000.0)] | None = Field(
        None, description="Focus distance along the lens axis, instead of a person."
    )
    support: Literal["tripod", "shoulder_rig", "gimbal", "none"] = Field(
        "tripod",
        description="What holds it; other cameras see it. A shoulder rig or a gimbal has no legs "
        "on the floor, a range of heights, and somebody behind it who takes room.",
    )
    exposure: Literal["set", "auto"] = Field(
        "set",
        description="`auto`: ISO and ND are chosen by the light, for the face of the person it is "
        "on or for the whole frame. For a first look; render and measure say what it took.",
    )
    iso: Annotated[float, ranged(25.0, 409600.0)] | None = Field(
        None, description="This camera's ISO, if not the scene's."
    )
    nd_density: Annotated[float, ranged(0.0, 4.0)] | None = Field(
        None, description="This camera's ND density, if not the scene's."
    )
    shutter_deg: Annotated[float, ranged(1.0, 360.0)] | None = Field(
        None, description="This camera's shutter angle, if not the scene's."
    )
    fps: Annotated[float, ranged(1.0, 1000.0)] | None = Field(
        None, description="This camera's frame rate, if not the scene's: more is slow motion."
    )
    circle_of_confusion: ConfusionRule | None = Field(
        None, description="This camera's circle of confusion, if not the scene's."
    )

    @model_validator(mode="after")
    def _one_of_each(self) -> Self:
        if (self.aim is None) == (self.aim_m is None):
            raise ValueError("a camera aims at a person (aim) or at a point (aim_m): give one")
        if self.exposure == "auto" and (self.iso, self.nd_density) != (None, None):
            raise ValueError(
                "exposure: auto chooses iso and nd_density itself: leave them out, or auto"
            )
        if self.aim is None and self.place.height == "eye":
            raise ValueError("height: eye needs a person to aim at; give height_m")
        if self.aim is None and self.place.frame is not None:
            raise ValueError("frame needs a person to aim at (aim)")
        if self.aim is None and self.focus == "eye" and self.focus_distance_m is None:
            raise ValueError("a camera that aims at a point needs focus_distance_m or focus: NAME")
        return self
