"""The reading thread: the file as it is saved, what is turned in the page, one after the other."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Mapping
from pathlib import Path

from previz.api.opening import OpenScene
from previz.errors import PrevizError
from previz.measure.report import Report
from previz.watch.controls import controls_json, lens_words
from previz.watch.jobs import Follower, Hearer, Writer
from previz.watch.overrides import Overrides, Value
from previz.watch.plan import plan_json
from previz.watch.playing import moves_json
from previz.watch.timeline import Timeline

POLL_S = 0.08
"""How often files are looked at: a tenth of what one notices as waiting."""


class Reader:
    """Keeps the newest version of the scene: the file, and what was turned over it.

    `changed` is called with each new version and the camera that was turned, and gives the version
    its number; `hold` as soon as one is on its way. What may be called from other threads only
    leaves a wish; `step` fulfils it.
    """

    def __init__(
        self,
        path: Path,
        follow: Callable[[], Follower],
        writer: Writer | None,
        hearer: Hearer,
        changed: Callable[[OpenScene | None, str | None], int],
        hold: Callable[[], None],
    ) -> None:
        self._path, self._follow, self._writer, self._hearer = path, follow, writer, hearer
        self._changed, self._hold = changed, hold
        self._follower: Follower | None = None
        self._timeline = Timeline()
        self._wishes: deque[Callable[[], None]] = deque()
        self._wake, self._ended = threading.Event(), threading.Event()
        self._opened: OpenScene | None = None
        self._problems: tuple[str, ...] = ()
        self._refused: tuple[str, ...] = ()
        self._first: str | None = None

    # --- from any thread ----------------------------------------------------------------------

    def change(self, values: Mapping[str, Value], *, goes_on: bool) -> None:
        """Turn something; with `goes_on` it is one gesture with the change before."""
        self._wish(lambda: self._turn(values, goes_on))

    def forget(self, paths: tuple[str, ...]) -> None:
        """Let go of what was turned, so that the file holds again; no paths: of everything."""
        self._wish(lambda: self._forget(paths))

    def settle(self) -> None:
        """A gesture has ended."""
        self._wish(self._timeline.close)

    def undo(self) -> None:
        """Take the last step back."""
        self._wish(self._undo)

    def redo(self) -> None:
        """Take the step that was taken back last."""
        self._wish(self._redo)

    def preview(self) -> None:
        """Tell the lines that writing would change."""
        self._wish(self._preview)

    def write(self) -> None:
        """Write what was turned into the scene file."""
        self._wish(self._write)

    def stop(self) -> None:
        """Come to an end."""
        self._ended.set()
        self._wake.set()

    def measure(self, opened: OpenScene) -> Report:
        """What a ruler finds of a version that this reader brought."""
        assert self._follower is not None
        return self._follower.measure(opened)

    def _wish(self, wish: Callable[[], None]) -> None:
        self._wishes.append(wish)
        self._wake.set()

    # --- on the reading thread -----------------------------------------------------------------

    def run(self) -> None:
        """Read and turn, until the end."""
        while not self._ended.is_set():
            self.step()
            self._wake.wait(POLL_S)
            self._wake.clear()

    def step(self) -> None:
        """Look at the file once, and fulfil all wishes there are by now."""
        turned = self._fulfil()
        saved = self._look_at_file()
        if turned or saved:
            self._lay_over()
            self._tell_state()

    def _fulfil(self) -> bool:
        """Whether what is turned is another now."""
        before, self._first = self._timeline.now, None
        while self._wishes:
            wish = self._wishes.popleft()
            try:
                wish()
            except PrevizError as error:
                self._hearer.tell("said", {"text": str(error), "urgent": True})
                self._tell_state()
        return self._timeline.now is not before

    def _look_at_file(self) -> bool:
        """Whether the file brought a version, or other problems than before."""
        before = None if self._follower is None else self._follower.opened
        if self._follower is None:
            self._tell_work("reading the scene")
            self._follower = self._follow()
            self._tell_work("")
            told = True
        else:
            self._follower.update()
            told = False
        problems = tuple(str(problem) for problem in self._follower.problems)
        brought = told or self._follower.opened is not before or problems != self._problems
        self._problems = problems
        return brought

    def _tell_work(self, text: str) -> None:
        self._hearer.tell("work", {"text": text, "done_pct": None})

    def _lay_over(self) -> None:
        """The version that holds under what is turned; where that cannot be, the last one stays."""
        if self._follower is None or self._follower.opened is None:
            return
        self._hold()
        settings = self._timeline.now.settings()
        before, self._refused = self._opened, ()
        try:
            self._opened = self._follower.look(settings) if settings else self._follower.opened
        except PrevizError as error:
            self._refused = tuple(str(error).splitlines())
        fresh = self._opened if self._opened is not before else None
        number = self._changed(fresh, self._first)  # before all else: the picture is waited for
        if fresh is not None:
            self._tell_scene(fresh, number)

    def _tell_scene(self, opened: OpenScene, number: int) -> None:
        self._hearer.tell(
            "scene",
            {
                "version": number,
                "title": opened.scene.title,
                "file": str(self._path),
                "cameras": {
                    name: {"aspect": round(camera.aspect, 4), "lens": lens_words(opened, name)}
                    for name, camera in opened.stage.cameras.items()
                },
                "controls": controls_json(opened),
                "plan": plan_json(opened.stage),
                "moves": moves_json(opened),
            },
        )

    def _tell_state(self) -> None:
        timeline = self._timeline
        self._hearer.tell(
            "state",
            {
                "problems": list(self._problems),
                "refused": list(self._refused),
                "turned": list(timeline.now.values),
                "can_write": self._writer is not None and bool(timeline.now.values),
                "can_undo": timeline.last is not None,
                "can_redo": timeline.next is not None,
            },
        )

    # --- wishes ------------------------------------------------------------------------------

    def _turn(self, values: Mapping[str, Value], goes_on: bool) -> None:
        after = self._timeline.now.with_values(values)
        self._timeline.change(after, frozenset(values), goes_on=goes_on)
        kind, _, rest = next(iter(values)).partition(".")
        self._first = rest.partition(".")[0] if kind == "cameras" else self._first

    def _forget(self, paths: tuple[str, ...]) -> None:
        now = self._timeline.now
        after = now.without(paths) if paths else Overrides()
        if len(after.values) != len(now.values):
            self._timeline.change(after, frozenset())

    def _preview(self) -> None:
        values = self._timeline.now.values
        lines = list(self._writer.lines(values)) if self._writer and values else []
        self._hearer.tell("lines", {"lines": lines})

    def _write(self) -> None:
        if self._writer is None or not self._timeline.now.values:
            return
        if self._writer.write(self._timeline.now.values):
            self._timeline.written()
            self._say(f"Written into {self._path.name}.")
        else:
            self._timeline.change(Overrides(), frozenset())
            self._say(f"{self._path.name} says so already.")

    def _undo(self) -> None:
        step = self._timeline.last
        if step is None:
            return
        if step.wrote and self._writer is not None:
            self._writer.undo()
        self._timeline.back()
        self._say("Taken out of the file again." if step.wrote else "Taken back.")

    def _redo(self) -> None:
        step = self._timeline.next
        if step is None:
            return
        if step.wrote and self._writer is not None:
            self._writer.redo()
        self._timeline.again()
        self._say("Written again." if step.wrote else "Done again.")

    def _say(self, text: str) -> None:
        self._hearer.tell("said", {"text": text, "urgent": False})
