"""Watching a scene: who does the work, the page opened, and a clean end."""

from __future__ import annotations

import os
import sys
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from previz.api.looking import Look
from previz.api.resident import Resident
from previz.catalog import Catalog
from previz.errors import InputError, Place, Problem
from previz.scenefile.writing import scene_file
from previz.watch.engine import Hands
from previz.watch.latest import worker
from previz.watch.serving import Watch, ended_by_signals, opened_watch
from previz.watch.writing import FileWriter


@dataclass(frozen=True)
class WatchOptions:
    """How a scene is watched.

    port      of the page; None: where this scene was watched last, else any that is free
    browser   whether to open the page
    width_px  widest picture
    settings  laid over the file, as `--set` takes them
    """

    port: int | None = None
    browser: bool = True
    width_px: int = 1280
    settings: tuple[str, ...] = ()


def watch_scene(path: Path, options: WatchOptions, say: Callable[[str], None]) -> None:
    """Follow a scene file in a page until Ctrl-C, or until the terminal is closed.

    `say` is told where the page is. A file that does not hold is shown with its lines; InputError
    when there is none at all, or when the port is taken.
    """
    watch = opened_for(path, options)
    try:
        with ended_by_signals(watch):
            watch.start()
            say(watch.address)
            if options.browser and _has_screen():
                _open_browser(watch.address_for_once())
            watch.wait()
    finally:
        watch.stop()


def opened_for(path: Path, options: WatchOptions) -> Watch:
    """A watch of a scene's file, not yet started. InputError as `watch_scene`."""
    file = scene_file(path)
    if not file.exists():
        raise InputError([Problem(Place(file), "there is no such file")])
    hands = Hands(
        follow=lambda: Resident(file, options.settings),
        writer=FileWriter(file, Catalog.load()),
        drawing=Look,
    )
    return opened_watch(file, hands, options.port, options.width_px)


def _has_screen() -> bool:
    """Whether a browser would open a window; without a screen one may take over the terminal."""
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _open_browser(address: str) -> None:
    """On a thread of its own: some browsers return only when they are closed."""

    def opened() -> None:
        webbrowser.open(address)

    opening = worker("browser", opened)
    opening.daemon = True
    opening.start()
