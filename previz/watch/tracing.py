"""The tracing thread: while nothing moves, the path tracer makes better pictures."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from previz.api.opening import OpenScene
from previz.api.pipeline import photograph
from previz.api.white import white_of
from previz.errors import MissingError
from previz.render.backends import open_back_end
from previz.render.cards import card_light
from previz.render.contract import Ability, BackEnd, Exposing, RenderSettings
from previz.render.denoise import Denoiser
from previz.stage.stage import StageCamera
from previz.watch.jobs import DRAWN_AS, Hearer, Job
from previz.watch.latest import Latest, Overtaken
from previz.watch.pictures import picture_of
from previz.watch.work import Work

Reading = Callable[[Job, Work, Latest[Job]], None]
PASS_S = 0.25
"""About how long one pass takes: a change waits no longer for it."""

BAKED_LOOK_S = 0.1
"""How long between two looks whether the light is baked."""
READ_AT = 24
"""The light is read once pictures have so many samples: they are judged first."""


@dataclass(frozen=True)
class Patience:
    """When the path tracer steps in, and when it shows what it has.

    quiet_s, alone_s  so long nothing has changed: beside somebody who draws, and alone
    steps             samples after which a picture is shown
    better_from       with so many a picture is better than a drawn one
    """

    quiet_s: float = 1.0
    alone_s: float = 0.15
    steps: tuple[int, ...] = (1, 4, 12, 24, 64, 160)
    better_from: int = DRAWN_AS + 1


USUAL = Patience()
"""Cleaned of noise, 24 samples show the light of a room better than a drawn picture, and 160 cannot
be told from many: estimates."""


class Tracer:
    """Sharpens each job's pictures, and then reads the light with `reading`."""

    def __init__(
        self,
        jobs: Latest[Job],
        hearer: Hearer,
        work: Work,
        reading: Reading,
        patience: Patience = USUAL,
    ) -> None:
        self._jobs, self._hearer, self._work = jobs, hearer, work
        self._reading, self._patience = reading, patience

    @cached_property
    def _back_end(self) -> BackEnd:
        return open_back_end(None, self._work.say)

    @cached_property
    def _denoiser(self) -> Denoiser:
        return Denoiser(card=self._back_end.on_card)

    def run(self) -> None:
        """Trace what is newest, until the end."""
        last: OpenScene | None = None
        while (job := self._jobs.take()) is not None:
            patience = self._patience
            if not self._jobs.quiet(patience.quiet_s if self._work.lit else patience.alone_s):
                continue
            if not self._baked():
                continue
            last = job.opened
            try:
                self._sharpen(job)
            except Overtaken:
                continue
            except MissingError as error:
                self._hearer.tell("said", {"text": str(error), "urgent": False})
                break
            finally:
                self._work.say("")
        if last is not None:
            last.close()

    def _sharpen(self, job: Job) -> None:
        cameras = job.cameras()
        if not cameras:
            return
        white = self._white(job)
        exposing: dict[str, Exposing] = {}
        for samples in self._patience.steps:
            if self._work.lit and samples < self._patience.better_from:
                continue
            if not self._baked():
                raise Overtaken
            for camera in cameras:
                if camera.name not in exposing:
                    exposing[camera.name] = self._begun(job, camera)
                self._trace(exposing[camera.name], samples, camera.name)
                self._show(job, camera, exposing[camera.name], white)
            self._work.traced.set()
            if samples == READ_AT:
                self._reading(job, self._work, self._jobs)

    def _baked(self) -> bool:
        """Wait while light is baked, which has the processor; False as soon as overtaken."""
        while self._work.baking:
            if not self._jobs.quiet(BAKED_LOOK_S):
                return False
        return not self._jobs.overtaken

    def _white(self, job: Job) -> tuple[float, float]:
        """What the cameras call white, with the stage loaded for it."""
        stage = job.opened.stage
        with self._work.renderer:
            renderer = job.opened.renderer(self._back_end)
            meters = Ability.METER in self._back_end.abilities
            return white_of(stage, card_light(stage, renderer) if meters else {})

    def _begun(self, job: Job, camera: StageCamera) -> Exposing:
        width_px, height_px = camera.picture_size(job.view.width_px)
        settings = RenderSettings(width_px, height_px, 1, seed=job.opened.stage.seed)
        with self._work.renderer:
            return job.opened.renderer(self._back_end).expose(camera.name, settings)

    def _trace(self, exposing: Exposing, samples: int, camera: str) -> None:
        """Passes up to so many samples, none longer than about `PASS_S`."""
        step = 1
        while exposing.done < samples:
            if self._jobs.overtaken:
                raise Overtaken
            began = time.monotonic()
            with self._work.renderer:
                exposing.advance(min(step, samples - exposing.done))
            took_s = max(1e-3, time.monotonic() - began)
            step = max(1, min(2 * step, int(step * PASS_S / took_s)))
            self._hearer.tell(
                "work",
                {
                    "text": f"tracing camera {camera}",
                    "done_pct": round(100 * exposing.done / samples),
                },
            )

    def _show(
        self, job: Job, camera: StageCamera, exposing: Exposing, white: tuple[float, float]
    ) -> None:
        with self._work.renderer:
            light = exposing.light()
        beauty = self._denoiser.clean(light.beauty, light.albedo, light.normal, "draft")
        if self._jobs.overtaken:
            raise Overtaken
        pixels = photograph(job.opened, camera, beauty, white)
        self._hearer.show(picture_of(camera.name, job, pixels, light.samples))
