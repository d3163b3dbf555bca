"""What one thread hands to another, where only the newest counts."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

T = TypeVar("T")


class Overtaken(Exception):  # noqa: N818 - to be overtaken is no error
    """Something newer is there: what is being worked on is not wanted any more."""


class Latest(Generic[T]):
    """A place for one thing. What is put there replaces what nobody has taken yet."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._value: T | None = None
        self._held = False
        self._closed = False

    def put(self, value: T) -> None:
        """Leave the newest."""
        with self._changed:
            self._value, self._held = value, False
            self._changed.notify_all()

    def hold(self) -> None:
        """Say that something newer is on its way: who works on the old one may stop."""
        with self._changed:
            self._held = True
            self._changed.notify_all()

    def close(self) -> None:
        """Nothing more will come: whoever waits goes home."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def take(self) -> T | None:
        """Wait for the newest and take it; None once it is closed."""
        with self._changed:
            self._changed.wait_for(lambda: self._closed or self._value is not None)
            if self._closed:
                return None
            value, self._value = self._value, None
            return value

    @property
    def overtaken(self) -> bool:
        """Whether something newer waits or is on its way, or the end has come."""
        with self._changed:
            return self._closed or self._held or self._value is not None

    def quiet(self, seconds: float) -> bool:
        """Wait so long; False as soon as something newer is there."""
        with self._changed:
            return not self._changed.wait_for(
                lambda: self._closed or self._held or self._value is not None, seconds
            )


def worker(name: str, run: Callable[[], None]) -> threading.Thread:
    """A thread of this room, not yet started; by its name tests find one that was left behind."""
    return threading.Thread(target=run, name=f"watch {name}")
