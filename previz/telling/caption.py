"""What a caption says of a frame that is looked at by itself."""

from __future__ import annotations

from datetime import date

from previz.measure.measured import CameraNumbers
from previz.telling.pitch import facts_of

APART = " \N{MIDDLE DOT} "
DIGEST_LETTERS = 8
"""Of a scene's digest: enough to tell a scene from all its earlier versions."""


def caption_of(title: str, camera: str, numbers: CameraNumbers, t_number: float) -> str:
    """Which frame it is: title, camera, focal length, size of shot and stop."""
    return APART.join((title, f"camera {camera}", facts_of(numbers, t_number)))


def made_from(on: date, version: str, digest: str, remarks: tuple[str, ...] = ()) -> str:
    """What it was made from, and when; `remarks` come first, such as that it was relit."""
    made = (on.isoformat(), f"previz {version}", f"scene {digest[:DIGEST_LETTERS]}")
    return APART.join((*remarks, *made))
