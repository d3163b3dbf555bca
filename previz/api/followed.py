"""Files that are followed: whether what is in them is still what was there before.

Told by time and size first, by content where these say too little: a file saved twice within one
tick of the file system's clock, or saved anew with nothing changed.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISDIR, S_ISREG

from previz.catalog import Catalog
from previz.catalog.catalog import KINDS
from previz.scenefile import SceneDraft

YOUNG_NS = 2_000_000_000
"""Since its last change a file must be at rest for so long that its time and size say all: the
coarsest clock of a file system in use (FAT) has steps of two seconds, from memory."""


@dataclass(frozen=True)
class Mark:
    """What a file or folder was when it was looked at.

    taken_ns  when that was, by the clock that files are dated by
    content   digest of its bytes, or of the names in a folder
    """

    mtime_ns: int
    size: int
    taken_ns: int
    content: str

    @property
    def settled(self) -> bool:
        """Whether a later change would show in time and size."""
        return self.taken_ns - self.mtime_ns > YOUNG_NS


Marks = Mapping[Path, Mark | None]


def marks_of(paths: Iterable[Path]) -> dict[Path, Mark | None]:
    """The marks of files and folders; None for what is not there or cannot be read."""
    return {path: _mark(path) for path in paths}


def unchanged(marks: Marks) -> Marks | None:
    """The marks taken anew where nothing in the files has changed; None where something has."""
    fresh = {}
    for path, before in marks.items():
        after = before if before is not None and _same_stamp(path, before) else _mark(path)
        if (before and before.content) != (after and after.content):
            return None
        fresh[path] = after
    return fresh


def _same_stamp(path: Path, mark: Mark) -> bool:
    try:
        found = path.stat()
    except (OSError, ValueError):
        return False
    return mark.settled and (found.st_mtime_ns, found.st_size) == (mark.mtime_ns, mark.size)


def _mark(path: Path) -> Mark | None:
    try:
        taken_ns, found = time.time_ns(), path.stat()
        content = _content(path, found.st_mode)
    except (OSError, ValueError):
        return None
    return Mark(found.st_mtime_ns, found.st_size, taken_ns, content)


def _content(path: Path, mode: int) -> str:
    if S_ISDIR(mode):
        names = sorted(entry.name for entry in path.iterdir())
        return hashlib.sha256("\0".join(names).encode(errors="surrogateescape")).hexdigest()
    if not S_ISREG(mode):
        return "no file"  # a pipe must not be waited for
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def files_behind(draft: SceneDraft, sought: Iterable[Path], catalog: Catalog) -> set[Path]:
    """All that an opened scene rests on: its files, those it names, and the catalogue.

    What a scan names in turn (a texture beside it) is not followed.

    sought  the scene's own files that were looked for, there or not
    """
    found = set(sought)
    for name in draft.named:
        found |= {draft.folder / name, catalog.root / name}
    for folder in catalog.folders:
        found |= {folder / f"{kind}.yaml" for kind in KINDS}
    # A new file in the user's folder may have a name that is refused.
    return found | set(catalog.folders[:-1])
