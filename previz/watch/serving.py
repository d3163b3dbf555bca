"""A watch from its beginning to its end: engine, server, and what ends them."""

from __future__ import annotations

import asyncio
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import uvicorn

from previz.errors import InputError, MissingError, Place, Problem
from previz.watch.engine import Engine, Hands
from previz.watch.guard import Guard
from previz.watch.hub import Hub
from previz.watch.latest import worker
from previz.watch.server import Server
from previz.watch.standing import stand
from previz.watch.wire import LARGEST_BYTES
from previz.web import LOOPBACK

FAREWELL_S = 2
"""So long a page may take to hear that the server ends."""
STARTED_S = 10.0


class Watch:
    """A scene file that is watched, from `start` to `stop`. OSError when the port is taken."""

    def __init__(
        self, path: Path, hands: Hands, *, port: int | None = None, width_px: int = 1280
    ) -> None:
        self._standing = stand(path, port)
        self._hub = Hub()
        self._ended = threading.Event()
        self._failure: BaseException | None = None
        self._engine = Engine(path, hands, self._hub, self._fail)
        engine = self._engine
        server = Server(self._hub, engine.reader, engine.look_at, engine.show, width_px)
        self._guard = Guard(server.app, self._standing.port, self._standing.token)
        self._uvicorn = uvicorn.Server(
            uvicorn.Config(
                self._guard,
                ws="websockets-sansio",
                ws_max_size=LARGEST_BYTES,
                ws_per_message_deflate=False,  # JPEG does not get smaller
                lifespan="off",
                log_config=None,
                access_log=False,  # it would hold the token
                server_header=False,
                proxy_headers=False,
                timeout_graceful_shutdown=FAREWELL_S,
            )
        )
        self._serving = worker("serving", self._serve)

    @property
    def address(self) -> str:
        """Where the page is, with the token in it."""
        return f"http://{LOOPBACK}:{self._standing.port}/?token={self._standing.token}"

    def address_for_once(self) -> str:
        """The same with a token that opens the page once, for a browser's command line."""
        return f"http://{LOOPBACK}:{self._standing.port}/?token={self._guard.ticket()}"

    def start(self) -> None:
        """Serve and follow. MissingError when the server does not come up."""
        self._serving.start()
        until = time.monotonic() + STARTED_S
        while not self._uvicorn.started and time.monotonic() < until and not self._ended.is_set():
            time.sleep(0.01)
        if not self._uvicorn.started:
            raise self._failure or MissingError("the server for the page did not start")
        self._engine.start()

    def stop(self) -> None:
        """End pages, server and threads, and wait for them."""
        self._ended.set()
        self._engine.stop()
        self._uvicorn.should_exit = True
        if self._serving.ident is not None:
            self._serving.join()
        self._standing.listening.close()

    def end(self) -> None:
        """Let `wait` return."""
        self._ended.set()

    def wait(self) -> None:
        """Wait for the end; raises what ended it, if that was no wish."""
        # In short turns: a Ctrl-C must be noticed on every system.
        while not self._ended.wait(0.2):
            pass
        if self._failure is not None:
            raise self._failure

    def _fail(self, error: BaseException) -> None:
        self._failure = self._failure or error
        self._ended.set()

    def _serve(self) -> None:
        try:
            asyncio.run(self._until_told())
        except BaseException as error:
            self._fail(error)

    async def _until_told(self) -> None:
        self._hub.attach(asyncio.get_running_loop())
        await self._uvicorn.serve(sockets=[self._standing.listening])


@contextmanager
def ended_by_signals(watch: Watch) -> Iterator[None]:
    """A closed terminal and a polite kill end the watch as Ctrl-C does; the main thread's alone."""

    def end(number: int, frame: FrameType | None) -> None:
        del number, frame
        watch.end()

    names = [name for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {name: signal.signal(getattr(signal, name), end) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(getattr(signal, name), handler)


def opened_watch(path: Path, hands: Hands, port: int | None, width_px: int) -> Watch:
    """A watch, not yet started. InputError when the port is taken."""
    try:
        return Watch(path, hands, port=port, width_px=width_px)
    except OSError as error:
        text = f"--port {port}: {error.strerror or error}; leave it out to take any free one"
        raise InputError([Problem(Place(path), text)]) from error
