"""The log of decisions beside a scene: one a line, appended only, each on the disk once."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from pydantic import ValidationError

from previz.deliver.files import not_written
from previz.errors import InputError, Place, Problem
from previz.model.decisions import Logged

LOG = "decisions.jsonl"


def read_log(folder: Path) -> tuple[Logged, ...]:
    """All decisions in a scene's folder, in the order they came; none where there is no log.

    A last line that a full disk or a power cut left unfinished counts as not written. InputError
    for any other line that holds no decision.
    """
    path = folder / LOG
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return ()
    found: dict[str, Logged] = {}
    problems = []
    for number, line in enumerate(_whole_lines(text), 1):
        if not line.strip():
            continue
        try:
            decision = Logged.model_validate_json(line)
        except ValidationError as error:
            problems.append(Problem(Place(path, number, 1), f"is no decision: {said_of(error)}"))
        else:
            found.setdefault(decision.id, decision)
    if problems:
        raise InputError(problems)
    return tuple(found.values())


def append_to_log(folder: Path, decisions: Sequence[Logged]) -> tuple[Logged, ...]:
    """Put decisions at the end of a scene's log, those that are not in it yet; which these were.

    When it returns they are on the disk. OutputError when they cannot be written: then the log is
    as it was.
    """
    path = folder / LOG
    with _alone(path) as handle:
        before = path.read_bytes()
        kept = before[: len(before) - len(_unfinished(before))]
        known = {entry.id for entry in read_log(folder)}
        new = list({d.id: d for d in decisions if d.id not in known}.values())
        if new:
            end = b"\n" if kept and not kept.endswith(b"\n") else b""
            _write(handle, len(kept), end + b"".join(_line(decision) for decision in new))
    return tuple(new)


def said_of(error: ValidationError) -> str:
    """The first thing that is wrong, and where, in a few words."""
    first = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(str(part) for part in first["loc"])
    what = first["msg"].removeprefix("Value error, ")
    return f"{where}: {what}" if where else what


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


def _whole_lines(text: bytes) -> list[bytes]:
    return text[: len(text) - len(_unfinished(text))].split(b"\n")


def _unfinished(text: bytes) -> bytes:
    """What stands behind the last end of a line and is no JSON."""
    tail = text.rpartition(b"\n")[2]
    try:
        json.loads(tail or b"0")
    except ValueError:
        return tail
    return b""


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
        raise not_written(path, error) from error


def _lock(handle: int) -> None:
    """Wait for it; the lock goes when the file is closed, however that comes about."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - there on Windows alone

        os.lseek(handle, 1 << 40, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
    else:
        import fcntl  # noqa: PLC0415 - there on any other system

        fcntl.flock(handle, fcntl.LOCK_EX)
