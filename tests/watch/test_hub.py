"""What goes to a page: the newest of everything, no faster than it is shown."""

from __future__ import annotations

import asyncio
import json
from dataclasses import replace
from typing import Any

import pytest

from previz.watch.hub import Hub, Page
from previz.watch.jobs import Picture, View


def picture(camera: str, version: int, samples: int = 0) -> Picture:
    return Picture(camera, version, samples, 160, 90, b"jpeg")


def head(message: str | bytes) -> dict[str, Any]:
    assert isinstance(message, bytes)
    length = int.from_bytes(message[:4], "big")
    assert message[4 + length :] == b"jpeg"
    return dict(json.loads(message[4 : 4 + length]))


async def within(page: Page) -> str | bytes:
    return await asyncio.wait_for(page.next(), 5)


async def nothing(page: Page) -> None:
    with pytest.raises(TimeoutError):
        await asyncio.wait_for(page.next(), 0.05)


def test_a_slow_page_gets_the_newest_and_never_a_queue() -> None:
    async def go() -> None:
        page = Page()
        for version in range(1, 4):
            page.show(picture("A", version))
        first = head(await within(page))
        page.show(picture("A", 4))
        second = head(await within(page))
        for version in range(5, 50):
            page.show(picture("A", version))
        assert (first["version"], second["version"]) == (3, 4)
        await nothing(page)  # two are under way, and none was acknowledged
        page.seen(first["number"])
        assert head(await within(page))["version"] == 49
        await nothing(page)

    asyncio.run(go())


def test_frames_of_a_move_pass_beside_pictures_and_the_newest_is_sent() -> None:
    async def go() -> None:
        hub, page, later = Hub(), Page(), Page()
        hub.attach(asyncio.get_running_loop())
        hub.join(page)
        hub.show(picture("A", 2, 24))
        for number in range(3):
            hub.show(replace(picture("A", 2), width_px=number, move="slide"))
        assert head(await within(page))["samples"] == 24
        frame = head(await within(page))
        assert (frame["move"], frame["width"]) == ("slide", 2)
        hub.join(later)
        assert head(await within(later))["move"] == ""
        await nothing(later)

    asyncio.run(go())


def test_what_is_worse_than_what_was_sent_is_not_sent() -> None:
    async def go() -> None:
        page = Page()
        page.show(picture("A", 2, 24))
        await within(page)
        page.show(picture("A", 1, 160))
        page.show(picture("A", 2, 0))
        await nothing(page)
        page.show(picture("A", 3, 0))
        assert head(await within(page))["samples"] == 0, "a new version wins over many samples"

    asyncio.run(go())


def test_a_drawn_picture_takes_the_place_of_a_few_samples_and_many_take_its_own() -> None:
    async def go() -> None:
        page = Page()
        for samples in (4, 0, 24):
            page.show(picture("A", 2, samples))
            sent = head(await within(page))
            assert sent["samples"] == samples
            page.seen(sent["number"])
            page.show(picture("A", 2, 4))
        await nothing(page)

    asyncio.run(go())


def test_cameras_do_not_wait_for_each_other() -> None:
    async def go() -> None:
        page = Page()
        page.show(picture("A", 1))
        page.show(picture("B", 1))
        page.show(picture("A", 2))
        sent = [head(await within(page)) for _ in range(2)]
        assert [(one["camera"], one["version"]) for one in sent] == [("A", 2), ("B", 1)]

    asyncio.run(go())


def test_a_page_that_comes_late_gets_the_newest_of_each_kind() -> None:
    async def go() -> None:
        hub = Hub()
        hub.attach(asyncio.get_running_loop())
        for number in range(3):
            hub.tell("state", {"number": number})
            hub.tell("said", {"number": number})
        hub.show(picture("A", 1))
        await asyncio.sleep(0.05)
        page = Page()
        hub.join(page)
        told = json.loads(str(await within(page)))
        assert told == {"kind": "state", "number": 2}, "what was said once is not said again"
        assert head(await within(page))["camera"] == "A"
        await nothing(page)

    asyncio.run(go())


def test_pages_together_look_at_what_any_of_them_looks_at() -> None:
    hub, pages = Hub(), [Page(), Page(), Page()]
    for page in pages:
        hub.join(page)
    assert hub.view() == View()
    pages[0].view = View(("A",), 320)
    pages[1].view = View(("B",), 640)
    assert hub.view() == View(("A", "B"), 640)
    pages[2].view = View((), 160)
    assert hub.view() == View((), 640)
    for page in pages:
        hub.leave(page)
    assert hub.view() == View()
