"""The record of a day's stills: what was pointed at and found, kept with the scene."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from previz.deliver.files import write_text

FOLDER = "verified"
FORM = 1
"""Of the record; one of another form is not listed."""
DIGEST_LETTERS = 8


@dataclass(frozen=True)
class DayRecord:
    """One still that was verified. Nothing in it rests on when that was done.

    result  what was found, as `verify --json` prints it
    """

    camera: str
    still: str
    still_sha256: str
    taken: str | None
    scene_digest: str
    set_digest: str
    marks: dict[str, Any]
    result: dict[str, Any]

    @property
    def name(self) -> str:
        """Name of its file."""
        return f"{self.camera}_{self.still_sha256[:DIGEST_LETTERS]}.json"


def write_record(scene_folder: Path, record: DayRecord) -> Path:
    """Write a record into the scene's folder; one of the same camera and still is replaced."""
    path = scene_folder / FOLDER / record.name
    told = {"form": FORM, **vars(record)}
    text = json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False)
    write_text(path, text + "\n", beside_scene=True)
    return path


def read_records(scene_folder: Path) -> Iterator[tuple[Path, DayRecord]]:
    """Every record in a scene's folder, by when the stills were taken, then by name."""
    found = [(path, _read(path)) for path in sorted((scene_folder / FOLDER).glob("*.json"))]
    held = [(path, record) for path, record in found if record is not None]
    yield from sorted(held, key=lambda pair: (pair[1].taken or "", pair[0].name))


def _read(path: Path) -> DayRecord | None:
    """A record; None for a file that is none of this form."""
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        if told.pop("form") != FORM:
            return None
        return DayRecord(**told)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
