"""The drawing thread: pictures at once, with the light that is baked."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from previz.api.opening import OpenScene
from previz.errors import MissingError
from previz.watch.jobs import Drawing, Hearer, Job
from previz.watch.latest import Latest, Overtaken
from previz.watch.pictures import picture_of
from previz.watch.playing import NOTHING_PLAYS, Play, frame_at, last_s, played_json
from previz.watch.work import Work

Opening = Callable[[OpenScene], Drawing]
FINE_AFTER_S = 0.2
"""So long after the last change edges are smoothed: until then it would only be in the way."""
FIRST_WAIT_S = 0.1
"""How long between two looks whether the path tracer has shown a first picture."""


class Drawer:
    """Draws each job's cameras; owns what draws, and with it the graphics context.

    Every call of `Drawing` comes from the thread that runs `run`. Light is baked in steps, so that
    who turns a camera meanwhile is shown it at once; a step that is done is never lost to that.
    """

    def __init__(self, jobs: Latest[Job], hearer: Hearer, opening: Opening, work: Work) -> None:
        self._jobs, self._hearer, self._opening, self._work = jobs, hearer, opening, work
        self._drawing: Drawing | None = None
        self._told_play = False

    def run(self) -> None:
        """Draw what is newest, until the end; without what draws, leave it to the path tracer."""
        try:
            while (job := self._jobs.take()) is not None:
                with suppress(Overtaken):
                    self._draw(job)
        except MissingError as error:
            text = f"{error}; pictures are traced"
            self._hearer.tell("said", {"text": text, "urgent": False})
        finally:
            self._work.drawn = self._work.lit = self._work.baking = False
            # What was made on this thread must end on it.
            if self._drawing is not None:
                self._drawing.close()
            self._drawing = None

    def _draw(self, job: Job) -> None:
        """Draw with the light there is; where that is old, bring it up to date and draw again."""
        if not job.view.width_px:
            return
        if self._drawing is None:
            self._drawing = self._opening(job.opened)
        drawing = self._drawing
        if job.play is None and self._told_play:
            # A frame may have been told of after whoever ended the play said so.
            self._told_play = False
            self._hearer.tell("playing", NOTHING_PLAYS)
        drawing.follow(job.opened)
        if drawing.ready:
            self._show(drawing, job)
        if not drawing.done:
            self._bake(drawing, job)
            if job.play is not None:
                self._show(drawing, job)
        if self._jobs.quiet(FINE_AFTER_S):
            self._show(drawing, job, fine=True)

    def _show(self, drawing: Drawing, job: Job, *, fine: bool = False) -> None:
        """The move that is played, or else the cameras as they stand."""
        if job.play is None:
            self._pictures(drawing, job, fine=fine)
        else:
            self._frames(drawing, job, job.play, fine=fine)

    def _frames(self, drawing: Drawing, job: Job, play: Play, *, fine: bool) -> None:
        """Frames of a move when it is their time, until its end; those it is late for are left out.

        Raises Overtaken.
        """
        self._told_play = True
        move = job.opened.stage.moves[play.move]
        end_s = last_s(move)
        play.begin()
        while True:
            if self._jobs.overtaken:
                raise Overtaken
            number = frame_at(move, play.now_s(end_s))
            at_s = number / move.fps
            running = play.running and at_s < end_s
            pixels = drawing.passing(move, number, job.view.width_px, fine=fine)
            self._hearer.tell("playing", played_json(move, at_s, running))
            self._hearer.show(picture_of(move.before.name, job, pixels, move=move.name))
            if not running:
                return
            if not self._jobs.quiet(at_s + 1.0 / move.fps - play.now_s(end_s)):
                raise Overtaken

    def _bake(self, drawing: Drawing, job: Job) -> None:
        """Bake step by step, and show what is better. Raises Overtaken."""
        progress = self._work.shown(lambda: False)
        self._work.baking = True
        try:
            # Whoever computes light is opened by one thread at a time.
            with self._work.renderer:
                kept = drawing.kept(progress)
            if kept:
                self._work.lit = True
                self._pictures(drawing, job)
                return
            if not drawing.ready and job.play is None:
                self._after_first_picture()
            while True:
                with self._work.renderer:
                    step = drawing.bake(progress)
                self._work.lit = drawing.ready
                if step.better:
                    self._pictures(drawing, job)
                if step.done:
                    return
                if self._jobs.overtaken:
                    raise Overtaken
        finally:
            self._work.baking = False

    def _after_first_picture(self) -> None:
        """Let the path tracer show something first: it has that in a third of the time."""
        self._work.baking = False
        while self._work.drawn and not self._work.traced.wait(FIRST_WAIT_S):
            if self._jobs.overtaken:
                raise Overtaken
        self._work.baking = True

    def _pictures(self, drawing: Drawing, job: Job, *, fine: bool = False) -> None:
        for camera in job.cameras():
            if self._jobs.overtaken:
                raise Overtaken
            pixels = drawing.draw(camera, job.view.width_px, fine=fine)
            self._hearer.show(picture_of(camera.name, job, pixels))
