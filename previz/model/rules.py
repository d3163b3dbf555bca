"""Limits of the trade that findings are held against; all common practice, no source."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import Noun, Percent, ranged

ShotSize = Literal[
    "extreme_close_up",
    "big_close_up",
    "close_up",
    "medium_close_up",
    "medium_shot",
    "medium_wide_shot",
    "wide_shot",
    "extreme_wide_shot",
]
HeadPercent = Annotated[float, ranged(0.1, 1000.0)]


class ShotSizes(Noun):
    """The least share of the frame's height that the head takes in each size, skull to chin.

    A head without its hair is much the same part of everyone, so this names a size whatever the
    posture: with the usual headroom the lower edge then cuts at the chin (big close-up), the collar
    (close-up), mid-chest (medium close-up), the waist (medium shot), the knees (medium wide).
    What is smaller than `wide_shot_pct` is an extreme wide shot.
    """

    extreme_close_up_pct: HeadPercent = Field(115.0, description="Eyes and mouth only.")
    big_close_up_pct: HeadPercent = Field(72.0, description="Face; hairline and chin at the edge.")
    close_up_pct: HeadPercent = Field(46.0, description="Head to the collar.")
    medium_close_up_pct: HeadPercent = Field(31.0, description="Head to mid-chest.")
    medium_shot_pct: HeadPercent = Field(19.0, description="Head to the waist.")
    medium_wide_shot_pct: HeadPercent = Field(13.0, description="Head to the knees.")
    wide_shot_pct: HeadPercent = Field(6.0, description="The whole figure.")

    @model_validator(mode="after")
    def _falling(self) -> Self:
        limits = [limit for _, limit in self.limits()]
        if sorted(limits, reverse=True) != limits or len(set(limits)) != len(limits):
            raise ValueError("the shot sizes must fall from the closest to the widest")
        return self

    def limits(self) -> tuple[tuple[ShotSize, float], ...]:
        """Sizes from the closest to the widest with the least head height, % of the frame."""
        return (
            ("extreme_close_up", self.extreme_close_up_pct),
            ("big_close_up", self.big_close_up_pct),
            ("close_up", self.close_up_pct),
            ("medium_close_up", self.medium_close_up_pct),
            ("medium_shot", self.medium_shot_pct),
            ("medium_wide_shot", self.medium_wide_shot_pct),
            ("wide_shot", self.wide_shot_pct),
        )

    def name_of(self, head_pct: float) -> ShotSize:
        """The size's name by the height of the head, % of the frame's."""
        return next((n for n, least in self.limits() if head_pct >= least), "extreme_wide_shot")


class Rules(Noun):
    """What `check` holds the cameras against."""

    shot_sizes: ShotSizes = Field(ShotSizes(), description="Where the shot sizes change.")
    headroom_max_pct: Percent = Field(18.0, description="Most space over the head, % of height.")
    look_room_min_pct: Percent = Field(
        50.0, description="Least space before the eyes on the side looked to, % of width."
    )
    camera_angle_min_deg: Annotated[float, ranged(0.0, 90.0)] = Field(
        30.0, description="Least angle between two cameras round the subject."
    )
    size_change_min: Annotated[float, ranged(1.0, 10.0)] = Field(
        1.5, description="How many times larger a subject must be for a cut from the same angle."
    )
    eyeline_pitch_max_deg: Annotated[float, ranged(0.0, 45.0)] = Field(
        6.0, description="How far the gaze may fall over or under the lens."
    )
    lens_to_eye_height_max_cm: Annotated[float, ranged(0.0, 200.0)] = Field(
        10.0, description="How far the lens may be over or under the subject's eyes."
    )
    aisle_min_m: Annotated[float, ranged(0.0, 5.0)] = Field(
        0.6, description="Least width to walk past a camera."
    )
    key_side: Literal["far_side", "any"] = Field(
        "far_side",
        description="Side of the guest's face that the key comes from: far_side is across from "
        "the B camera.",
    )
    joint_gap_pct: Percent = Field(
        1.5, description="How near the frame's edge counts as cutting at a joint, % of height."
    )
