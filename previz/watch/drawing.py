"""The drawing thread: pictures at once, with the light that is baked."""

from __future__ import annotations

from collections.abc import Callable

from previz.api.opening import OpenScene
from previz.api.progress import Progress
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

    def run(self) -> None:
        """Draw what is newest, until the end."""
        while (job := self._jobs.take()) is not None:
            try:
                self._draw(job)
            except Overtaken:
                continue
        self._drawing = None

    def _draw(self, job: Job) -> None:
        """Draw with the light there is; where that is old, bring it up to date and draw again."""
        watch = self._work.shown(lambda: self._jobs.overtaken)
        if self._drawing is None:
            self._drawing = self._opening(job.opened, watch)
            self._bake(self._drawing, watch)
        else:
            self._drawing.follow(job.opened)
            self._pictures(self._drawing, job)
            began = watch.begun
            self._bake(self._drawing, watch)
            if watch.begun == began:
                return
        self._pictures(self._drawing, job)

    def _bake(self, drawing: Drawing, watch: Progress) -> None:
        with self._work.renderer:
            drawing.bake(watch)

    def _pictures(self, drawing: Drawing, job: Job) -> None:
        for camera in job.cameras():
            pixels = drawing.draw(camera, job.view.width_px)
            self._hearer.show(picture_of(camera.name, job, pixels))
            if self._jobs.overtaken:
                raise Overtaken
