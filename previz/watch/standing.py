"""Where the server stood last time, so that a page left open finds it again when it comes back."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import socket
import stat
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from previz.cache import folder
from previz.web import LOOPBACK, listening

KEPT_S = 12 * 3600.0
"""After a working day a page that is still open is forgotten."""


@dataclass(frozen=True, eq=False)
class Standing:
    """A socket that listens on the loopback interface, and the token for it."""

    listening: socket.socket
    port: int
    token: str


def stand(scene: Path, port: int | None) -> Standing:
    """Listen: on `port`, else where this scene was watched last, else on any free port.

    OSError when `port` is given and taken. A token is used again only on its own port.
    """
    file = _file(scene)
    kept = _kept(file)
    for wanted in [port] if port is not None else [*([kept[0]] if kept else []), 0]:
        try:
            heard = listening(LOOPBACK, wanted)
        except OSError:
            if port is not None:
                raise
            continue
        found = int(heard.getsockname()[1])
        token = kept[1] if kept and kept[0] == found else secrets.token_urlsafe(32)
        _keep(file, found, token)
        return Standing(heard, found, token)
    raise OSError("no port is free on the loopback interface")


def _file(scene: Path) -> Path:
    name = hashlib.sha256(str(scene.resolve()).encode()).hexdigest()[:24]
    return folder() / "watch" / f"{name}.json"


def _kept(file: Path) -> tuple[int, str] | None:
    """Port and token of the last time; None where there is none that only this user could write."""
    try:
        about = file.stat()
        if about.st_mtime < time.time() - KEPT_S:
            return None
        if os.name == "posix" and (about.st_uid != os.getuid() or about.st_mode & 0o077):
            return None
        raw = json.loads(file.read_text(encoding="utf-8"))
        port, token = int(raw["port"]), str(raw["token"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return (port, token) if 1024 <= port < 65536 and len(token) >= 43 else None


def _keep(file: Path, port: int, token: str) -> None:
    """For this user's eyes only; a folder that cannot be written costs the next page its way."""
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh = file.with_suffix(f".{secrets.token_hex(8)}")
        owner = stat.S_IRUSR | stat.S_IWUSR
        handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, owner)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump({"port": port, "token": token}, out, allow_nan=False)
        fresh.replace(file)
