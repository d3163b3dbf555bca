"""Three qualities by name, and how a picture's samples are cut into passes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Quality = Literal["draft", "review", "final"]

PASS_PATHS = 4_000_000
"""Paths traced between two looks at the clock: some seconds on two cores."""


@dataclass(frozen=True)
class Effort:
    """Samples per pixel, and the picture's width unless the scene says."""

    samples: int
    width_px: int | None


EFFORTS: dict[Quality, Effort] = {
    "draft": Effort(samples=4, width_px=640),
    "review": Effort(samples=7, width_px=1280),
    "final": Effort(samples=256, width_px=None),
}


def passes(samples: int, done: int, width_px: int, height_px: int) -> Iterator[int]:
    """Samples of each pass still to go.

    Cut points depend on the picture alone, so a picture that was stopped and continued is
    the one that would have come without the stop.
    """
    size = max(1, PASS_PATHS // (width_px * height_px))
    while done < samples:
        step = min(size - done % size, samples - done)
        yield step
        done += step
