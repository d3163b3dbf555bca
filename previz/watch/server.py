"""The server: the page's own files, and a socket: pictures one way, wishes the other."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from importlib.resources import files

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from previz.watch.hub import Hub, Page
from previz.watch.jobs import View
from previz.watch.playing import Play
from previz.watch.reading import Reader
from previz.watch.wire import Forget, Press, Said, Seen, Show, Turn, read

TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
FIRST = "index.html"
REFUSED = 1008


def page_files() -> dict[str, bytes]:
    """The files of the page by name, as they are packaged."""
    folder = files("previz.watch") / "page"
    return {
        file.name: file.read_bytes()
        for file in folder.iterdir()
        if file.name.rpartition(".")[2] in TYPES
    }


class Server:
    """Answers pages: `look_at` hears what they all look at, `show` which move
    they play, `reader` what they wish.
    """

    def __init__(
        self,
        hub: Hub,
        reader: Reader,
        look_at: Callable[[View], None],
        show: Callable[[Play | None], None],
        widest_px: int,
    ) -> None:
        self._hub, self._reader, self._widest_px = hub, reader, widest_px
        self._look_at, self._show = look_at, show
        self._files = page_files()
        self.app = Starlette(
            routes=[
                Route("/", self._file),
                Route("/page/{name}", self._file),
                WebSocketRoute("/socket", self._socket),
            ]
        )

    async def _file(self, request: Request) -> Response:
        name = request.path_params.get("name", FIRST)
        content = self._files.get(name)
        if content is None:
            return PlainTextResponse("there is nothing here\n", 404)
        return Response(content, media_type=TYPES[name.rpartition(".")[2]])

    async def _socket(self, socket: WebSocket) -> None:
        """One page, until it goes; its two directions end together."""
        await socket.accept()
        page = Page()
        self._hub.join(page)
        sending = asyncio.create_task(_send(socket, page))
        try:
            while True:
                said = read(await socket.receive_text(), self._widest_px)
                self._do(page, said)
        except (WebSocketDisconnect, OSError):
            pass
        except (ValueError, KeyError, RecursionError):  # no page of ours
            await socket.close(REFUSED)
        finally:
            sending.cancel()
            await asyncio.gather(sending, return_exceptions=True)
            self._hub.leave(page)
            self._look_at(self._hub.view())

    def _do(self, page: Page, said: Said) -> None:
        match said:
            case Seen():
                page.seen(said.number)
            case View():
                page.view = said
                self._look_at(self._hub.view())
            case Show():
                move = said.move
                self._show(None if move is None else Play(move, said.at_s, said.running))
            case Turn():
                self._reader.change(said.values, goes_on=said.goes_on)
            case Forget():
                self._reader.forget(said.paths)
            case Press():
                {
                    "settle": self._reader.settle,
                    "preview": self._reader.preview,
                    "write": self._reader.write,
                    "undo": self._reader.undo,
                    "redo": self._reader.redo,
                }[said.button]()


async def _send(socket: WebSocket, page: Page) -> None:
    while True:
        message = await page.next()
        if isinstance(message, bytes):
            await socket.send_bytes(message)
        else:
            await socket.send_text(message)
