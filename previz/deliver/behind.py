"""Work that follows on a thread of its own, in order, a few pieces behind whoever hands it out."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Generic, ParamSpec

P = ParamSpec("P")

MOST_WAITING = 3
"""Pieces that may wait: more would only take memory, for the slower side sets the pace."""


class Behind(Generic[P]):
    """Calls `work` with what `take` is given, one after another, on one other thread.

    A context manager: at its end all is done; when its body fails, what waits is dropped. An error
    of `work` is raised by the next `take`, or at the end.
    """

    def __init__(self, work: Callable[P, None]) -> None:
        self._work = work
        self._waiting: queue.Queue[Callable[[], None] | None] = queue.Queue(MOST_WAITING)
        self._failed: BaseException | None = None
        self._dropped = threading.Event()
        self._thread = threading.Thread(target=self._run, name="behind", daemon=True)

    def take(self, *given: P.args, **named: P.kwargs) -> None:
        """Hand out a piece; waits while there is no room for it."""
        if self._failed is not None:
            raise self._failed
        self._waiting.put(lambda: self._work(*given, **named))

    def __enter__(self) -> Behind[P]:
        self._thread.start()
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        if kind is not None:
            self._dropped.set()
        self._waiting.put(None)
        self._thread.join()
        if self._failed is not None and kind is None:
            raise self._failed

    def _run(self) -> None:
        # Takes everything out to the end, or whoever hands out would wait for ever.
        while (piece := self._waiting.get()) is not None:
            if self._failed is not None or self._dropped.is_set():
                continue
            try:
                piece()
            except BaseException as error:  # raised again where the work was handed out
                self._failed = error
