"""Files that a user keeps are written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from previz.errors import OutputError


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; it becomes `path` once all is on the disk, and vanishes on an error.

    Raises OutputError when the folder cannot be written.
    """
    fresh = path.with_name(f".{path.name}.{os.getpid()}{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        yield fresh
        with fresh.open("rb") as file:
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror or error})") from error
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)


def writable_folder(folder: Path) -> Path:
    """`folder`, made if need be. Raises OutputError now rather than after an hour's rendering."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror or error})") from error
    if not os.access(folder, os.W_OK):
        raise OutputError(f"{folder}: cannot be written (no permission)")
    return folder


def write_text(path: Path, text: str) -> None:
    """Write a text file whole."""
    with whole_file(path) as fresh:
        fresh.write_text(text, encoding="utf-8")
