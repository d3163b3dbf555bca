"""Progress: quiet for two seconds, then a bar on a terminal or lines in a log."""

from __future__ import annotations

import io
import sys
import time

import pytest

from previz.cli import progress as module
from previz.cli.progress import BarProgress, PlainProgress, duration, progress


class Clock:
    """A clock that stands still until it is set."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = 100.0
        monkeypatch.setattr(module.time, "monotonic", lambda: self.now)


def test_lines_say_share_and_time_left(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = Clock(monkeypatch)
    shown = PlainProgress(quiet_s=2.0, between_s=5.0)
    shown.start("Camera A", 100)
    for seconds, done in ((0, 0), (1, 10), (3, 25), (5, 50), (9, 75), (10, 100)):
        clock.now = 100.0 + seconds
        shown.advance(done)
    shown.finish()
    assert capsys.readouterr() == (
        "",
        "Camera A: 25%, about 9 s left\nCamera A: 75%, about 3 s left\n",
    )


def test_resumed_work_is_timed_from_where_it_begins(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = Clock(monkeypatch)
    shown = PlainProgress()
    shown.start("Camera A", 100)
    shown.advance(60)
    clock.now += 10.0
    shown.advance(80)
    assert capsys.readouterr().err == "Camera A: 80%, about 10 s left\n"


def test_quick_work_prints_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = Clock(monkeypatch)
    shown = PlainProgress()
    shown.start("Camera A", 4)
    clock.now += 1.9
    shown.advance(3)
    shown.advance(4)
    shown.finish()
    assert capsys.readouterr().err == ""


class Terminal(io.StringIO):
    """A standard error that is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


def test_bar_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    with progress() as fitting:
        assert isinstance(fitting, BarProgress)
    shown = BarProgress(quiet_s=0.0)
    shown.start("camera [A], 1280 x 720", 8)
    shown.advance(0)
    shown.advance(2)
    deadline = time.monotonic() + 20.0
    while "25%" not in terminal.getvalue() and time.monotonic() < deadline:
        time.sleep(0.02)
    shown.say("[key] is off")
    shown.finish()
    shown.finish()
    assert "camera [A], 1280 x 720" in terminal.getvalue()
    assert "25%" in terminal.getvalue() and "about 0 s left" in terminal.getvalue()
    assert "[key] is off" in terminal.getvalue()


def test_bar_stays_away_from_quick_work(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    shown = BarProgress(quiet_s=1000.0)
    shown.start("Camera A", 8)
    shown.advance(8)
    shown.say("done")
    shown.finish()
    assert terminal.getvalue() == "done\n"


def test_lines_when_the_output_is_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with progress() as fitting:
        assert isinstance(fitting, PlainProgress)


def test_bar_goes_when_the_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", Terminal())
    ended: list[BarProgress] = []

    def finish(bar: BarProgress) -> None:
        ended.append(bar)

    monkeypatch.setattr(BarProgress, "finish", finish)
    with pytest.raises(ValueError), progress() as shown:
        raise ValueError("the work failed")
    assert ended == [shown]


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.4, "0 s"), (59.4, "59 s"), (59.6, "1 min 0 s"), (125, "2 min 5 s"), (3840, "1 h 4 min")],
)
def test_duration(seconds: float, said: str) -> None:
    assert duration(seconds) == said
