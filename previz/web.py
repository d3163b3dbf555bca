"""What every page that previz serves needs: a socket, headers for browsers, one cookie."""

from __future__ import annotations

import os
import socket
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import Message, Send

LOOPBACK = "127.0.0.1"
WAITING = 64
SAFE = {
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
"""Headers of every answer: nothing is told to, opened by or embedded in another site."""


def listening(address: str, port: int) -> socket.socket:
    """A socket that listens; port 0 takes any that is free. OSError when it is taken."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    found = socket.socket(family, socket.SOCK_STREAM)
    try:
        # What the last server left half closed must not keep the next one out.
        if os.name == "posix":
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((address, port))
        found.listen(WAITING)
    except OSError:
        found.close()
        raise
    return found


def cookie_in(headers: Headers, name: str) -> str:
    """The value of a cookie; empty where there is none."""
    try:
        found = SimpleCookie("; ".join(headers.getlist("cookie"))).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def with_headers(send: Send, headers: Mapping[str, str]) -> Send:
    """A `send` that puts these headers on every answer."""

    async def careful(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(headers)
        await send(message)

    return careful
