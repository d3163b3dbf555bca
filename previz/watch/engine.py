"""The threads behind a page, from the scene file to pictures, numbers and findings."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from previz.api.opening import OpenScene
from previz.watch.drawing import Drawer, Opening
from previz.watch.jobs import Follower, Hearer, Job, View, Writer
from previz.watch.latest import Latest, worker
from previz.watch.measuring import LightReader, Measure, Measurer
from previz.watch.playing import NOTHING_PLAYS, Play
from previz.watch.reading import Reader
from previz.watch.tracing import Reading, Tracer
from previz.watch.work import Work


@dataclass(frozen=True)
class Hands:
    """Who does the work; tests put others in.

    follow   opens the scene file
    writer   writes into it; None: nobody can
    drawing  opens what draws at once; None: the path tracer serves alone
    measure  measures without the light; None: who opened the file
    traces   whether the path tracer sharpens
    """

    follow: Callable[[], Follower]
    writer: Writer | None = None
    drawing: Opening | None = None
    measure: Measure | None = None
    traces: bool = True


class Engine:
    """Runs from `start` to `stop`. `failed` is called with what no thread should have raised."""

    def __init__(
        self, path: Path, hands: Hands, hearer: Hearer, failed: Callable[[BaseException], None]
    ) -> None:
        self._lock = threading.Lock()
        self._version = 0
        self._opened: OpenScene | None = None
        self._view = View()
        self._failed = failed
        self._play: Play | None = None
        self._hearer = hearer
        self._work = work = Work(hearer, drawn=hands.drawing is not None, traces=hands.traces)
        self._jobs: dict[str, Latest[Job]] = {}
        self._runs: dict[str, Callable[[], None]] = {}
        self.reader = Reader(path, hands.follow, hands.writer, hearer, self._changed, self._hold)
        self._runs["reading"] = self.reader.run
        measure = hands.measure or self.reader.measure
        self._runs["measuring"] = Measurer(self._place("measuring"), hearer, measure).run
        if hands.drawing is not None:
            place = self._place("drawing")
            self._runs["drawing"] = Drawer(place, hearer, hands.drawing, work).run
        if hands.traces:
            reading: Reading = LightReader(hearer)
            place = self._place("tracing")
            self._runs["tracing"] = Tracer(place, hearer, work, reading).run
        self._threads = [worker(name, self._guarded(run)) for name, run in self._runs.items()]

    def _place(self, name: str) -> Latest[Job]:
        self._jobs[name] = Latest()
        return self._jobs[name]

    def start(self) -> None:
        """Begin to follow the file."""
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """End every thread, and wait for them: each ends within one pass or one step."""
        self.reader.stop()
        for place in self._jobs.values():
            place.close()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    def look_at(self, view: View) -> None:
        """What the pages look at has changed."""
        with self._lock:
            if view != self._view:
                self._view = view
                if not view.width_px:
                    self._end_play()
                self._hand_out(None)

    def show(self, play: Play | None) -> None:
        """Show a move in place of its camera, until something else changes; None: no more.

        It is drawn, never traced: meanwhile the path tracer leaves the processor alone.
        """
        with self._lock:
            if self._opened is None:
                return
            if play is None:
                if self._end_play():
                    self._hand_out(None)
            elif play.move in self._opened.stage.moves and self._view.width_px:
                self._begin_play(play)

    def _begin_play(self, play: Play) -> None:
        if not self._work.drawn:
            text = "a move plays only where pictures are drawn; previz move films it"
            self._hearer.tell("said", {"text": text, "urgent": False})
            return
        self._play = play
        self._hold()
        assert self._opened is not None
        self._jobs["drawing"].put(self._job(self._opened, None))

    def _end_play(self) -> bool:
        """Whether a move was shown."""
        was, self._play = self._play, None
        if was is not None:
            self._hearer.tell("playing", NOTHING_PLAYS)
        return was is not None

    def _hold(self) -> None:
        """A new version is on its way: the path tracer makes room for it at once."""
        if "tracing" in self._jobs:
            self._jobs["tracing"].hold()

    def _changed(self, opened: OpenScene | None, first: str | None) -> int:
        """A new version, or none came of what was announced; the number of the newest."""
        with self._lock:
            if opened is not None:
                self._version += 1
                self._opened = opened
                self._end_play()
                self._hand_out(first)
            elif self._opened is not None and "tracing" in self._jobs and self._play is None:
                self._jobs["tracing"].put(self._job(self._opened, None))
            return self._version

    def _hand_out(self, first: str | None) -> None:
        if self._opened is not None:
            job = self._job(self._opened, first)
            for name, place in self._jobs.items():
                if name != "tracing" or self._play is None:
                    place.put(job)

    def _job(self, opened: OpenScene, first: str | None) -> Job:
        return Job(self._version, opened, self._view, first, self._play)

    def _guarded(self, run: Callable[[], None]) -> Callable[[], None]:
        def guarded() -> None:
            try:
                run()
            except BaseException as error:  # told to whoever ends the program
                self._failed(error)

        return guarded
