"""The server: the page, the frames, what was decided so far, and the one way to decide."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from previz.errors import OutputError, PrevizError
from previz.model.decisions import DecisionFile, Logged, logged
from previz.review.gallery import Gallery
from previz.review.guard import LARGEST_BODY_BYTES, REVIEWER
from previz.review.pictures import TYPES, encoded, formats, widths_of
from previz.review.recorder import Recorder
from previz.scenefile.decisions import said_of

PAGE_TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
FIRST = "index.html"
BODY_S = 20.0
"""So long the body of a decision may take to arrive: an estimate."""
FOR_GOOD = {"cache-control": "private, max-age=31536000, immutable"}
"""A frame's address holds its digest: what is there never changes."""


class Server:
    """Answers reviewers that the guard let in. `unlogged`: what is kept but in no log yet."""

    def __init__(
        self,
        gallery: Gallery,
        recorder: Recorder,
        unlogged: Callable[[], tuple[Logged, ...]],
    ) -> None:
        self._gallery, self._recorder, self._unlogged = gallery, recorder, unlogged
        folder = files("previz.review") / "page"
        self._files = {file.name: file.read_bytes() for file in folder.iterdir()}
        self.app = Starlette(
            routes=[
                Route("/", self._file),
                Route("/page/{name}", self._file),
                Route("/review.json", self._review),
                Route("/frame/{digest}/{name}", self._frame),
                Route("/decisions", self._decide, methods=["POST"]),
            ]
        )

    async def _file(self, request: Request) -> Response:
        name = request.path_params.get("name", FIRST)
        content = self._files.get(name)
        kind = PAGE_TYPES.get(name.rpartition(".")[2])
        if content is None or kind is None:
            return _nothing()
        return Response(content, media_type=kind)

    async def _review(self, request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self._told, request.scope[REVIEWER]))

    def _told(self, reviewer: str) -> dict[str, object]:
        # A showing that is being written, or whose pictures are not there yet, is for another time.
        with suppress(PrevizError):
            self._gallery.refresh()
        # First what is in no log yet: what is put there meanwhile is then seen twice, not never.
        waiting = self._unlogged()
        entries = {entry.id: entry for entry in (*self._gallery.reviewed.log(), *waiting)}
        return self._gallery.told(reviewer, entries.values())

    async def _frame(self, request: Request) -> Response:
        digest, name = request.path_params["digest"], request.path_params["name"]
        width, _, ending = name.partition(".")
        picture, whole_px = self._gallery.picture(digest), self._gallery.width_px(digest)
        if picture is None or ending not in formats():
            return _nothing()
        if width not in {str(px) for px in widths_of(whole_px)}:
            return _nothing()
        content = await run_in_threadpool(_content, picture, digest, int(width), ending)
        if content is None:
            return _nothing()
        return Response(content, media_type=TYPES[ending], headers=FOR_GOOD)

    async def _decide(self, request: Request) -> Response:
        """Keep decisions, and say so once they are on the disk."""
        if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
            return PlainTextResponse("a decision is sent as application/json\n", 415)
        try:
            body = await asyncio.wait_for(_body(request), BODY_S)
            found = DecisionFile.model_validate_json(body)
        except TimeoutError:
            return PlainTextResponse("too slow\n", 408, {"connection": "close"})
        except ClientDisconnect:
            return Response(status_code=400)
        except _TooLargeError:
            return PlainTextResponse("too large\n", 413, {"connection": "close"})
        except ValidationError as error:
            return PlainTextResponse(f"is no decision: {said_of(error)}\n", 422)
        return await self._kept(found, request.scope[REVIEWER])

    async def _kept(self, found: DecisionFile, reviewer: str) -> Response:
        refusals = (self._gallery.reviewed.refusal(found.showing, d) for d in found.decisions)
        if any(refusals):
            return PlainTextResponse("this frame was not shown here: load the page again\n", 409)
        # Whoever holds a link decides under the name that it was made for, and no other.
        decisions = [d.model_copy(update={"by": reviewer}) for d in found.decisions]
        entries = [logged(decision, found.showing, "served") for decision in decisions]
        try:
            await asyncio.wrap_future(self._recorder.keep(entries))
        except OutputError:
            text = "could not be kept, the disk is full or broken: please try again later\n"
            return PlainTextResponse(text, 507)
        return JSONResponse({"kept": [entry.id for entry in entries]})


class _TooLargeError(Exception):
    """A body that no page of ours sends."""


async def _body(request: Request) -> bytes:
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > LARGEST_BODY_BYTES:
            raise _TooLargeError
    return bytes(body)


def _content(picture: Path, digest: str, width_px: int, ending: str) -> bytes | None:
    try:
        return encoded(picture, digest, width_px, ending)
    except OSError:
        return None


def _nothing() -> Response:
    return PlainTextResponse("there is nothing here\n", 404)
