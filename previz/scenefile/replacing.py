"""A scene's file gets another text: whole or not at all, and never over another's change."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

from previz.errors import InputError, OutputError, Place, Problem
from previz.scenefile.text import MAX_BYTES, decode, read_bytes

BOM = "\ufeff"
"""The byte-order mark with which some editors begin a file."""
_OTHER = "the file was changed meanwhile: nothing was written; look at it and do it again"
_CURES = {
    errno.ENOSPC: "the disk is full: free some of it",
    errno.EDQUOT: "your share of the disk is used up: free some of it",
    errno.EROFS: "this disk can only be read: copy the scene to another",
    errno.EACCES: "no permission: give yourself the right to write it and its folder",
    errno.EPERM: "no permission: give yourself the right to write it and its folder",
}


def contents(path: Path) -> str:
    """The text of a scene's file, with its byte-order mark if it has one.

    InputError when it cannot be read or is no text that a scene may be.
    """
    data = read_bytes(path)
    text = data if isinstance(data, Problem) else decode(data, path)
    if isinstance(text, Problem) or isinstance(data, Problem):
        raise InputError([problem for problem in (data, text) if isinstance(problem, Problem)])
    return BOM + text if data.startswith(BOM.encode()) else text


def refuse_other(path: Path, found: str, expected: str, refusal: str = _OTHER) -> None:
    """InputError with this refusal when a file's text is not the expected one."""
    if found != expected:
        raise InputError([Problem(Place(path), refusal)])


def replace_contents(path: Path, before: str, after: str) -> None:
    """Give a file that holds `before` the text `after`, its permissions kept; links are followed.

    Whoever reads the file finds the one text or the other. InputError when it holds another than
    `before`, OutputError when it cannot be written.
    """
    data = after.encode("utf-8")
    if len(data) > MAX_BYTES:
        most = f"would be larger than {MAX_BYTES // 1000} kB, the most a scene may be"
        raise InputError([Problem(Place(path), most)])
    try:
        target = path.resolve(strict=True)
        if not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, "no permission")
        _replace(target, path, before, data)
    except OSError as error:
        why = _CURES.get(error.errno or 0, str(error.strerror or error).lower())
        raise OutputError(f"{path}: cannot be written, {why}") from error


def _replace(target: Path, path: Path, before: str, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            # Its name must not be on the disk before the bytes are.
            os.fsync(file.fileno())
        _like(fresh, target)
        # As late as can be: an editor may have saved while the scene was checked.
        refuse_other(path, contents(path), before)
        fresh.replace(target)
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)


def _like(fresh: Path, target: Path) -> None:
    """The owner, as far as we may, and the permissions of the file that is replaced."""
    was = target.stat()
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(fresh, was.st_uid, was.st_gid)
    shutil.copymode(target, fresh)
