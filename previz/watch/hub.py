"""Between threads and pages: each page gets the newest of everything, as fast as it can show it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from typing import Any

from previz.watch.jobs import Picture, View
from previz.watch.pictures import message_of

UNDER_WAY = 2
"""Pictures that a page has not acknowledged: one on its way while it shows the other."""
MOST_SAID = 20
PASSING = ("said", "lines")
"""Kinds that are said once, to whoever is there; of the others a new page gets the newest."""


class Page:
    """What one page has yet to be sent. Lives in the server's loop alone."""

    def __init__(self) -> None:
        self.view = View()
        self._told: dict[str, str] = {}
        self._said: list[str] = []
        self._pictures: dict[str, Picture] = {}
        self._shown: dict[str, tuple[int, int]] = {}
        self._under_way: set[int] = set()
        self._number = 0
        self._wake = asyncio.Event()

    def tell(self, kind: str, text: str) -> None:
        """Something to be sent; of most kinds only the newest."""
        if kind in PASSING:
            self._said = [*self._said, text][-MOST_SAID:]
        else:
            self._told[kind] = text
        self._wake.set()

    def show(self, picture: Picture) -> None:
        """A picture to be sent, in place of an older one of that camera or of that move."""
        if picture.move:
            self._pictures[f"moves.{picture.move}"] = picture
            self._wake.set()
        elif picture.worth >= self._shown.get(picture.camera, (0, 0)):
            self._shown[picture.camera] = picture.worth
            self._pictures[picture.camera] = picture
            self._wake.set()

    def seen(self, number: int) -> None:
        """The page has shown a picture: there is room for the next."""
        self._under_way.discard(number)
        self._wake.set()

    async def next(self) -> str | bytes:
        """What to send now; waits until there is something, and room for it."""
        while True:
            if self._said:
                return self._said.pop(0)
            if self._told:
                return self._told.pop(next(iter(self._told)))
            if self._pictures and len(self._under_way) < UNDER_WAY:
                picture = self._pictures.pop(next(iter(self._pictures)))
                self._number += 1
                self._under_way.add(self._number)
                return message_of(picture, self._number)
            self._wake.clear()
            await self._wake.wait()


class Hub:
    """Hears the threads and tells the pages. `tell` and `show` may be called from any thread."""

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._pages: list[Page] = []
        self._told: dict[str, str] = {}
        self._pictures: dict[str, Picture] = {}

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """Deliver in this loop from now on."""
        self._loop = loop

    def tell(self, kind: str, content: Mapping[str, Any]) -> None:
        """The newest of a kind, to all pages."""
        text = json.dumps({"kind": kind, **content}, ensure_ascii=False, allow_nan=False)
        self._in_loop(self._tell, kind, text)

    def show(self, picture: Picture) -> None:
        """A picture, to all pages."""
        self._in_loop(self._show, picture)

    def _in_loop(self, call: Any, *given: Any) -> None:
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(call, *given)

    def _tell(self, kind: str, text: str) -> None:
        if kind not in PASSING:
            self._told[kind] = text
        for page in self._pages:
            page.tell(kind, text)

    def _show(self, picture: Picture) -> None:
        kept = self._pictures.get(picture.camera)
        if picture.move:
            pass  # gone before another page could ask for it
        elif kept is None or picture.worth >= kept.worth:
            self._pictures[picture.camera] = picture
        for page in self._pages:
            page.show(picture)

    def join(self, page: Page) -> None:
        """A page has come: it gets the newest of everything."""
        self._pages.append(page)
        for kind, text in self._told.items():
            page.tell(kind, text)
        for picture in self._pictures.values():
            page.show(picture)

    def leave(self, page: Page) -> None:
        """A page has gone."""
        self._pages.remove(page)

    def view(self) -> View:
        """What all pages together look at."""
        views = [page.view for page in self._pages if page.view.width_px]
        if not views:
            return View()
        width_px = max(view.width_px for view in views)
        if any(not view.cameras for view in views):
            return View((), width_px)
        names = dict.fromkeys(name for view in views for name in view.cameras)
        return View(tuple(names), width_px)
