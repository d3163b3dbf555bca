"""Pictures at once: the light is baked once, then any camera, lens and dimmer is drawn with it."""

from __future__ import annotations

from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.api.white import white_of
from previz.develop.exposure import exposure_scale
from previz.develop.table import DevelopTable, table_of
from previz.errors import MissingError
from previz.physics.white import neutral_gains
from previz.render.backends import UNBAKED, open_back_end
from previz.render.bake.anew import Past, moved_lights, serves
from previz.render.bake.kept import Baked, gear_of, standing_of
from previz.render.bake.lighting import Stride, baking, baking_anew, kept_light
from previz.render.bake.lit import Lit, Shown, shown
from previz.render.bake.moved import carried_over
from previz.render.contract import Ability, BackEnd, Image, Renderer
from previz.render.raster import Canvas, Guides, Shot
from previz.render.raster.backend import load
from previz.stage.environment import Environment
from previz.stage.moving.move import StageMove
from previz.stage.stage import Emitter, Stage, StageCamera

if TYPE_CHECKING:
    from previz.render.raster.passage import Passage

Picture = NDArray[np.uint8]
Gains = Mapping[str, NDArray[np.float64]]
FIRST = 0.2
"""Share of the way that a first light takes, where a whole bake follows it."""


@dataclass(frozen=True)
class Baking:
    """What a step of baking did: whether pictures are better now, and whether it was the last."""

    better: bool
    done: bool


@dataclass(frozen=True, eq=False)
class Smear:
    """What one camera takes while its shutter is open: where it is at several moments of that, and
    how it exposes."""

    cameras: Sequence[StageCamera]
    exposing: StageCamera


