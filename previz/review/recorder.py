"""The one thread that writes decisions down: what comes at once is kept in one go."""

from __future__ import annotations

import queue
import sqlite3
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress

from previz.errors import PrevizError
from previz.model.decisions import Logged
from previz.review.store import Store

Append = Callable[[Sequence[Logged]], object]
MOST_AT_ONCE = 64


class Recorder:
    """Keeps decisions in the store, then puts them into the logs of their scenes.

    open_store  is called on the recorder's own thread
    append      puts decisions into the logs; what that cannot write now is tried again with the
                next decision, and at the next start

    Used as a context manager.
    """

    def __init__(self, open_store: Callable[[], Store], append: Append) -> None:
        self._open, self._append = open_store, append
        self._waiting: queue.Queue[tuple[Sequence[Logged], Future[int]] | None] = queue.Queue()
        self._thread = threading.Thread(target=self._run, name="previz recorder")

    def __enter__(self) -> Recorder:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._waiting.put(None)
        self._thread.join()

    def keep(self, decisions: Sequence[Logged]) -> Future[int]:
        """How many these were, once all are on the disk; OutputError where they are not."""
        done: Future[int] = Future()
        self._waiting.put((decisions, done))
        return done

    def _run(self) -> None:
        store = self._open()
        try:
            self._pour(store)
            while (first := self._waiting.get()) is not None:
                if not self._keep_all(store, first):
                    return
        finally:
            store.close()

    def _keep_all(self, store: Store, first: tuple[Sequence[Logged], Future[int]]) -> bool:
        """Keep what waits; False where the end was among it."""
        batch, goes_on = [first], True
        while len(batch) < MOST_AT_ONCE and goes_on:
            try:
                following = self._waiting.get_nowait()
            except queue.Empty:
                break
            if following is None:
                goes_on = False
            else:
                batch.append(following)
        self._commit(store, batch)
        self._pour(store)
        return goes_on

    def _commit(self, store: Store, batch: Sequence[tuple[Sequence[Logged], Future[int]]]) -> None:
        try:
            store.keep([decision for decisions, _ in batch for decision in decisions])
        except Exception as error:
            for _, done in batch:
                done.set_exception(error)
        else:
            for decisions, done in batch:
                done.set_result(len(decisions))

    def _pour(self, store: Store) -> None:
        """A log that cannot be written loses nothing: the store has it all."""
        with suppress(PrevizError, sqlite3.Error):
            pour(store, self._append)


def pour(store: Store, append: Append) -> None:
    """Put what the store alone has into the logs of the scenes."""
    waiting = store.unlogged()
    if waiting:
        append(waiting)
        store.mark_logged(waiting)
