"""Progress of a long command on the standard error: a bar on a terminal, else plain lines.

Nothing appears in the first two seconds, so that quick commands stay quiet.
"""

from __future__ import annotations

import sys
import threading
import time
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

QUIET_S = 2.0
BETWEEN_LINES_S = 5.0


class PlainProgress:
    """Progress in lines, for logs: `Camera A: 40 %, about 12 s left`."""

    def __init__(self, quiet_s: float = QUIET_S, between_s: float = BETWEEN_LINES_S) -> None:
        self._quiet_s, self._between_s = quiet_s, between_s
        self._label, self._total = "", 1
        self._began = self._said = 0.0

    def start(self, label: str, total: int) -> None:
        """Begin something of `total` steps."""
        self._label, self._total = label, max(total, 1)
        self._began = time.monotonic()
        self._said = self._began + self._quiet_s - self._between_s

    def advance(self, done: int) -> None:
        """`done` steps of it are done, counted from its start."""
        now = time.monotonic()
        if now - self._said < self._between_s or not 0 < done < self._total:
            return
        self._said = now
        share = done / self._total
        left_s = (now - self._began) * (1.0 - share) / share
        click.echo(f"{self._label}: {share:.0%}, about {duration(left_s)} left", err=True)

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
        self._label, self._total, self._done = "", 1, 0

    def start(self, label: str, total: int) -> None:
        """Begin something of `total` steps."""
        self.finish()
        self._label, self._total, self._done = label, max(total, 1), 0
        self._waiting = threading.Timer(self._quiet_s, self._draw)
        self._waiting.daemon = True
        self._waiting.start()

    def advance(self, done: int) -> None:
        """`done` steps of it are done, counted from its start."""
        with self._lock:
            self._done = done
            if self._bar is not None and self._task is not None:
                self._bar.update(self._task, completed=done)

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
            self._task = self._bar.add_task(self._label, total=self._total, completed=self._done)
            self._bar.start()


def _rich_bar() -> Progress:
    from rich.console import Console  # noqa: PLC0415  (a tenth of a second, only if drawn)
    from rich.progress import (  # noqa: PLC0415
        BarColumn,
        Progress,
        TaskProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    return Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TaskProgressColumn(),
        TextColumn("time left"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    )


def progress() -> PlainProgress | BarProgress:
    """A bar if the standard error is a terminal, else plain lines."""
    return BarProgress() if sys.stderr.isatty() else PlainProgress()


def duration(seconds: float) -> str:
    """`8 s`, `2 min 5 s`, `1 h 4 min`."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"
