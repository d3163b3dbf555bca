"""What this process built a moment ago and may need again: objects, kept by all they rest on.

Nothing is kept unless someone works within a round of a `Memory`; without one, `remembered` just
builds. As with the folder of `cache`, nothing here is needed for a right answer: a key holds all
that a result rests on, and a result is never changed by those who have it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Lock
from typing import Any, TypeVar

T = TypeVar("T")

ROUNDS = 2
"""A result is kept while one of the last so many rounds used it: what is tried and taken back at
once is there again, and what is kept is never more than two rounds held."""


class Memory:
    """Results of the last rounds of work, by key.

    A round that comes to its end lets go of what the last `rounds`, itself with them, did not
    use. One that fails lets go of what was new in it: no row of failures fills the memory.
    """

    def __init__(self, rounds: int = ROUNDS) -> None:
        self._rounds, self._round = rounds, 0
        self._kept: dict[Hashable, tuple[int, Any]] = {}
        self._new: set[Hashable] = set()
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._kept)

    @contextmanager
    def round(self) -> Iterator[None]:
        """Work within which `remembered` keeps what it builds here, and finds it again."""
        self._round += 1
        self._new.clear()
        token = _PRESENT.set(self)
        try:
            yield
        except BaseException:
            for key in self._new:
                self._kept.pop(key, None)
            # A round in which little was asked for must not make the rest old.
            self._round -= 1
            raise
        finally:
            _PRESENT.reset(token)
            self._new.clear()
        oldest = self._round - self._rounds
        self._kept = {key: entry for key, entry in self._kept.items() if entry[0] > oldest}

    def once(self, key: Hashable, build: Callable[[], T]) -> T:
        """What `build` gives, or what it gave for this key before."""
        with self._lock:
            if key in self._kept:
                value: T = self._kept[key][1]
                self._kept[key] = (self._round, value)
                return value
        built = build()
        with self._lock:
            # Of two that built the same at once the first is kept, so that it is one object.
            found: T = self._kept.setdefault(key, (self._round, built))[1]
            self._new.add(key)
        return found


_PRESENT: ContextVar[Memory | None] = ContextVar("present memory", default=None)


def remembered(key: Hashable, build: Callable[[], T]) -> T:
    """What `build` gives, from the present memory if it gave it for this key before.

    `key` says all that the result rests on. Objects that are only equal to themselves (pieces,
    meshes) may stand in it: the memory holds them as long as it holds the result.
    """
    memory = _PRESENT.get()
    return build() if memory is None else memory.once(key, build)
