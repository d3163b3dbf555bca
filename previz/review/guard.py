"""Who gets in: the holder of a link that is open, from the page of this very server.

What is refused learns nothing: there is one answer for a wrong, an expired and a withdrawn link,
and for every address without one. A link is looked up by the digest of its secret, so that the time
it takes tells nothing about the secret.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from previz.review.limits import Limit
from previz.review.store import Invitation
from previz.web import SAFE, cookie_in, with_headers

LINK = "/r/"
READS = ("GET", "HEAD")
LARGEST_BODY_BYTES = 64 << 10
"""A decision with the longest comment, every letter escaped, is some 30 KB."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
RULES = {**SAFE, "content-security-policy": POLICY, "x-robots-tag": "noindex"}
REFUSED = (
    "refused: open the link that you were sent; if it does not open any more, ask for another\n"
)
TOO_OFTEN = "too often: wait a minute\n"
REVIEWER = "reviewer"


@dataclass(frozen=True)
class Door:
    """Where the review stands. `hosts` may be asked for, `origins` may send decisions.

    cookie  its name
    https   whether browsers come by HTTPS, through a proxy
    """

    hosts: frozenset[str]
    origins: frozenset[str]
    cookie: str
    https: bool


class Guard:
    """Stands before the server. `holder` says whose link a secret is, if it is open."""

    def __init__(
        self, app: ASGIApp, door: Door, holder: Callable[[str], Invitation | None]
    ) -> None:
        self._app, self._door, self._holder = app, door, holder
        self._wrong = Limit(30, 30)
        self._asked = Limit(600, 600)
        self._sent = Limit(60, 60)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in, give the cookie, or refuse."""
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        answer = await self._answer(scope, headers, _client(scope))
        guarded = with_headers(send, self._rules(scope))
        await answer(scope, receive, guarded)

    async def _answer(self, scope: Scope, headers: Headers, client: str) -> ASGIApp:
        if not self._from_here(scope, headers):
            return self._refused(client)
        path = str(scope["path"])
        by_link = path.startswith(LINK)
        secret = path.removeprefix(LINK) if by_link else cookie_in(headers, self._door.cookie)
        holder = self._holder(secret)
        if holder is None:
            return self._refused(client)
        if by_link:
            return self._welcome(secret, holder)
        return self._within_limits(scope, headers, holder)

    def _refused(self, client: str) -> PlainTextResponse:
        """Who holds a link is let in however often others at the same address try."""
        often = not self._wrong.takes(client)
        return PlainTextResponse(TOO_OFTEN, 429) if often else PlainTextResponse(REFUSED, 403)

    def _within_limits(self, scope: Scope, headers: Headers, holder: Invitation) -> ASGIApp:
        limit = self._asked if scope["method"] in READS else self._sent
        if not limit.takes(f"{holder.name} {holder.made_at}"):
            return PlainTextResponse(TOO_OFTEN, 429)
        if _length(headers) > LARGEST_BODY_BYTES:
            return PlainTextResponse("too large\n", 413)
        scope[REVIEWER] = holder.name
        return self._app

    def _from_here(self, scope: Scope, headers: Headers) -> bool:
        host, origin = headers.get("host", "").lower(), headers.get("origin")
        if host not in self._door.hosts or len(headers.getlist("host")) != 1:
            return False
        if scope["method"] in READS:
            return origin is None or origin in self._door.origins
        return scope["method"] == "POST" and origin in self._door.origins

    def _welcome(self, secret: str, holder: Invitation) -> RedirectResponse:
        """Give the cookie, and take the secret out of the address."""
        answer = RedirectResponse("/", 303)
        left = datetime.fromisoformat(holder.expires_at) - datetime.now(UTC)
        # Lax, not strict: the link is opened from a mail, on another site.
        answer.set_cookie(
            self._door.cookie,
            secret,
            max_age=max(int(left.total_seconds()), 0),
            httponly=True,
            samesite="lax",
            secure=self._door.https,
            path="/",
        )
        return answer

    def _rules(self, scope: Scope) -> dict[str, str]:
        kept = scope["path"].startswith("/frame/")
        rules = RULES if kept else {**RULES, "cache-control": "no-store"}
        https = {"strict-transport-security": "max-age=15552000"} if self._door.https else {}
        return {**rules, **https}


def _client(scope: Scope) -> str:
    """The address of who asks; behind a proxy what that says, which the server has checked."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def _length(headers: Headers) -> int:
    told = headers.get("content-length", "0")
    return int(told) if told.isascii() and told.isdigit() else LARGEST_BODY_BYTES + 1
