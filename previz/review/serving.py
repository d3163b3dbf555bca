"""A review from its beginning to its end: where it stands, who may come, what is kept."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import uvicorn

from previz.api import Reviewed
from previz.errors import InputError, Place, Problem
from previz.review.gallery import Gallery
from previz.review.guard import LINK, Door, Guard
from previz.review.patience import Patience
from previz.review.recorder import Recorder, pour
from previz.review.server import Server
from previz.review.store import NAME, Store
from previz.scenefile import scene_file
from previz.web import LOOPBACK, listening

PORT = 8655
FAREWELL_S = 3
MOST_CONNECTIONS = 400
WITHOUT_NAME = ("0.0.0.0", "::")
"""Addresses that mean all of a machine's: nobody can type them into a browser."""


@dataclass(frozen=True)
class ServeOptions:
    """Where a review stands.

    host    interface to listen on; port: 0 takes any that is free
    behind  what links begin with where a proxy with HTTPS stands before it
    store   the file of invitations and decisions; None: beside the first scene's showings
    """

    host: str = LOOPBACK
    port: int = PORT
    behind: str | None = None
    store: Path | None = None


def store_of(scenes: Sequence[Path], store: Path | None) -> Path:
    """The file of a review: the one named, else `shown/review.sqlite` beside the first scene."""
    return store or scene_file(scenes[0]).parent / "shown" / NAME


@dataclass(frozen=True, eq=False)
class Standing:
    """A review that can be served: `base` is what links begin with."""

    base: str
    store: Store
    server: uvicorn.Server
    listening: socket.socket

    def serve(self) -> None:
        """Answer until the server is told to leave."""
        asyncio.run(self.server.serve([self.listening]))


@contextmanager
def standing_review(scenes: Sequence[Path], options: ServeOptions) -> Iterator[Standing]:
    """A review with all that it needs, until the end of the block; it listens already.

    InputError for a scene that was never shown, a port that is taken, an address that cannot be.
    """
    gallery, path = Gallery(scenes), store_of(scenes, options.store)
    with closing(Store(path)) as store, _listening(options) as heard:
        port = int(heard.getsockname()[1])
        base = options.behind or f"http://{_named(options.host)}:{port}"
        store.set("base", base)
        with Recorder(lambda: Store(path), gallery.reviewed.append) as recorder:
            server = Server(gallery, recorder, store.unlogged)
            guard = Guard(server.app, _door(base, options, port), store.holder)
            proxied = options.behind is not None
            yield Standing(base, store, _uvicorn(guard, proxied=proxied), heard)


def serve_review(scenes: Sequence[Path], options: ServeOptions, say: Callable[[str], None]) -> None:
    """Serve a review until Ctrl-C. `say` hears where it stands, and what to do first.

    InputError as `standing_review`.
    """
    with standing_review(scenes, options) as review:
        say(f"The review stands at {review.base}, behind a link for each reviewer.")
        if not any(invitation.withdrawn_at is None for invitation in review.store.invitations()):
            say(f"Nobody is invited yet: previz review invite {scenes[0]} NAME")
        with suppress(KeyboardInterrupt):
            review.serve()


def link(store: Store, secret: str, behind: str | None) -> str:
    """The address that a reviewer opens."""
    usual = f"http://{LOOPBACK}:{PORT}"
    return f"{behind or store.setting('base', usual)}{LINK}{secret}"


def pour_into_logs(scenes: Sequence[Path], store: Path | None) -> None:
    """Put what a server that was killed had kept into the logs; nothing without a store."""
    path = store_of(scenes, store)
    if path.exists():
        with closing(Store(path)) as opened:
            pour(opened, Reviewed(scenes).append)


def base_of(behind: str) -> str:
    """What links begin with. ValueError for what is no https address of a server alone."""
    parts = urlsplit(behind)
    if parts.scheme != "https" or not parts.hostname or parts.username or parts.query:
        raise ValueError("links begin with https:// and the server's name")
    if parts.path.strip("/") or parts.fragment:
        raise ValueError("the review needs a name of its own, without a path behind it")
    return f"https://{parts.netloc.lower()}"


def _listening(options: ServeOptions) -> socket.socket:
    if options.host in WITHOUT_NAME and options.behind is None:
        text = f"--host {options.host} has no name to open: say with --behind what links begin with"
        raise InputError([Problem(Place(Path("review")), text)])
    try:
        return listening(options.host, options.port)
    except OSError as error:
        text = f"--host {options.host} --port {options.port}: {error.strerror or error}"
        raise InputError([Problem(Place(Path("review")), f"{text}; take another port")]) from error


def _named(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _door(base: str, options: ServeOptions, port: int) -> Door:
    own = {f"{_named(options.host)}:{port}"}
    if options.host == LOOPBACK:
        own.add(f"localhost:{port}")
    name = urlsplit(base).netloc
    if options.behind is not None:
        # What a proxy hands on is its own name; who comes past it has no business here.
        return Door(frozenset({name}), frozenset({base}), f"previz_review_{port}", https=True)
    origins = frozenset(f"http://{host}" for host in own)
    return Door(frozenset(own), origins, f"previz_review_{port}", https=False)


def _uvicorn(guard: Guard, *, proxied: bool) -> uvicorn.Server:
    return uvicorn.Server(
        uvicorn.Config(
            guard,
            http=Patience,
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,  # it would hold the secrets of links
            server_header=False,
            proxy_headers=proxied,
            forwarded_allow_ips=[LOOPBACK, "::1"],
            limit_concurrency=MOST_CONNECTIONS,
            timeout_graceful_shutdown=FAREWELL_S,
            h11_max_incomplete_event_size=16 << 10,
        )
    )
