"""What the threads are at, told to the pages; and the one renderer that they share."""

from __future__ import annotations

import threading
from collections.abc import Callable

from previz.watch.jobs import Hearer
from previz.watch.latest import Overtaken


class Work:
    """What the threads share.

    renderer  held by whoever computes light: it is loaded once, for one thread at a time
    drawn     whether somebody draws, so that the path tracer need not hurry
    lit       whether that somebody has light to draw with by now
    baking    whether light is being baked: the path tracer waits for that
    traced    set once the path tracer has shown something, or nobody traces: for a first picture
              the bake waits
    """

    def __init__(self, hearer: Hearer, *, drawn: bool = False, traces: bool = False) -> None:
        self.renderer, self.drawn = threading.Lock(), drawn
        self.lit = self.baking = False
        self.traced = threading.Event()
        if not traces:
            self.traced.set()
        self._hearer = hearer

    def say(self, text: str) -> None:
        """Tell in a sentence what is being done; empty: nothing."""
        self._hearer.tell("work", {"text": text, "done_pct": None})

    def shown(self, overtaken: Callable[[], bool]) -> Shown:
        """Progress that pages see, and that stops whatever is `overtaken`."""
        return Shown(self._hearer, overtaken)


class Shown:
    """Progress told to the pages. Raises Overtaken where the work is not wanted any more."""

    def __init__(self, hearer: Hearer, overtaken: Callable[[], bool]) -> None:
        self._hearer, self._overtaken = hearer, overtaken
        self._label, self._total, self._told_pct = "", 1, -1
        self.begun = 0

    def start(self, label: str, total: int) -> None:
        """A piece of work begins."""
        self._label, self._total = label, max(1, total)
        self._told_pct = -1
        self.begun += 1
        self.advance(0)

    def advance(self, done: int) -> None:
        """So much of it is done."""
        if self._overtaken():
            raise Overtaken
        done_pct = round(100 * done / self._total)
        if done_pct != self._told_pct:
            self._told_pct = done_pct
            self._hearer.tell("work", {"text": self._label, "done_pct": done_pct})

    def finish(self) -> None:
        """It is finished."""
        self._hearer.tell("work", {"text": "", "done_pct": None})

    def say(self, text: str) -> None:
        """Tell something in a sentence."""
        self._hearer.tell("work", {"text": text, "done_pct": None})
