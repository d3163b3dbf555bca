"""Files that a user keeps are written whole or not at all."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from previz.errors import OutputError

ANOTHER_PLACE = "name another place with --out"
_CURES = {
    errno.ENOSPC: "the disk is full: free some of it, or name another place with --out",
    errno.EDQUOT: "your share of the disk is used up: free some, or name another place with --out",
    errno.EFBIG: "the file grows larger than this disk, or ulimit -f, allows: name another place "
    "with --out, or render smaller",
    errno.EROFS: "this disk can only be read: name another place with --out",
    errno.EACCES: "no permission: name a place of your own with --out",
    errno.EPERM: "no permission: name a place of your own with --out",
    errno.ENAMETOOLONG: "the name is too long: name a shorter one with --out",
    errno.EISDIR: "a folder of that name is there: move it away, or name another place with --out",
}


_BESIDE_SCENE = {
    errno.ENOSPC: "the disk is full: free some of it",
    errno.EDQUOT: "your share of the disk is used up: free some",
    errno.EFBIG: "the file grows larger than this disk, or ulimit -f, allows",
    errno.EROFS: "this disk can only be read: put the scene's folder where you may write",
    errno.EACCES: "no permission: it belongs beside the scene, so see that you may write there",
    errno.EPERM: "no permission: it belongs beside the scene, so see that you may write there",
    errno.EISDIR: "a folder of that name is there: move it away",
}
"""What helps where a file has its place beside the scene: no option names another."""


def not_written(path: Path, error: OSError, *, beside_scene: bool = False) -> OutputError:
    """What was to be written, why it could not be, and what would help.

    beside_scene  its place is beside the scene, and cannot be named otherwise
    """
    cures = _BESIDE_SCENE if beside_scene else _CURES
    elsewhere = "" if beside_scene else ANOTHER_PLACE
    blocked = _file_in_the_way(path)
    if blocked is not None:
        return OutputError(
            f"{path}: cannot be written, because {blocked} is a file and a folder is wanted "
            f"there: move it away{', or ' if elsewhere else ''}{elsewhere}"
        )
    why = cures.get(error.errno or 0)
    if why is None:
        why = f"{error.strerror or error}{': ' if elsewhere else ''}{elsewhere}"
    return OutputError(f"{path}: cannot be written, {why}")


def _file_in_the_way(path: Path) -> Path | None:
    """What stands where one of the folders above `path` would be, and is none."""
    there = (folder for folder in path.parents if os.path.lexists(folder))
    return next((folder for folder in there if not folder.is_dir()), None)


@contextmanager
def whole_file(path: Path, *, beside_scene: bool = False) -> Iterator[Path]:
    """A path to write to; it becomes `path` once all is on the disk, and vanishes on an error.

    Raises OutputError when the folder cannot be written; `beside_scene` as for `not_written`.
    """
    fresh = path.with_name(f".{path.name}.{os.getpid()}{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        yield fresh
        with fresh.open("rb") as file:
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        raise not_written(path, error, beside_scene=beside_scene) from error
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)


def writable_folder(folder: Path) -> Path:
    """`folder`, made if need be. Raises OutputError now rather than after an hour's rendering."""
    no_file_there(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise not_written(folder, error) from error
    if not os.access(folder, os.W_OK):
        raise not_written(folder, PermissionError(errno.EACCES, ""))
    return folder


def no_file_there(folder: Path) -> Path:
    """`folder`, which is one or can become one. Raises OutputError where a file is in its way."""
    blocked = _file_in_the_way(folder / "*")
    if blocked is not None:
        raise OutputError(
            f"{folder}: is to be a folder, and {blocked} is a file: move it away, or name another "
            "place with --out"
        )
    return folder


def write_text(path: Path, text: str, *, beside_scene: bool = False) -> None:
    """Write a text file whole. OutputError as `whole_file`."""
    with whole_file(path, beside_scene=beside_scene) as fresh:
        fresh.write_text(text, encoding="utf-8")
