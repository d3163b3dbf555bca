"""Cameras: sensor, lens, where they stand, what they aim at."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import CatalogName, Name, Noun, Percent, Point2, Point3, ranged


class CameraPlace(Noun):
    """Where the lens is."""

    at_m: Point2 = Field(description="Plan position of the lens (its entrance pupil).")
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
    support: Literal["tripod", "none"] = Field(
        "tripod", description="What holds it; other cameras see it."
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

    @model_validator(mode="after")
    def _one_aim(self) -> Self:
        if (self.aim is None) == (self.aim_m is None):
            raise ValueError("a camera aims at a person (aim) or at a point (aim_m): give one")
        if self.aim is None and self.place.height == "eye":
            raise ValueError("height: eye needs a person to aim at; give height_m")
        if self.aim is None and self.focus == "eye" and self.focus_distance_m is None:
            raise ValueError("a camera that aims at a point needs focus_distance_m or focus: NAME")
        return self
