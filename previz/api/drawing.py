"""Who draws the frames of a move: any camera on the set, one after another."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from previz.api.looking import Look, Smear
from previz.api.opening import OpenScene
from previz.api.pipeline import photograph
from previz.api.progress import Progress
from previz.api.white import white_of
from previz.errors import MissingError
from previz.render.backends import open_back_end
from previz.render.cards import card_light
from previz.render.contract import Image, RenderSettings
from previz.render.denoise import Denoiser
from previz.render.qualities import passes
from previz.stage.stage import StageCamera

Picture = NDArray[np.uint8]

DRAWN_WIDTH_PX = 1280
TRACED_WIDTH_PX = 480
TRACED_SAMPLES = 8


class FrameDrawer(Protocol):
    """Draws what any camera sees, of the set that it was made for.

    usual_width_px  how wide its frames are unless the user says
    made_with       what it drew with, for the foot of a sheet
    """

    @property
    def usual_width_px(self) -> int:
        """How wide its frames are unless the user says."""

    @property
    def made_with(self) -> str:
        """What it draws with, for people."""

    def serves(self, camera: str) -> bool:
        """Whether it can draw what this camera sees on its way."""

    def picture(self, smear: Smear, width_px: int) -> Picture:
        """What a camera takes, (height, width, 3), developed: 8 bit sRGB."""

    def film(self, smears: Sequence[Smear], width_px: int) -> Generator[Picture]:
        """A `picture` of each, of one camera that moves on from one to the next."""

    def close(self) -> None:
        """Let go of what draws."""


def drawer_for(
    opened: OpenScene,
    camera: str,
    watch: Progress,
    *,
    variant: str | None = None,
    samples: int | None = None,
) -> FrameDrawer:
    """The fastest that draws here, for whatever one camera of the set sees on its way.

    Whoever asks for `samples` asks for the path tracer.
    """
    if samples is None:
        try:
            return DrawnFrames(opened, watch, variant)
        except MissingError as error:
            watch.say(f"{error}; pictures are traced")
    return TracedFrames(opened, camera, watch, variant, samples or TRACED_SAMPLES)


class DrawnFrames:
    """Frames drawn at once with light that is baked once, for all cameras of the set."""

    usual_width_px = DRAWN_WIDTH_PX
    made_with = "drawn at once"

    def __init__(self, opened: OpenScene, watch: Progress, variant: str | None) -> None:
        """Bake, or take the light of an earlier run. MissingError where that cannot be."""
        self._look = Look(opened, variant)
        try:
            if not self._look.kept(watch):
                while not self._look.bake(watch).done:
                    pass
        except BaseException:
            self.close()
            raise

    def serves(self, camera: str) -> bool:
        """Any camera: each is spared its own gear when it draws."""
        del camera
        return True

    def picture(self, smear: Smear, width_px: int) -> Picture:
        """The developed picture; see `FrameDrawer`."""
        return self._look.frame(smear, width_px)

    def film(self, smears: Sequence[Smear], width_px: int) -> Generator[Picture]:
        """Pictures one after another; see `FrameDrawer`."""
        return self._look.film(smears, width_px)

    def close(self) -> None:
        """Let go of the graphics context."""
        self._look.close()


class TracedFrames:
    """Frames by the path tracer, a few paths a pixel and cleaned: slow, and works everywhere."""

    usual_width_px = TRACED_WIDTH_PX

    def __init__(
        self, opened: OpenScene, camera: str, watch: Progress, variant: str | None, samples: int
    ) -> None:
        self._opened, self._camera, self._samples = opened, camera, samples
        self._back_end = open_back_end(variant, watch.say)
        # Its own tripod stands where the camera was before it moved off.
        things = tuple(thing for thing in opened.stage.things if thing.owner != camera)
        self._cameras: dict[str, StageCamera] = {}
        stage = replace(opened.stage, things=things, cameras=self._cameras)
        watch.say("loading the set")
        self._renderer = replace(opened, stage=stage).renderer(self._back_end)
        self._denoiser = Denoiser(card=self._back_end.on_card)
        self._white = white_of(opened.stage, card_light(opened.stage, self._renderer))

    @property
    def made_with(self) -> str:
        """What it draws with, for people."""
        return f"{self._samples} samples a pixel"

    def serves(self, camera: str) -> bool:
        """Only the camera whose gear was left out."""
        return camera == self._camera

    def picture(self, smear: Smear, width_px: int) -> Picture:
        """The developed picture; see `FrameDrawer`. Smeared light is added up before that."""
        total = sum((self.light(camera, width_px) for camera in smear.cameras), np.float32(0.0))
        mean = np.asarray(total / np.float32(len(smear.cameras)), np.float32)
        return photograph(self._opened, smear.exposing, mean, self._white)

    def film(self, smears: Sequence[Smear], width_px: int) -> Generator[Picture]:
        """Pictures one after another; see `FrameDrawer`."""
        return (self.picture(smear, width_px) for smear in smears)

    def close(self) -> None:
        """Nothing is held that would not go by itself."""

    def light(self, camera: StageCamera, width_px: int) -> Image:
        """What the camera receives, cleaned of noise, (height, width, 3) in cd/m2."""
        # The renderer asks the stage for a camera by name: it finds the one that is wanted now.
        self._cameras[camera.name] = camera
        width, height = camera.picture_size(width_px)
        settings = RenderSettings(width, height, self._samples, seed=self._opened.stage.seed)
        exposing = self._renderer.expose(camera.name, settings)
        for step in passes(self._samples, 0, width * height, self._back_end.pass_paths):
            exposing.advance(step)
        light = exposing.light()
        return self._denoiser.clean(light.beauty, light.albedo, light.normal, "draft")
