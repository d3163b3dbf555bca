"""Decisions put at the end of a scene's log: each on the disk, and each once."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from previz.deliver.files import not_written
from previz.model.decisions import Logged
from previz.scenefile.decisions import LOG, read_log, unfinished


def append_to_log(folder: Path, decisions: Sequence[Logged]) -> tuple[Logged, ...]:
    """Put decisions at the end of a scene's log, those that are not in it yet; which these were.

    When it returns they are on the disk. OutputError when they cannot be written: then the log is
    as it was.
    """
    path = folder / LOG
    with _alone(path) as handle:
        before = path.read_bytes()
        kept = before[: len(before) - len(unfinished(before))]
        known = {entry.id for entry in read_log(folder)}
        new = list({d.id: d for d in decisions if d.id not in known}.values())
        if new:
            end = b"\n" if kept and not kept.endswith(b"\n") else b""
            _write(handle, len(kept), end + b"".join(_line(decision) for decision in new))
    return tuple(new)


def _write(handle: int, at: int, lines: bytes) -> None:
    """Lines in place of all that stands behind `at`; on an error nothing stands there."""
    try:
        os.ftruncate(handle, at)
        os.lseek(handle, at, os.SEEK_SET)
        while lines:
            lines = lines[os.write(handle, lines) :]
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, at)
        raise


def _line(decision: Logged) -> bytes:
    told = json.dumps(decision.model_dump(mode="json"), ensure_ascii=False, allow_nan=False)
    return told.encode() + b"\n"


@contextmanager
def _alone(path: Path) -> Iterator[int]:
    """The file's handle, made if need be, for one process at a time."""
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
        try:
            _lock(handle)
            yield handle
        finally:
            os.close(handle)
    except OSError as error:
        raise not_written(path, error, beside_scene=True) from error


def _lock(handle: int) -> None:
    """Wait for it; the lock goes when the file is closed, however that comes about."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - there on Windows alone

        os.lseek(handle, 1 << 40, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
    else:
        import fcntl  # noqa: PLC0415 - there on any other system

        fcntl.flock(handle, fcntl.LOCK_EX)
