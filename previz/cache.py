"""What was worked out once and need not be again: arrays in the user's cache folder.

Nothing here is needed for a right answer. A cache that cannot be read or written costs time
and nothing else, and any file of it may be deleted at any moment.

A result is one file: a line of JSON that says where each array lies, and the arrays as they are
in memory, so that a large one is mapped and only what is looked at is read. A file is never
changed once it has its name. Arrays that come from here are read-only.
"""

from __future__ import annotations

import functools
import hashlib
import json
import mmap
import os
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

Arrays = Mapping[str, NDArray[Any]]

FIRST = b"previz arrays 1\n"
ENDING = ".arrays"
PLAIN = "biufcSU"
"""Kinds of arrays that are kept: numbers, truth and text, whose bytes say all."""
ALIGNED = 64
MAPPED_FROM = 1 << 20
"""Bytes from which a file is mapped: a smaller one is read faster, and holds no file open."""
STALE_S = 24 * 3600.0
"""Age at which a file that was never finished was left by a process that is no more."""


def folder() -> Path:
    """The user's cache folder for previz (XDG base directories: `XDG_CACHE_HOME`)."""
    root = os.environ.get("XDG_CACHE_HOME")
    return (Path(root) if root else Path.home() / ".cache") / "previz"


def key_of(sources: Iterable[Path], *what: object) -> str:
    """Name for a result that rests on `what` (by its repr) and on the code in `sources`.

    Code is read once in a process, which runs what it was when it began.
    """
    digest = hashlib.sha256(repr(what).encode())
    digest.update(_code(tuple(sorted(sources))))
    return digest.hexdigest()[:32]


@functools.cache
def _code(sources: tuple[Path, ...]) -> bytes:
    digest = hashlib.sha256()
    for source in sources:
        digest.update(source.read_bytes())
    return digest.digest()


def load(kind: str, key: str) -> dict[str, NDArray[Any]] | None:
    """What was kept under `key`, or None."""
    try:
        path = folder() / kind / f"{key}{ENDING}"
        with path.open("rb") as file:
            arrays = _read(file)
    except (OSError, ValueError, KeyError, TypeError, RuntimeError):
        return None
    with suppress(OSError):
        os.utime(path)  # the least recently used go first
    return arrays


@contextmanager
def nothing_written() -> Iterator[None]:
    """Within it nothing is added to the folder: for what is tried for a moment and not meant."""
    token = _WRITES.set(False)
    try:
        yield
    finally:
        _WRITES.reset(token)


_WRITES: ContextVar[bool] = ContextVar("whether the folder is added to", default=True)


def keep(kind: str, key: str, arrays: Arrays, most: int) -> None:
    """Keep `arrays` under `key`, and of this kind the `most` that were used last.

    TypeError for an array of objects: what can't be read back must not be kept.
    """
    if not _WRITES.get():
        return
    blocks = {name: np.asarray(array, order="C") for name, array in arrays.items()}
    odd = [name for name, block in blocks.items() if block.dtype.kind not in PLAIN]
    if odd:
        raise TypeError(f"arrays of objects cannot be kept: {', '.join(odd)}")
    # RuntimeError: there is no home folder.
    with suppress(OSError, RuntimeError):
        home = folder() / kind
        home.mkdir(parents=True, exist_ok=True)
        fresh = home / f".{key}.{os.getpid()}"
        try:
            with fresh.open("wb") as file:
                _write(file, blocks)
            fresh.replace(home / f"{key}{ENDING}")
        finally:
            fresh.unlink(missing_ok=True)
        _sweep(home, most)


def _write(file: BinaryIO, blocks: Arrays) -> None:
    places, end = {}, 0
    for name, block in blocks.items():
        places[name] = [block.dtype.str, list(block.shape), end]
        end += block.nbytes + -block.nbytes % ALIGNED
    head = FIRST + json.dumps({"bytes": end, "arrays": places}, allow_nan=False).encode()
    head += b" " * (-(len(head) + 1) % ALIGNED) + b"\n"
    file.write(head)
    for block in blocks.values():
        file.write(block.tobytes() if block.ndim == 0 else block.data)
        file.write(bytes(-block.nbytes % ALIGNED))
    # Its name must not be on the disk before the bytes are.
    file.flush()
    os.fsync(file.fileno())


def _read(file: BinaryIO) -> dict[str, NDArray[Any]]:
    """The arrays of a file; ValueError, KeyError or TypeError when it is not one of ours."""
    if file.readline() != FIRST:
        raise ValueError("not a file of arrays")
    head = json.loads(file.readline())
    start = file.tell()
    size = os.fstat(file.fileno()).st_size
    if size != start + head["bytes"]:
        raise ValueError("cut short")
    if size >= MAPPED_FROM:
        # The map outlives the file: whoever removes it takes only its name.
        block: mmap.mmap | bytes = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    else:
        file.seek(0)
        block = file.read()
    return {
        name: _array(block, np.dtype(kind), tuple(shape), start + offset)
        for name, (kind, shape, offset) in head["arrays"].items()
    }


def _array(
    block: mmap.mmap | bytes, kind: np.dtype[Any], shape: tuple[int, ...], offset: int
) -> NDArray[Any]:
    if kind.kind not in PLAIN:
        raise TypeError("an array of objects")
    if any(side < 0 for side in shape):
        raise ValueError("an array of less than nothing")
    count = int(np.prod(shape, dtype=np.int64))
    if count == 0:
        return np.empty(shape, kind)
    return np.frombuffer(block, kind, count, offset).reshape(shape)


def _sweep(home: Path, most: int) -> None:
    """Remove all but the `most` that were used last, and what nobody will finish."""
    kept = []
    with os.scandir(home) as entries:
        for entry in entries:
            # Another process may have removed it since it was listed.
            with suppress(OSError):
                used_s = entry.stat().st_mtime
                if not entry.name.startswith("."):
                    kept.append((used_s, entry.path))
                elif time.time() - used_s > STALE_S:
                    Path(entry.path).unlink(missing_ok=True)
    for _, path in sorted(kept, reverse=True)[most:]:
        # Where a file that is mapped cannot be removed, it goes another time.
        with suppress(OSError):
            Path(path).unlink(missing_ok=True)
