"""What was shown to people, as it is kept beside the scene: read, never written here."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from previz.errors import InputError, Place, Problem
from previz.measure.shown import COLUMNS, ROWS, Facts, Grid

SHOWN = "shown"
FORM = 1


@dataclass(frozen=True, eq=False)
class ShownFrame:
    """One frame as it was shown: what it rests on, its file's digest, what is known of it."""

    showing: str
    scene: str
    camera: str
    shown: str
    sha256: str
    width_px: int
    height_px: int
    facts: Facts

    @property
    def key(self) -> tuple[str, str]:
        """Scene and camera."""
        return self.scene, self.camera


@dataclass(frozen=True, eq=False)
class Showing:
    """All that was shown at once: frames, and the titles of scenes by name."""

    id: str
    title: str
    titles: Mapping[str, str]
    frames: tuple[ShownFrame, ...]
    written_s: float
    file: Path

    def frame(self, scene: str, camera: str, sha256: str) -> ShownFrame | None:
        """The frame with this file; None where it was not shown."""
        keys = (frame for frame in self.frames if frame.key == (scene, camera))
        return next((frame for frame in keys if frame.sha256 == sha256), None)


def showings_in(folder: Path) -> dict[str, Showing]:
    """All showings of a scene's folder by their id, the newest last.

    InputError for a file among them that is none.
    """
    found = [_read(file) for file in (folder / SHOWN).glob("*.json")]
    found.sort(key=lambda showing: (showing.written_s, showing.id))
    return {showing.id: showing for showing in found}


def _written_s(file: Path, raw: Mapping[str, Any]) -> float:
    """When a showing was written, as it says itself; else, as earlier ones do not, its file's."""
    told = raw.get("written_at")
    return file.stat().st_mtime if told is None else datetime.fromisoformat(str(told)).timestamp()


def _read(file: Path) -> Showing:
    try:
        raw = json.loads(file.read_text(encoding="utf-8"))
        if raw["form"] != FORM:
            raise ValueError(f"is of form {raw['form']}, not {FORM}: another previz wrote it")
        titles = {str(scene["name"]): str(scene["title"]) for scene in raw["scenes"]}
        name = str(raw["id"])
        if name != file.stem:
            raise ValueError("has another name than its id")
        return Showing(
            name, str(raw["title"]), titles, tuple(_frames(raw)), _written_s(file, raw), file
        )
    except KeyError as error:
        raise _no_showing(file, f"lacks {error}") from error
    except (OSError, ValueError, TypeError, RecursionError) as error:
        raise _no_showing(file, str(error).splitlines()[0]) from error


def _no_showing(file: Path, why: str) -> InputError:
    return InputError([Problem(Place(file), f"is no showing that can be read: {why}")])


def _frames(raw: Mapping[str, Any]) -> Iterator[ShownFrame]:
    for scene in raw["scenes"]:
        for frame in scene["frames"]:
            yield ShownFrame(
                showing=str(raw["id"]),
                scene=str(scene["name"]),
                camera=str(frame["camera"]),
                shown=str(frame["shown"]),
                sha256=str(frame["sha256"]),
                width_px=int(frame["width_px"]),
                height_px=int(frame["height_px"]),
                facts=_facts(frame.get("facts") or {}),
            )


def _facts(raw: Mapping[str, Any]) -> Facts:
    framing = {
        str(name): float(value)
        for name, value in (raw.get("framing") or {}).items()
        if isinstance(value, int | float) and not isinstance(value, bool)
    }
    return Facts(framing, _grid(raw.get("light") or {}), dict(raw.get("settings") or {}))


def _grid(light: Mapping[str, Any]) -> Grid | None:
    if light.get("grid") is None:
        return None
    grid = np.array(light["grid"], float)
    if grid.shape != (ROWS, COLUMNS) or not np.all(np.isfinite(grid)):
        raise ValueError(f"its light is not {ROWS} rows of {COLUMNS} stops")
    return grid
