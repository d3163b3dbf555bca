"""How long a client may take: who dribbles a request, or never takes its answer, is cut off."""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

HEADERS_S = 10.0
"""From the connection, or the last answer, to the end of a request's head: an estimate."""
EXCHANGE_S = 90.0
"""From there to the end of the answer: 1 MB at 100 kbit/s, a poor telephone: an estimate."""


class Patience(H11Protocol):
    """A connection that ends when its time is up, whatever its client does."""

    _due: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A client has come: it has so long to say what it wants."""
        super().connection_made(transport)
        self._wait(HEADERS_S)

    def connection_lost(self, exc: Exception | None) -> None:
        """It has gone."""
        self._forget()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """A part of a request; once its head is whole, there is time for the rest."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before:
            self._wait(EXCHANGE_S)

    def on_response_complete(self) -> None:
        """An answer has been taken; another request may come."""
        super().on_response_complete()
        if not self.transport.is_closing():
            self._wait(HEADERS_S)

    def _wait(self, seconds: float) -> None:
        self._forget()
        self._due = self.loop.call_later(seconds, self.transport.abort)

    def _forget(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None
