"""The record of a package: which parts it has, what each rests on, every file with its digest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path, PurePosixPath

from previz.deliver.files import write_text
from previz.deliver.manifest import MANIFEST

FORM = 1
"""Of the record; one of another form counts as none."""


@dataclass(frozen=True)
class FileNote:
    """A file of a package: its path from the folder, with slashes; bytes; SHA-256 in hex."""

    path: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True)
class PartNote:
    """One part of a package as it was made.

    scene     the scene it is of, by its name in the package; "" for one of the whole day
    rests_on  differs whenever it would have to be made again
    made_as   how it was made, in words: quality, width
    """

    name: str
    scene: str
    rests_on: str
    made_as: str
    seconds: float
    files: tuple[FileNote, ...]
    cautions: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from the other parts."""
        return self.scene, self.name


@dataclass(frozen=True)
class SceneNote:
    """A scene of a package: its name there, its file, title and digest."""

    name: str
    path: str
    title: str
    digest: str


@dataclass(frozen=True)
class PackageRecord:
    """What `manifest.json` of a package holds."""

    previz: str
    scenes: tuple[SceneNote, ...] = ()
    parts: tuple[PartNote, ...] = ()
    form: int = FORM

    def part(self, key: tuple[str, str]) -> PartNote | None:
        """The part of this key, if there is one."""
        return next((part for part in self.parts if part.key == key), None)

    def with_part(self, made: PartNote) -> PackageRecord:
        """The record with a part in place of the one that had its key, or at the end."""
        if self.part(made.key) is None:
            return replace(self, parts=(*self.parts, made))
        parts = tuple(made if part.key == made.key else part for part in self.parts)
        return replace(self, parts=parts)


def read_record(folder: Path) -> PackageRecord | None:
    """The record in a folder; None if there is none that this version wrote."""
    try:
        found = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        if found["form"] != FORM:
            return None
        parts = tuple(_part(**part) for part in found["parts"])
        scenes = tuple(SceneNote(**scene) for scene in found["scenes"])
        return PackageRecord(str(found["previz"]), scenes, parts)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _part(files: list[dict[str, object]], cautions: list[str], **rest: object) -> PartNote:
    notes = tuple(FileNote(**note) for note in files)  # type: ignore[arg-type]
    return PartNote(files=notes, cautions=tuple(cautions), **rest)  # type: ignore[arg-type]


def write_record(folder: Path, record: PackageRecord) -> Path:
    """Write the record whole."""
    path = folder / MANIFEST
    write_text(path, json.dumps(asdict(record), indent=2, allow_nan=False) + "\n")
    return path


def noted(folder: Path, files: Iterable[Path]) -> tuple[FileNote, ...]:
    """Files within `folder` with their digests, in their order."""
    found = []
    for path in files:
        size, digest = _measured(path)
        found.append(FileNote(path.relative_to(folder).as_posix(), size, digest))
    return tuple(found)


def still_there(folder: Path, note: FileNote) -> bool:
    """Whether a file is as it was written."""
    try:
        return _measured(folder / PurePosixPath(note.path)) == (note.size_bytes, note.sha256)
    except OSError:
        return False


@contextmanager
def changed_aside(folder: Path, part: PartNote) -> Iterator[None]:
    """Within it, files of a part that are not as they were written are out of the way of whoever
    makes it anew and would go on from them. Those that are not made again come back.
    """
    aside = {}
    for note in part.files:
        path = folder / note.path
        if path.exists() and not still_there(folder, note):
            aside[path] = path.replace(path.with_name(f".{path.name}.changed"))
    try:
        yield
    finally:
        for path, kept in aside.items():
            if path.exists():
                kept.unlink()
            else:
                kept.replace(path)


def clear_away(folder: Path, before: PartNote, now: PartNote | None) -> None:
    """Delete what an earlier run wrote for a part and this one did not.

    What was changed since is somebody's, and stays.
    """
    kept = {note.path for note in now.files} if now else set()
    for note in before.files:
        if note.path not in kept and still_there(folder, note):
            with suppress(OSError):
                (folder / note.path).unlink()


def _measured(path: Path) -> tuple[int, str]:
    with path.open("rb") as file:
        return path.stat().st_size, hashlib.file_digest(file, "sha256").hexdigest()
