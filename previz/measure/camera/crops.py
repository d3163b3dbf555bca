"""What can be cut out of a frame later: HD with room to move, vertical and square pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from previz.model.exposure import ASPECTS, Delivery
from previz.model.rules import Rules, ShotSize

HD_PX = (1920, 1080)
"""HD of ITU-R BT.709-6."""
NAMES: dict[Delivery, str] = {
    "16x9": "wide_16_9", "2.39x1": "wide_2_39", "4x5": "upright_4_5", "1x1": "square",
    "9x16": "vertical_9_16",
}  # fmt: skip
ALWAYS: tuple[Delivery, ...] = ("9x16", "1x1")
"""What is asked for later without anybody having said so: common practice, no source."""
EYES_PCT = 40.0
"""Where a cut puts the eyes, % from its top, as far as the recording reaches: common
practice, no source."""


@dataclass(frozen=True)
class Crop:
    """One picture cut out of the frame, round the eyes as far as the frame allows.

    left_pct, right_pct   edges, % of the frame's width
    top_pct, bottom_pct   edges, % of its height
    spare_across_px, spare_down_px
                          how far it can be moved, in pixels of the recording
    head_fits             the whole head is in it
    headroom_pct, eye_height_pct
                          over the head and down to the eyes, % of the cut's own height
    """

    left_pct: float
    top_pct: float
    right_pct: float
    bottom_pct: float
    spare_across_px: int
    spare_down_px: int
    shot_size: ShotSize
    head_fits: bool
    headroom_pct: float
    eye_height_pct: float


class HeadOutline(Protocol):
    """Outline of a head, % of the frame."""

    @property
    def left_pct(self) -> float:
        """Left edge."""

    @property
    def top_pct(self) -> float:
        """Top of the hair."""

    @property
    def right_pct(self) -> float:
        """Right edge."""

    @property
    def chin_pct(self) -> float:
        """Chin."""

    @property
    def skull_height_pct(self) -> float:
        """Top of the skull to the chin."""


def crops_of(
    head: HeadOutline,
    eyes_pct: tuple[float, float],
    mode_px: tuple[int, int],
    recorded_px: tuple[int, int],
    delivery: Sequence[Delivery],
    rules: Rules,
) -> dict[str, Crop]:
    """HD at full resolution, where there is more, upright and square pictures, and what is asked.

    eyes_pct     the eyes from left and top, % of the frame
    mode_px      width and height of the frame
    recorded_px  of what is recorded: more, where only its middle is delivered first
    """
    (width, height), (wide, tall) = mode_px, recorded_px
    limits = (wide / width, tall / height)
    found = {}
    if width > HD_PX[0] and height >= HD_PX[1]:
        across, down = HD_PX[0] / width, HD_PX[1] / height
        found["hd"] = _crop(head, eyes_pct, (across, down), limits, mode_px, rules)
    for name in dict.fromkeys((*delivery[1:], *ALWAYS)):
        aspect = ASPECTS[name]
        size = (min(wide, round(tall * aspect)), min(tall, round(wide / aspect)))
        share = (size[0] / width, size[1] / height)
        found[NAMES[name]] = _crop(head, eyes_pct, share, limits, mode_px, rules)
    return found


def _crop(
    head: HeadOutline, eyes_pct: tuple[float, float], share: tuple[float, float],
    limits: tuple[float, float], mode_px: tuple[int, int], rules: Rules,
) -> Crop:  # fmt: skip
    """`share` of the frame's width and height, within `limits`: what is recorded, likewise."""
    across, down = (100.0 * part for part in share)
    first = [50.0 - 50.0 * limit for limit in limits]
    last = [50.0 + 50.0 * limit for limit in limits]
    left = min(max(eyes_pct[0] - across / 2.0, first[0]), last[0] - across)
    top = min(max(eyes_pct[1] - EYES_PCT / 100.0 * down, first[1]), last[1] - down)
    right, bottom = left + across, top + down
    fits = left <= head.left_pct and head.right_pct <= right
    fits = fits and top <= head.top_pct and head.chin_pct <= bottom
    spare = [
        round((limit - part) * px) for limit, part, px in zip(limits, share, mode_px, strict=True)
    ]
    return Crop(
        left_pct=left,
        top_pct=top,
        right_pct=right,
        bottom_pct=bottom,
        spare_across_px=spare[0],
        spare_down_px=spare[1],
        shot_size=rules.shot_sizes.name_of(head.skull_height_pct * 100.0 / down),
        head_fits=fits,
        headroom_pct=100.0 * (head.top_pct - top) / down,
        eye_height_pct=100.0 * (eyes_pct[1] - top) / down,
    )
