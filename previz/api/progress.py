"""Who shows how far the work has come."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Who shows how far the work has come."""

    def start(self, label: str, total: int) -> None:
        """A piece of work of `total` steps begins."""

    def advance(self, done: int) -> None:
        """`done` of its steps are done."""

    def finish(self) -> None:
        """It is finished."""

    def say(self, text: str) -> None:
        """Tell something in a sentence."""


class Silence:
    """Progress that nobody watches."""

    def start(self, label: str, total: int) -> None:
        """Shows no bar."""

    def advance(self, done: int) -> None:
        """Counts no steps."""

    def finish(self) -> None:
        """Takes no bar away."""

    def say(self, text: str) -> None:
        """Prints no sentence."""
