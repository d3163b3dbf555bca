"""A file on disk becomes text, or one sentence that says why not."""

from __future__ import annotations

import re
from pathlib import Path

from previz.errors import Place, Problem

MAX_BYTES = 1_000_000

# What YAML calls printable, less the separators (U+0085, U+2028, U+2029) that the YAML reader
# counts as line ends and editors do not: line numbers would no longer agree.
UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")  # fmt: skip # noqa: E501


def read_text(path: Path) -> str | Problem:
    """Text of a UTF-8 file (a leading byte-order mark is dropped), or the problem with it."""
    data = read_bytes(path)
    return data if isinstance(data, Problem) else decode(data, path)


def read_bytes(path: Path) -> bytes | Problem:
    """Bytes of a file that is no larger than a scene may be, or the problem with it."""
    whole = Place(path)
    try:
        if not path.exists():
            return Problem(whole, "no such file")
        if not path.is_file():
            return Problem(whole, "is not a file")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        return Problem(whole, f"cannot be read: {(error.strerror or 'unknown reason').lower()}")
    except ValueError:
        return Problem(whole, "is not a usable file name")
    if len(data) > MAX_BYTES:
        return Problem(whole, f"is larger than {MAX_BYTES // 1000} kB, the most a scene may be")
    return data


def decode(data: bytes, path: Path) -> str | Problem:
    """Bytes as UTF-8 text without control characters, or the problem and where it lies."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Problem(Place(path, 1, 1), "is UTF-16 text; save it as UTF-8")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        byte = data[error.start]
        return Problem(
            _place_after(before, path), f"byte 0x{byte:02x} is not UTF-8; save the file as UTF-8"
        )
    text = text.removeprefix("\ufeff")
    bad = UNREADABLE.search(text)
    if bad:
        return Problem(
            _place_after(text[: bad.start()], path),
            f"invisible character U+{ord(bad.group()):04X} is not allowed; delete it",
        )
    return text


def _place_after(before: str, path: Path) -> Place:
    lines = re.split("\r\n|\r|\n", before.removeprefix("\ufeff"))
    return Place(path, len(lines), len(lines[-1]) + 1)
