"""Three qualities by name, and how a picture's samples are cut into passes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Quality = Literal["draft", "review", "final"]


@dataclass(frozen=True)
class Effort:
    """Samples per pixel, and the picture's width unless the scene says."""

    samples: int
    width_px: int | None


EFFORTS: dict[Quality, Effort] = {
    "draft": Effort(samples=3, width_px=640),
    "review": Effort(samples=5, width_px=1280),
    "final": Effort(samples=96, width_px=None),
}


def passes(samples: int, done: int, pixels: int, most_paths: int) -> Iterator[int]:
    """Samples of each pass still to go, with `most_paths` paths in each.

    Cut points depend on the picture and the back end alone, so a picture that was stopped and
    continued is the one that would have come without the stop.
    """
    size = max(1, most_paths // pixels)
    while done < samples:
        step = min(size - done % size, samples - done)
        yield step
        done += step
