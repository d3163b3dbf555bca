"""What the threads of a watch hand to each other, and whom they tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.errors import Problem
from previz.measure.report import Report
from previz.stage.moving.move import StageMove
from previz.stage.stage import StageCamera
from previz.watch.overrides import Value
from previz.watch.playing import Play


@dataclass(frozen=True)
class View:
    """What the pages look at: cameras (empty: all), and how wide; nothing at width 0."""

    cameras: tuple[str, ...] = ()
    width_px: int = 0


@dataclass(frozen=True, eq=False)
class Job:
    """A version of the scene, and how it is looked at.

    version  counts up with everything that changes a picture
    first    the camera that was turned: its picture is wanted before the others
    play     a move that is shown in place of its camera
    """

    version: int
    opened: OpenScene
    view: View
    first: str | None = None
    play: Play | None = None

    def cameras(self) -> tuple[StageCamera, ...]:
        """The cameras to take pictures of, in the order that they are wanted."""
        if self.view.width_px == 0:
            return ()
        there = self.opened.stage.cameras
        names = [name for name in self.view.cameras or there if name in there]
        names.sort(key=lambda name: name != self.first)
        return tuple(there[name] for name in names)


DRAWN_AS = 23
"""Traced samples that a drawn picture is as good as: an estimate. With 24 and cleaned of noise a
traced one shows the light of a room better."""


@dataclass(frozen=True)
class Picture:
    """A developed picture on its way to a page.

    samples  of the path tracer; 0: drawn
    jpeg     the picture, 8 bit sRGB
    move     the move that it is a frame of; "": the camera as it stands
    """

    camera: str
    version: int
    samples: int
    width_px: int
    height_px: int
    jpeg: bytes
    move: str = ""

    @property
    def worth(self) -> tuple[int, int]:
        """A later version is worth more; of one version the surer picture."""
        return self.version, self.sureness

    @property
    def sureness(self) -> int:
        """Samples of the path tracer; a drawn picture is worth as much as `DRAWN_AS` of them."""
        return self.samples or DRAWN_AS


class Hearer(Protocol):
    """Who passes on to the pages what threads find out. May be called from any thread."""

    def tell(self, kind: str, content: Mapping[str, Any]) -> None:
        """The newest of a kind, as JSON can hold it."""

    def show(self, picture: Picture) -> None:
        """A picture."""


class Follower(Protocol):
    """A scene file that is followed; `Resident` of the api is one."""

    @property
    def opened(self) -> OpenScene | None:
        """The latest version that holds; None as long as there was none."""

    @property
    def problems(self) -> Sequence[Problem]:
        """What is wrong with the file as it is now; nothing while it holds."""

    def update(self) -> object:
        """Look whether the file has changed, and take it in."""

    def look(self, settings: Sequence[str]) -> OpenScene:
        """The latest version with settings over it, as `--set` takes them. InputError."""

    def measure(self, opened: OpenScene) -> Report:
        """What a ruler finds of a version, without the light. May run beside the other calls."""


class Baking(Protocol):
    """What a step of baking did."""

    @property
    def better(self) -> bool:
        """Whether pictures are better now."""

    @property
    def done(self) -> bool:
        """Whether it was the last."""


class Drawing(Protocol):
    """Who draws at once with light that is baked; `Look` of the api does. For one thread alone."""

    @property
    def ready(self) -> bool:
        """Whether there is any light to draw with."""

    @property
    def done(self) -> bool:
        """Whether the light is that of the scene as it is, as good as it gets."""

    def follow(self, opened: OpenScene) -> None:
        """Take a new version of the scene."""

    def kept(self, progress: Progress) -> bool:
        """Take the light of an earlier run, if there is any that serves."""

    def bake(self, progress: Progress) -> Baking:
        """Do a step of bringing the light up to date, half a second or so."""

    def draw(self, camera: StageCamera, width_px: int, *, fine: bool = False) -> NDArray[np.uint8]:
        """The developed picture (height, width, 3); `fine` smooths edges and takes longer."""

    def passing(
        self, move: StageMove, number: int, width_px: int, *, fine: bool = False
    ) -> NDArray[np.uint8]:
        """As `draw`, of a frame of a move: quicker, for the frames around it are asked for too."""

    def close(self) -> None:
        """Let go of what draws."""


class Writer(Protocol):
    """Who writes values into the scene file and takes that back."""

    def lines(self, values: Mapping[str, Value]) -> Sequence[str]:
        """The lines of the file that would change, as a person reads a change of a text."""

    def write(self, values: Mapping[str, Value]) -> bool:
        """Write them; whether that changed the file. InputError where that cannot be done."""

    def undo(self) -> None:
        """Take the last write back. InputError when the file was changed by hand since."""

    def redo(self) -> None:
        """Write again what was taken back last."""
