"""What can be cut out of a frame later: HD with room to move, vertical and square pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from previz.model.rules import Rules, ShotSize

# HD of ITU-R BT.709-6; the upright and the square picture of telephones are common practice, no
# source.
HD_PX = (1920, 1080)
SHAPES = {"vertical_9_16": 9.0 / 16.0, "square": 1.0}


@dataclass(frozen=True)
class Crop:
    """One picture cut out of the frame, round the eyes as far as the frame allows.

    left_pct, right_pct   edges, % of the frame's width
    top_pct, bottom_pct   edges, % of its height
    spare_across_px, spare_down_px
                          how far it can be moved, in pixels of the recording
    head_fits             the whole head is in it
    """

    left_pct: float
    top_pct: float
    right_pct: float
    bottom_pct: float
    spare_across_px: int
    spare_down_px: int
    shot_size: ShotSize
    head_fits: bool


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
    head: HeadOutline, eye_x_pct: float, eye_y_pct: float, mode_px: tuple[int, int], rules: Rules
) -> dict[str, Crop]:
    """HD at full resolution, where the recording has more, and the upright and square pictures."""
    width, height = mode_px
    found = {}
    if width > HD_PX[0] and height >= HD_PX[1]:
        found["hd"] = _crop(head, (eye_x_pct, eye_y_pct), HD_PX, mode_px, rules)
    for name, aspect in SHAPES.items():
        size = (min(width, round(height * aspect)), min(height, round(width / aspect)))
        found[name] = _crop(head, (eye_x_pct, eye_y_pct), size, mode_px, rules)
    return found


def _crop(
    head: HeadOutline, eyes_pct: tuple[float, float], size: tuple[int, int], of: tuple[int, int],
    rules: Rules,
) -> Crop:  # fmt: skip
    across, down = 100.0 * size[0] / of[0], 100.0 * size[1] / of[1]
    # Eyes in the middle across and at 40 % from the top, as far as the recording reaches.
    left = min(max(eyes_pct[0] - across / 2.0, 0.0), 100.0 - across)
    top = min(max(eyes_pct[1] - 0.4 * down, 0.0), 100.0 - down)
    right, bottom = left + across, top + down
    fits = left <= head.left_pct and head.right_pct <= right
    fits = fits and top <= max(head.top_pct, 0.0) and head.chin_pct <= bottom
    return Crop(
        left_pct=left,
        top_pct=top,
        right_pct=right,
        bottom_pct=bottom,
        spare_across_px=of[0] - size[0],
        spare_down_px=of[1] - size[1],
        shot_size=rules.shot_sizes.name_of(head.skull_height_pct * 100.0 / down),
        head_fits=fits and head.top_pct >= 0.0,
    )
