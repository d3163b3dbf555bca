"""Stand-ins for what takes long: who draws, who writes, who hears; and a room of few things."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from previz.api.opening import OpenScene
from previz.api.resident import Resident
from previz.catalog import Catalog
from previz.stage.stage import StageCamera
from previz.watch.engine import Engine, Hands
from previz.watch.jobs import Picture, View
from previz.watch.writing import FileWriter

ROOM = """\
# A room to try things in.
previz: 1
title: Try room
room: {width_m: 5, depth_m: 6, height_m: 2.7}
openings:
  window: {wall: east, along_m: 2, width_m: 1.4, sill_m: 0.9, height_m: 1.3, gel_nd: 0.3}
furniture:
  shelf: {piece: shelves, wall: north, along_m: 1.5}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 35
    f_number: 4  # as it was on the day
    place:
      at_m: [0.5, -2.0]
      height_m: 1.3
    aim_m: [0, 1, 1.1]
    focus_distance_m: 3
  B:
    sensor: super35_3perf
    lens: prime_50_f1.4
    f_number: 2.8
    place:
      at_m: [-1.0, -2.0]
      height_m: 1.3
    aim_m: [0, 1, 1.1]
    focus_distance_m: 3
lights:
  key:
    fixture: panel_60x40
    place: {at_m: [-1.5, -1], height_m: 2}
    aim_m: [0, 1, 1]
    dimmer_pct: 40
    cct_k: 5600
exposure: {white_balance: {cct_k: 5600}}
moves:
  slide: {camera: A, kind: dolly, duration_s: 2, ease: linear, keys: [{at_s: 2, at_m: [1.5, -2]}]}
"""
WAIT_S = 25.0


def colour_of(opened: OpenScene, placed: StageCamera) -> tuple[int, int, int]:
    """What the stand-in paints: dimmer of the key, place and lens of the camera."""
    light = opened.stage.lights.get("key")
    dimmer = 0.0 if light is None else 100.0 * light.output
    x, focal_mm = float(placed.position_m[0]), 1000.0 * placed.focal_length_m
    return round(2 * dimmer), round(128 + 30 * x), round(2 * focal_mm)


class FlatDrawing:
    """Paints a plain colour for each camera; counts, and notes which threads it was called from."""

    def __init__(self, opened: OpenScene, slow_s: float = 0.0) -> None:
        self.opened, self.slow_s = opened, slow_s
        self.threads = {threading.get_ident()}
        self.drawn = 0

    def follow(self, opened: OpenScene) -> None:
        self.threads.add(threading.get_ident())
        self.opened = opened

    ready = done = True

    def kept(self, _progress: Any) -> bool:
        return False

    def bake(self, _progress: Any) -> Any:
        self.threads.add(threading.get_ident())
        return SimpleNamespace(better=False, done=True)

    def close(self) -> None:
        self.threads.add(threading.get_ident())

    def draw(self, camera: Any, width_px: int, *, fine: bool = False) -> np.ndarray:
        self.threads.add(threading.get_ident())
        self.drawn += not fine
        time.sleep(self.slow_s)
        width, height = camera.picture_size(width_px)
        picture = np.empty((height, width, 3), np.uint8)
        picture[:] = colour_of(self.opened, camera)
        return picture

    def passing(self, move: Any, number: int, width_px: int, *, fine: bool = False) -> np.ndarray:
        return self.draw(move.camera_at(move.frame_times_s[number]), width_px, fine=fine)


class Ear:
    """Hears everything and keeps it."""

    def __init__(self) -> None:
        self.told: list[tuple[str, dict[str, Any]]] = []
        self.pictures: list[Picture] = []

    def tell(self, kind: str, content: Mapping[str, Any]) -> None:
        self.told.append((kind, dict(content)))

    def show(self, picture: Picture) -> None:
        self.pictures.append(picture)

    def last(self, kind: str) -> dict[str, Any]:
        return next((content for k, content in reversed(self.told) if k == kind), {})


def no_numbers(_opened: OpenScene) -> Any:
    """A report of nothing: for tests in which measuring is not the point."""
    none = SimpleNamespace(cameras={})
    return SimpleNamespace(measured=none, findings=(), light=None)


class Running:
    """An engine on a file, with stand-ins at work, and what was heard of it."""

    def __init__(self, path: Path, slow_s: float = 0.0, view: View | None = None) -> None:
        self.path, self.ear = path, Ear()
        self.failures: list[BaseException] = []
        self.drawings: list[FlatDrawing] = []
        self.writer = FileWriter(path, Catalog.load())
        self.engine = Engine(path, self.hands(slow_s), self.ear, self.failures.append)
        self.engine.look_at(view or View((), 160))

    def hands(self, slow_s: float) -> Hands:
        def drawing(opened: OpenScene) -> FlatDrawing:
            self.drawings.append(FlatDrawing(opened, slow_s))
            return self.drawings[-1]

        return Hands(
            follow=lambda: Resident(self.path),
            writer=self.writer,
            drawing=drawing,
            measure=no_numbers,
            traces=False,
        )

    def __enter__(self) -> Running:
        self.engine.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.engine.stop()
        assert self.failures == []

    def colour(self, camera: str) -> tuple[int, int, int] | None:
        """Of the newest picture of a camera; JPEG may miss a flat colour by a value or two."""
        import io

        from PIL import Image

        newest = [picture for picture in self.ear.pictures if picture.camera == camera]
        if not newest:
            return None
        pixel = Image.open(io.BytesIO(newest[-1].jpeg)).convert("RGB").getpixel((5, 5))
        return (int(pixel[0]), int(pixel[1]), int(pixel[2]))

    def until_colour(self, camera: str, wanted: tuple[int, int, int]) -> None:
        def right() -> bool:
            seen = self.colour(camera)
            return seen is not None and all(
                abs(a - b) <= 2 for a, b in zip(seen, wanted, strict=True)
            )

        until(right, lambda: f"wanted {wanted}, seen {self.colour(camera)}")

    def save(self, *changes: tuple[str, str]) -> None:
        """Change the file's text, as an editor saves it."""
        text = self.path.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        fresh = self.path.with_name("fresh~")
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(self.path)


def until(true: Callable[[], bool], told: Callable[[], str] = lambda: "") -> None:
    """Wait until something is so."""
    end = time.monotonic() + WAIT_S
    while not true():
        assert time.monotonic() < end, told()
        time.sleep(0.01)


def own_threads() -> list[str]:
    """Threads of the room that are alive."""
    return [thread.name for thread in threading.enumerate() if thread.name.startswith("watch ")]
