"""Who gets in: the holder of the token, from a page of this very server, and nobody else.

A page on another site can make a browser ask this server for anything, so every request must name
this host (a foreign name that was pointed at this machine does not), come from no other origin, and
carry the token: in the address once, in a cookie from then on. What is refused learns nothing.
A cookie belongs to a host, whatever the port: another server of this machine that the user visits
in the same browser is sent it too. Who can run one there under another account is not held off.
"""

from __future__ import annotations

import hmac
import secrets
from urllib.parse import parse_qs

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from previz.web import SAFE, cookie_in, with_headers

READS = ("GET", "HEAD")
TICKETS = 4
"""Addresses that open the page once and are worth nothing afterwards."""


class Guard:
    """Stands before the server: checks host, origin and token, and what browsers may do with it."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        self._app, self._token = app, token
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._cookie = f"previz_watch_{port}"
        self._tickets: list[str] = []

    def ticket(self) -> str:
        """A token that opens the page once: a browser's command line can be read by others."""
        ticket = secrets.token_urlsafe(32)
        self._tickets = [*self._tickets, ticket][-TICKETS:]
        return ticket

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in, send on to the page, or refuse."""
        headers = Headers(scope=scope)
        if not self._from_here(scope, headers):
            await _refuse(scope, receive, send)
        elif self._same(cookie_in(headers, self._cookie)):
            await self._app(scope, receive, self._careful(scope, headers, send))
        elif scope["type"] == "http" and scope["path"] == "/" and self._admits(scope):
            await self._welcome(scope, receive, send)
        else:
            await _refuse(scope, receive, send)

    def _from_here(self, scope: Scope, headers: Headers) -> bool:
        host, origin = headers.get("host", ""), headers.get("origin")
        if host not in self._hosts or headers.getlist("host") != [host]:
            return False
        if scope["type"] == "websocket":
            return origin == f"http://{host}"
        return scope["method"] in READS and origin in (None, f"http://{host}")

    def _admits(self, scope: Scope) -> bool:
        """Whether the address holds the token, or a ticket, which is then used up."""
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [])
        if len(given) != 1:
            return False
        found = [ticket for ticket in self._tickets if _equal(ticket, given[0])]
        self._tickets = [ticket for ticket in self._tickets if ticket not in found]
        return bool(found) or self._same(given[0])

    def _same(self, given: str) -> bool:
        return _equal(self._token, given)

    async def _welcome(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Give the cookie, and take the token out of the address."""
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._cookie, self._token, httponly=True, samesite="strict", path="/")
        headers = Headers(scope=scope)
        await answer(scope, receive, self._careful(scope, headers, send))

    def _careful(self, scope: Scope, headers: Headers, send: Send) -> Send:
        if scope["type"] != "http":
            return send
        return with_headers(send, _rules(headers["host"]))


def _equal(one: str, other: str) -> bool:
    """Compared in a time that does not tell how much of it is right."""
    return hmac.compare_digest(one.encode(), other.encode("utf-8", "surrogateescape"))


def _rules(host: str) -> dict[str, str]:
    """What a browser may do with an answer: load from here alone, show it in no other page."""
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
        f"connect-src 'self' ws://{host}; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
    return {**SAFE, "content-security-policy": policy, "cache-control": "no-store"}


async def _refuse(scope: Scope, receive: Receive, send: Send) -> None:
    """The same for everybody, whatever was wrong."""
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    await PlainTextResponse("refused: open the address that previz watch printed\n", 403)(
        scope, receive, send
    )