class Look:
    """A scene that can be looked at from anywhere. All calls come from the thread that made it.

    `bake` is called until it is done; after its first better step `draw` draws, and with every
    better one it draws better. Nothing that a camera, a lens, a stop or a dimmer changes needs
    another bake; what moves does.
    """

    def __init__(self, opened: OpenScene, variant: str | None = None) -> None:
        """MissingError where there is nothing to draw with."""
        self._canvas = Canvas()
        self._opened, self._variant = opened, variant
        self._back_end: BackEnd | None = None
        self._baked: Baked | None = None
        self._now: object = standing_of(opened.stage)
        self._stage, self._seen_standing = opened.stage, self._now
        self._baking: tuple[object, Generator[Stride]] | None = None
        self._past: Past | None = None
        self._complete = False
        self._shown: Shown | None = None
        self._loaded: tuple[Shown, tuple[Emitter, ...], Environment | None] | None = None
        self._shone: object = None
        self._passage: tuple[StageMove, tuple[int, int], Passage] | None = None

    def close(self) -> None:
        """Let go of what draws, on the thread that made it."""
        self._leave_passage()
        self._canvas.close()

    @property
    def drawn_by(self) -> str:
        """What draws, for people."""
        return self._canvas.drawn_by

    @property
    def ready(self) -> bool:
        """Whether there is light to draw with, be it of what stood there before."""
        return self._baked is not None

    @property
    def done(self) -> bool:
        """Whether the light is that of the scene as it is, and as good as it gets."""
        return self._complete and self._seen_standing == self._now

    def follow(self, opened: OpenScene) -> None:
        """Take a new version of the scene."""
        self._opened, self._now = opened, standing_of(opened.stage)
        if self._baked is None:
            return
        stage = opened.stage
        # Lights are moved with the camera that they are placed by: they stay until they are read.
        moved = self._now != self._seen_standing
        if moved and moved_lights(self._stage, stage) is None:
            lit = carried_over(self._baked.lit, self._stage, stage)
            self._take(replace(self._baked, lit=lit, gear=gear_of(stage)), stage, complete=False)
        self._complete = self._complete and self._baked.serves(stage)

    def kept(self, progress: Progress) -> bool:
        """Take the light that an earlier run baked for the set as it stands, if there is any."""
        stage = self._opened.stage
        found = kept_light(stage, self._opened_back_end(progress).variant)
        if found is None:
            return False
        self._take(found, stage, complete=True)
        return True

    def bake(self, progress: Progress) -> Baking:
        """Do some of the work of bringing the light up to date: about half a second of it.

        MissingError where nothing computes light at many points.
        """
        if self.done:
            return Baking(better=False, done=True)
        if self._baking is None or self._baking[0] != self._now:
            self._baking = (self._now, self._begun(progress))
        step = next(self._baking[1])
        progress.advance(round(100 * step.done))
        if step.baked is None:
            return Baking(better=False, done=False)
        complete, baked = step.done >= 1.0, step.baked
        self._past = step.past or self._past
        if complete:
            self._baking = None
            progress.finish()
        whole = complete and baked.serves(self._opened.stage)
        self._take(baked, self._opened.stage, complete=whole)
        return Baking(better=True, done=self.done)

    def draw(self, camera: StageCamera, width_px: int, *, fine: bool = False) -> Picture:
        """The developed picture (height, width, 3) of a camera on the set; `fine` smooths edges.

        Other cameras in the picture stand where they stood until a fine one is drawn. ValueError
        before there is light.
        """
        if fine:
            self._place_gear()
        scale = exposure_scale(camera) * neutral_gains(self._white(self._lit()))
        size = camera.picture_size(width_px)
        return self._canvas.picture(camera, size, scale, self._table, fine=fine)

    def passing(
        self, move: StageMove, number: int, width_px: int, *, fine: bool = False
    ) -> Picture:
        """As `draw`, of a frame of a move: those around it are then drawn at half the price."""
        camera = move.camera_at(move.frame_times_s[number])
        shot = self._shot(Smear([camera], camera))
        size = move.before.picture_size(width_px)
        if self._passage is None or self._passage[:2] != (move, size):
            self._leave_passage()
            cameras = [move.camera_at(time_s) for time_s in move.frame_times_s]
            self._passage = move, size, self._canvas.passage(cameras, size)
        on = self._passage[2], number
        return self._canvas.picture(camera, size, shot.scale, self._table, fine=fine, on=on)

    def _leave_passage(self) -> None:
        if self._passage is not None:
            self._passage[2].close()
        self._passage = None

    def frame(self, smear: Smear, width_px: int) -> Picture:
        """As a fine `draw`, with defocus, of the mean of the light of several cameras."""
        size = smear.exposing.picture_size(width_px)
        return self._canvas.frame(self._shot(smear), size, self._table)

    def film(self, smears: Sequence[Smear], width_px: int) -> Generator[Picture]:
        """A `frame` of each, of one camera that moves on: a third of the price."""
        size = smears[0].exposing.picture_size(width_px)
        return self._canvas.film([self._shot(one) for one in smears], size, self._table)

    def _shot(self, smear: Smear) -> Shot:
        gains = neutral_gains(self._white(self._lit()))
        return Shot(smear.cameras, exposure_scale(smear.exposing) * gains)

    @property
    def baked(self) -> Baked | None:
        """The light that is drawn with."""
        return self._baked

    def guides(self, camera: StageCamera, width_px: int) -> Guides:
        """What a camera sees, pixel by pixel: things, how far they are, which way they face."""
        self._place_gear()
        self._lit()
        return self._canvas.guides(camera, camera.picture_size(width_px))

    def light(self, camera: StageCamera, width_px: int) -> Image:
        """What a camera receives, (height, width, 3) in cd/m2."""
        self._lit()
        return self._canvas.light(camera, camera.picture_size(width_px))

    @property
    def _table(self) -> DevelopTable:
        return table_of(self._opened.scene.look.view, self._opened.lut)

    # --- the light -----------------------------------------------------------------------------

    def _opened_back_end(self, progress: Progress) -> BackEnd:
        if self._back_end is None:
            self._back_end = open_back_end(self._variant, progress.say)
            if Ability.BAKE not in self._back_end.abilities:
                raise MissingError(UNBAKED)
        return self._back_end

    def _begun(self, progress: Progress) -> Generator[Stride]:
        """A bake that is about to begin."""
        progress.start("baking the light", 100)
        back_end = self._opened_back_end(progress)
        stage, renderer = self._opened.stage, self._opened.renderer(back_end)
        past = self._past
        if past is not None and serves(past, stage):
            return _anew(past, stage, renderer, back_end.variant)
        return baking(stage, renderer, back_end.variant)

    def _take(self, baked: Baked, stage: Stage, *, complete: bool) -> None:
        if self._baked is None or baked.lit.surfaces is not self._baked.lit.surfaces:
            self._shown = shown(baked.lit)
        self._baked, self._complete = baked, complete
        self._stage, self._seen_standing = stage, standing_of(stage)

    def _place_gear(self) -> None:
        """Put the cameras' own gear where it stands by now."""
        if self._baked is not None and self._baked.gear != gear_of(self._opened.stage):
            stage = self._opened.stage
            lit = carried_over(self._baked.lit, self._stage, stage)
            baked = replace(self._baked, lit=lit, gear=gear_of(stage))
            self._take(baked, stage, complete=self._complete)

    def _lit(self) -> Gains:
        """Bring what is drawn up to date; the gains of the light layers."""
        if self._baked is None or self._shown is None:
            raise ValueError("there is no light yet: bake first")
        stage = self._opened.stage
        emitters = tuple(emitter for emitter in stage.emitters if emitter.lit)
        loaded = (self._shown, emitters, stage.environment)
        if self._loaded != loaded:
            load(self._canvas, stage, self._shown.meshes, self._baked.lit.surfaces.materials)
            if self._loaded is None or self._loaded[0] is not self._shown:
                self._shone = None
            self._loaded = loaded
        gains = self._baked.gains(stage)
        lit: Lit = self._baked.lit
        key = (lit, {name: tuple(gain) for name, gain in gains.items()})
        if self._shone != key:
            self._canvas.shine(self._shown.light(lit, gains))
            self._shone = key
        return gains

    def _white(self, gains: Gains) -> tuple[float, float]:
        stage = self._opened.stage
        assert self._baked is not None
        if stage.white_card_of is None or stage.white_card_of not in self._baked.cards:
            return white_of(stage, {})
        return white_of(stage, self._baked.card(stage.white_card_of, gains))


def _anew(past: Past, stage: Stage, renderer: Renderer, variant: str) -> Generator[Stride]:
    """Light of a light that moved; or, where more did, a first one and then a whole bake."""
    lights_alone = moved_lights(past.stage, stage) is not None
    for stride in baking_anew(past, stage, renderer):
        yield stride if lights_alone else replace(stride, done=FIRST * stride.done)
    if not lights_alone:
        yield from baking(stage, renderer, variant)
