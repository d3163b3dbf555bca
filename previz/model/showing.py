"""What was shown to somebody: frames by digest, and the numbers to say later how a frame changed.

A decision names the showing it was made on. Other programs read these names; add, do not rename.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Literal

from previz.model.base import Noun

ID_LETTERS = 16
Setting = str | float | int | bool | None


class LightGrid(Noun):
    """Stops over mid grey in the cells of a frame, 9 rows of 16 columns."""

    grid: tuple[tuple[float, ...], ...]


class FrameFacts(Noun):
    """Numbers of one frame.

    framing   of the person it is on, % of the frame; empty where it is on nobody
    settings  the scene's values that bear on pictures, by dotted path
    """

    framing: dict[str, float]
    light: LightGrid
    settings: dict[str, Setting]


class ShownFrame(Noun):
    """One camera's frame as it was shown.

    shown   digest of what the frame rests on; an approval is bound to it
    sha256  of the frame's PNG as previz wrote it
    """

    camera: str
    shown: str
    sha256: str
    width_px: int
    height_px: int
    facts: FrameFacts


class ShownScene(Noun):
    """One scene of a showing, or another look at one."""

    name: str
    title: str
    digest: str
    frames: tuple[ShownFrame, ...]


class Showing(Noun):
    """All that was shown at once. `id` is of what was seen: the same frames, the same showing.

    written_at  when it was last written, ISO 8601 in UTC: tells which showing is the newest
    """

    form: Literal[1] = 1
    id: str
    previz: str
    title: str
    written_at: str
    scenes: tuple[ShownScene, ...]


def showing_id(scenes: Sequence[ShownScene]) -> str:
    """First letters of the SHA-256 of all (scene, camera, shown, sha256) as canonical JSON."""
    seen = [[s.name, f.camera, f.shown, f.sha256] for s in scenes for f in s.frames]
    told = json.dumps(seen, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(told.encode()).hexdigest()[:ID_LETTERS]
