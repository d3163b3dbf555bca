"""Moves: filmed frame by frame, and shown on a contact sheet."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.drawing import FrameDrawer, drawer_for
from previz.api.looking import Smear
from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.progress import Progress, Silence
from previz.deliver.contact import sheet_frames, sheet_of
from previz.deliver.files import writable_folder
from previz.deliver.film import exact_rate, write_film
from previz.deliver.sheet import write_pdf, write_png
from previz.errors import InputError, Place, Problem
from previz.measure.gear.floor import Outlines
from previz.measure.moving.numbers import measure_move
from previz.measure.rules.findings import Finding
from previz.measure.rules.moves import findings_on
from previz.stage.moving.move import StageMove
from previz.stage.moving.shutter import sub_frame_times_s
from previz.telling.cautions import printed_for
from previz.version import version

Picture = NDArray[np.uint8]


@dataclass(frozen=True)
class MoveOptions:
    """Which move to film, and how. `name` None: every move of the scene.

    samples      has frames path-traced, with so many paths a pixel
    motion_blur  what moves while the shutter is open is smeared, as long as its angle says
    film         without it only the frames of the contact sheet are drawn
    """

    name: str | None = None
    out: Path | str | None = None
    width_px: int | None = None
    samples: int | None = None
    variant: str | None = None
    motion_blur: bool = False
    film: bool = True
    settings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Filmed:
    """What came of it; `cautions` are sentences to print beside a proposal."""

    folder: Path
    files: tuple[Path, ...]
    frames: int
    seconds: float
    cautions: tuple[str, ...]


def film_moves(
    source: Source, options: MoveOptions | None = None, progress: Progress | None = None
) -> Filmed:
    """Film the moves of a scene as MP4, each with a contact sheet (PNG and PDF).

    A file is written whole or not at all. What is wrong with a move is told before it is drawn.
    InputError when the scene has no such move.
    """
    options, watch = options or MoveOptions(), progress or Silence()
    began = time.monotonic()
    if not isinstance(source, OpenScene):
        watch.say(f"reading {source}")
    opened = opened_from(source, options.settings)
    moves = _wanted(opened, options.name)
    folder = writable_folder(Path(options.out or default_folder(opened.path) / "moves"))
    files: list[Path] = []
    frames = 0
    with _Drawers(opened, options, watch) as drawers:
        for move in sorted(moves, key=lambda move: move.before.name):
            for finding in _findings(opened, move):
                watch.say(finding.message)
            drawer = drawers.for_camera(move.before.name)
            filming = Filming(opened, move, drawer, options, watch)
            files += filming.write(folder)
            frames += filming.drawn
    seconds = time.monotonic() - began
    return Filmed(folder, tuple(files), frames, seconds, printed_for(opened.stage))


class _Drawers:
    """Who draws, one at a time: the next camera keeps the one before if it serves."""

    def __init__(self, opened: OpenScene, options: MoveOptions, watch: Progress) -> None:
        self._opened, self._options, self._watch = opened, options, watch
        self._drawer: FrameDrawer | None = None

    def for_camera(self, name: str) -> FrameDrawer:
        if self._drawer is None or not self._drawer.serves(name):
            self._close()
            variant, samples = self._options.variant, self._options.samples
            self._drawer = drawer_for(
                self._opened, name, self._watch, variant=variant, samples=samples
            )
        return self._drawer

    def _close(self) -> None:
        if self._drawer is not None:
            self._drawer.close()

    def __enter__(self) -> _Drawers:
        return self

    def __exit__(self, *_: object) -> None:
        self._close()


def _findings(opened: OpenScene, move: StageMove) -> Iterator[Finding]:
    numbers = measure_move(opened.stage, Outlines(opened.stage), move)
    return findings_on(numbers, opened.stage.programme.fps)


def _wanted(opened: OpenScene, name: str | None) -> tuple[StageMove, ...]:
    moves = opened.stage.moves
    if name is not None and name in moves:
        return (moves[name],)
    if name is None and moves:
        return tuple(moves.values())
    has = f"the scene has {', '.join(moves)}" if moves else "the scene has no moves"
    said = f"there is no move {name}; {has}" if name else f"{has}; describe one under moves:"
    raise InputError([Problem(Place(opened.path), said)])


class Filming:
    """One move on its way to its files."""

    def __init__(
        self,
        opened: OpenScene,
        move: StageMove,
        drawer: FrameDrawer,
        options: MoveOptions,
        watch: Progress,
    ) -> None:
        self.opened, self.move, self.drawer, self.watch = opened, move, drawer, watch
        self.blurred, self.whole = options.motion_blur, options.film
        self.width_px = options.width_px or drawer.usual_width_px
        self.shown: dict[int, Picture] = {}
        self.drawn = 0

    def write(self, folder: Path) -> list[Path]:
        """Draw the frames and write film and sheet; returns their names."""
        film, stem = folder / f"move_{self.move.name}.mp4", folder / f"move_{self.move.name}"
        numbers = range(self.move.frames) if self.whole else sheet_frames(self.move)
        frames = self._frames(tuple(numbers))
        files = []
        if self.whole:
            rate = exact_rate(self.opened.stage.programme.fps)
            write_film(film, frames, rate, {"title": self._title, "comment": self._foot})
            files.append(film)
        else:
            for _ in frames:
                pass
        cautions = printed_for(self.opened.stage)
        sheet = sheet_of(self.move, self.shown, self.opened.scene.title, self._foot, cautions)
        for kind, write in ((".png", write_png), (".pdf", write_pdf)):
            file = stem.with_suffix(kind)
            write(file, sheet)
            files.append(file)
        return files

    @property
    def _title(self) -> str:
        return f"{self.opened.scene.title}, move {self.move.name}"

    @property
    def _foot(self) -> str:
        scene = self.opened.digest[:12]
        return f"previz {version()}, scene {scene}, {self.drawer.made_with}"

    def _frames(self, numbers: tuple[int, ...]) -> Iterator[Picture]:
        shown, times = set(sheet_frames(self.move)), self.move.frame_times_s
        camera = self.move.before
        width, height = camera.picture_size(self.width_px)
        self.watch.start(f"move {self.move.name}, {width} x {height}", len(numbers))
        smears = [self.smear(times[number]) for number in numbers]
        # Frames of the sheet alone are too far apart to go on from one another.
        pictures = (
            self.drawer.film(smears, self.width_px)
            if self.whole
            else (self.drawer.picture(smear, self.width_px) for smear in smears)
        )
        # What draws lets go of its memory where it was made, however this ends.
        with closing(pictures):
            for number, picture in zip(numbers, pictures, strict=True):
                if number in shown:
                    self.shown[number] = picture
                self.drawn += 1
                self.watch.advance(self.drawn)
                yield picture
        self.watch.finish()

    def smear(self, time_s: float) -> Smear:
        """What the camera takes at a moment."""
        times: tuple[float, ...] = (time_s,)
        if self.blurred:
            times = sub_frame_times_s(self.move, time_s, self.width_px)
        return Smear([self.move.camera_at(one_s) for one_s in times], self.move.camera_at(time_s))
