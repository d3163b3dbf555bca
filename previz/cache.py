"""What was worked out once and need not be again: arrays in the user's cache folder.

Nothing here is needed for a right answer. A cache that cannot be read or written costs time
and nothing else, and any file of it may be deleted at any moment.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Arrays = Mapping[str, NDArray[Any]]


def folder() -> Path:
    """The user's cache folder for previz (XDG base directories: `XDG_CACHE_HOME`)."""
    root = os.environ.get("XDG_CACHE_HOME")
    return (Path(root) if root else Path.home() / ".cache") / "previz"


def key_of(sources: Iterable[Path], *what: object) -> str:
    """Name for a result that rests on `what` (by its repr) and on the code in `sources`."""
    digest = hashlib.sha256(repr(what).encode())
    for source in sorted(sources):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:32]


def load(kind: str, key: str) -> dict[str, NDArray[Any]] | None:
    """What was kept under `key`, or None."""
    path = folder() / kind / f"{key}.npz"
    try:
        with np.load(path, allow_pickle=False) as kept:
            arrays = {name: kept[name] for name in kept.files}
        os.utime(path)  # the least recently used go first
    except (OSError, ValueError, KeyError, EOFError):
        return None
    return arrays


def keep(kind: str, key: str, arrays: Arrays, most: int) -> None:
    """Keep `arrays` under `key`, and of this kind the `most` that were used last."""
    home = folder() / kind
    fresh = home / f".{key}.{os.getpid()}.npz"
    with suppress(OSError):
        home.mkdir(parents=True, exist_ok=True)
        try:
            with fresh.open("wb") as file:
                np.savez(file, allow_pickle=False, **arrays)
            fresh.replace(home / f"{key}.npz")
        finally:
            fresh.unlink(missing_ok=True)
        kept = sorted(home.glob("*.npz"), key=lambda path: path.stat().st_mtime, reverse=True)
        for path in kept[most:]:
            path.unlink(missing_ok=True)
