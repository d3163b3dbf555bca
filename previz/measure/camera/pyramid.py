"""What a picture, or a window of one, takes in from the lens on."""

from __future__ import annotations

from dataclasses import dataclass

from previz.stage.stage import StageCamera

BESIDE_PX = 8
"""Hair is left out by its middle line: also close up it is thinner than this, an estimate."""


@dataclass(frozen=True)
class PixelWindow:
    """A part of the picture, pixels from the top left; right and bottom are not in it."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows, columns."""
        return max(self.bottom - self.top, 0), max(self.right - self.left, 0)


@dataclass(frozen=True)
class Pyramid:
    """What a picture or a part of it takes in, from the lens on: slopes against the axis.

    left, right  to the right, metres a metre ahead
    low, high    upwards
    """

    left: float
    right: float
    low: float
    high: float


def whole_pyramid(camera: StageCamera) -> Pyramid:
    """That of the frame, with a little more above and below, as heights are rounded to pixels."""
    wide = float(0.5 * camera.sensor_width_m / camera.focal_length_m)
    tall = wide * 1.02 / camera.aspect
    return Pyramid(-wide, wide, -tall, tall)


def window_pyramid(camera: StageCamera, size: tuple[int, int], window: PixelWindow) -> Pyramid:
    """That of a window in a picture of some size, with a little more on every side."""
    slope = float(camera.sensor_width_m / camera.focal_length_m / size[0])
    return Pyramid(
        left=(window.left - BESIDE_PX - 0.5 * size[0]) * slope,
        right=(window.right + BESIDE_PX - 0.5 * size[0]) * slope,
        low=(0.5 * size[1] - window.bottom - BESIDE_PX) * slope,
        high=(0.5 * size[1] - window.top + BESIDE_PX) * slope,
    )
