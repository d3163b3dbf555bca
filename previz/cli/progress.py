"""Progress of a long command on the standard error: a bar on a terminal, else plain lines.

Nothing appears in the first two seconds, so that quick commands stay quiet.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

QUIET_S = 2.0
BETWEEN_LINES_S = 5.0


class _Pace:
    """Time left, from the pace since the first report: a resumed render begins in the middle."""

    def __init__(self, total: int) -> None:
        self.total = max(total, 1)
        self._first: tuple[float, int] | None = None

    def left(self, done: int) -> str:
        """`about 12 s left`, or nothing while there is nothing to go by."""
        now = time.monotonic()
        if self._first is None:
            self._first = (now, done)
        began, before = self._first
        if done <= before:
            return ""
        return f"about {duration((now - began) * (self.total - done) / (done - before))} left"


class PlainProgress:
    """Progress in lines, for logs: `Camera A: 40 %, about 12 s left`."""

    def __init__(self, quiet_s: float = QUIET_S, between_s: float = BETWEEN_LINES_S) -> None:
        self._quiet_s, self._between_s = quiet_s, between_s
        self._label, self._pace, self._said = "", _Pace(1), 0.0

    def start(self, label: str, total: int) -> None:
        """Begin something of `total` steps."""
        self._label, self._pace = label, _Pace(total)
        self._said = time.monotonic() + self._quiet_s - self._between_s

    def advance(self, done: int) -> None:
        """`done` steps of it are done, counted from its start."""
        left, now = self._pace.left(done), time.monotonic()
        if now - self._said < self._between_s or not left or done >= self._pace.total:
            return
        self._said = now
        click.echo(f"{self._label}: {done / self._pace.total:.0%}, {left}", err=True)

    def finish(self) -> None:
        """It is over, done or not."""

    def say(self, text: str) -> None:
        """Tell something worth knowing."""
        click.echo(text, err=True)


class BarProgress:
    """Progress as a bar with the time left, drawn from two seconds on even without a step."""

    def __init__(self, quiet_s: float = QUIET_S) -> None:
        self._quiet_s = quiet_s
        self._lock = threading.Lock()
        self._waiting: threading.Timer | None = None
        self._bar: Progress | None = None
        self._task: TaskID | None = None
        self._label, self._pace, self._done = "", _Pace(1), 0

    def start(self, label: str, total: int) -> None:
        """Begin something of `total` steps."""
        self.finish()
        self._label, self._pace, self._done = label, _Pace(total), 0
        self._waiting = threading.Timer(self._quiet_s, self._draw)
        self._waiting.daemon = True
        self._waiting.start()

    def advance(self, done: int) -> None:
        """`done` steps of it are done, counted from its start."""
        with self._lock:
            self._done = done
            left = self._pace.left(done)
            if self._bar is not None and self._task is not None:
                self._bar.update(self._task, completed=done, left=left)

    def finish(self) -> None:
        """It is over, done or not."""
        with self._lock:
            if self._waiting is not None:
                self._waiting.cancel()
                self._waiting = None
            if self._bar is not None:
                self._bar.stop()
                self._bar = None

    def say(self, text: str) -> None:
        """Tell something worth knowing, above the bar."""
        with self._lock:
            if self._bar is not None:
                self._bar.console.print(text, markup=False, highlight=False)
            else:
                click.echo(text, err=True)

    def _draw(self) -> None:
        with self._lock:
            if self._waiting is None:  # finished while the timer went off
                return
            self._bar = _rich_bar()
            self._task = self._bar.add_task(
                self._label,
                total=self._pace.total,
                completed=self._done,
                left=self._pace.left(self._done),
            )
            self._bar.start()


def _rich_bar() -> Progress:
    from rich.console import Console  # noqa: PLC0415  (a tenth of a second, only if drawn)
    from rich.progress import (  # noqa: PLC0415
        BarColumn,
        Progress,
        TaskProgressColumn,
        TextColumn,
    )

    return Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TaskProgressColumn(),
        TextColumn("{task.fields[left]}", markup=False),
        console=Console(stderr=True),
        transient=True,
    )


@contextmanager
def progress() -> Iterator[PlainProgress | BarProgress]:
    """A bar if the standard error is a terminal, else plain lines; gone when the work ends."""
    shown = BarProgress() if sys.stderr.isatty() else PlainProgress()
    try:
        yield shown
    finally:
        shown.finish()


def duration(seconds: float) -> str:
    """`8 s`, `2 min 5 s`, `1 h 4 min`."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"
