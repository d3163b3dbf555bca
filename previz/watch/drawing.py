"""The drawing thread: pictures at once, with the light that is baked."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.errors import MissingError
from previz.watch.jobs import Drawing, Hearer, Job
from previz.watch.latest import Latest, Overtaken
from previz.watch.pictures import picture_of
from previz.watch.work import Work

Opening = Callable[[OpenScene, Progress], Drawing]


class Drawer:
    """Draws each job's cameras; owns what draws, and with it the graphics context.

    Every call of `Drawing` comes from the thread that runs `run`.
    """

    def __init__(self, jobs: Latest[Job], hearer: Hearer, opening: Opening, work: Work) -> None:
        self._jobs, self._hearer, self._opening, self._work = jobs, hearer, opening, work
        self._drawing: Drawing | None = None
        self._baked: OpenScene | None = None

    def run(self) -> None:
        """Draw what is newest, until the end; without what draws, leave it to the path tracer."""
        try:
            while (job := self._jobs.take()) is not None:
                with suppress(Overtaken):
                    self._draw(job)
        except MissingError as error:
            self._work.drawn = False
            text = f"{error}; pictures are traced"
            self._hearer.tell("said", {"text": text, "urgent": False})
        finally:
            # What was made on this thread must end on it.
            self._drawing = self._baked = None

    def _draw(self, job: Job) -> None:
        """Draw with the light there is; where that is old, bring it up to date and draw again."""
        if not job.view.width_px:
            return
        watch = self._work.shown(lambda: self._jobs.overtaken)
        if self._drawing is None:
            self._drawing = self._opening(job.opened, watch)
        elif job.opened is not self._baked:
            self._drawing.follow(job.opened)
        if job.opened is self._baked:
            self._pictures(self._drawing, job)
            return
        if self._baked is not None:
            self._pictures(self._drawing, job)
        with self._work.renderer:
            self._drawing.bake(watch)
        first, self._baked = self._baked is None, job.opened
        if first or watch.begun:
            self._pictures(self._drawing, job)

    def _pictures(self, drawing: Drawing, job: Job) -> None:
        for camera in job.cameras():
            pixels = drawing.draw(camera, job.view.width_px)
            self._hearer.show(picture_of(camera.name, job, pixels))
            if self._jobs.overtaken:
                raise Overtaken
