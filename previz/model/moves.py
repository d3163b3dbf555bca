"""Camera moves: which camera goes where, in how many seconds, and what its lens does on the way."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Name, Noun, Percent, Point2, Point3, ranged

MoveKind = Literal["slider", "dolly", "gimbal_walk", "pan_and_tilt", "focus_pull"]
Ease = Literal["linear", "ease_in", "ease_out", "ease_in_and_out"]


class MoveKey(Noun):
    """Where the camera is, and how its lens is set, at one moment of a move.

    What a key leaves out goes on from the keys before to the keys after it. What a move has not
    given by its first second begins as the camera has it.
    """

    at_s: Annotated[float, ranged(0.0, 600.0)] | None = Field(
        None, description="When: seconds from the start of the move."
    )
    at_pct: Percent | None = Field(
        None, description="Instead of at_s: when, as a share of the whole move."
    )
    at_m: Point2 | None = Field(None, description="Plan position of the lens.")
    height_m: Annotated[float, ranged(0.05, 12.0)] | None = Field(
        None, description="Lens height over the floor."
    )
    aim: Name | None = Field(None, description="Person whose eyes it aims at.")
    aim_m: Point3 | None = Field(None, description="Point it aims at, instead of a person.")
    pan_deg: Annotated[float, ranged(-180.0, 180.0)] | None = Field(
        None,
        description="Instead of an aim: degrees panned from where the camera looks before the "
        "move, to the right positive; 0 if only tilt_deg is given.",
    )
    tilt_deg: Annotated[float, ranged(-90.0, 90.0)] | None = Field(
        None,
        description="Instead of an aim: degrees tilted from where the camera looks before the "
        "move, up positive; 0 if only pan_deg is given.",
    )
    focal_length_mm: Annotated[float, ranged(3.0, 2000.0)] | None = Field(
        None, description="Focal length set on a zoom."
    )
    f_number: Annotated[float, ranged(0.7, 64.0)] | None = Field(
        None, description="Stop set on the lens."
    )
    focus: Literal["eye"] | Name | None = Field(
        None, description="`eye` of the person aimed at, or another person's name."
    )
    focus_distance_m: Annotated[float, ranged(0.02, 1000.0)] | None = Field(
        None, description="Focus distance along the lens axis, instead of a person."
    )
    ease: Ease | None = Field(
        None,
        description="How it leaves this key and comes to the next; else it runs through inner keys "
        "without a stop.",
    )

    @model_validator(mode="after")
    def _one_of_each(self) -> Self:
        if (self.at_s is None) == (self.at_pct is None):
            raise ValueError("a key has its moment in at_s or in at_pct: give one")
        turned = self.pan_deg is not None or self.tilt_deg is not None
        if (self.aim is not None) + (self.aim_m is not None) + turned > 1:
            raise ValueError("a key aims by aim, by aim_m, or by pan_deg and tilt_deg: give one")
        if self.focus is not None and self.focus_distance_m is not None:
            raise ValueError("give focus or focus_distance_m, not both")
        return self


class Move(Noun):
    """One camera in motion. The camera stands, aims and focuses as it does unless a key says.

    A slider runs straight and level, a dolly on its track, straight or in a curve through the
    places given; a gimbal walk sways with the steps of who carries it. `pan_and_tilt` stays on its
    tripod, and a `focus_pull` turns nothing but the focus ring. All but the last may zoom.
    """

    camera: Name = Field(description="The camera that moves.")
    kind: MoveKind = Field(description="What carries it.")
    duration_s: Annotated[float, ranged(0.2, 600.0)] = Field(description="How long it takes.")
    ease: Ease = Field(
        "ease_in_and_out",
        description="How the whole move begins and ends: ease_in starts from rest, ease_out comes "
        "to rest, linear does neither.",
    )
    length_m: Annotated[float, ranged(0.1, 10.0)] | None = Field(
        None, description="Of a slider: how far its carriage can run."
    )
    sway_mm: Annotated[float, ranged(0.0, 50.0)] | None = Field(
        None,
        description="Of a gimbal walk: how far a step still lifts the camera; 0 for none. Else 6, "
        "an estimate for a soft walk with a stabilised head.",
    )
    keys: Annotated[tuple[MoveKey, ...], Field(min_length=1, max_length=40)] = Field(
        description="Moments of the move, in the order of time."
    )

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Self:
        if self.kind == "slider" and self.length_m is None:
            raise ValueError("a slider needs its length_m: how far its carriage can run")
        if self.kind != "slider" and self.length_m is not None:
            raise ValueError("only a slider has a length_m")
        if self.sway_mm is not None and self.kind != "gimbal_walk":
            raise ValueError("only a gimbal_walk has a sway_mm")
        return self

    def moment_s(self, key: MoveKey) -> float:
        """When a key is, seconds from the start of the move."""
        if key.at_s is not None:
            return key.at_s
        assert key.at_pct is not None
        return key.at_pct / 100.0 * self.duration_s
