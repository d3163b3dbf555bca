"""Every error becomes a line and the exit status that the help promises."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path

import click
import pytest

from previz.cli.exits import Exit, exit_status
from previz.errors import (
    CatalogError,
    InputError,
    InterruptedRender,
    MissingError,
    OutputError,
    Place,
    Problem,
)

TWO_PROBLEMS = [
    Problem(Place(Path("s.yaml"), 9, 3), "second"),
    Problem(Place(Path("s.yaml"), 2, 1), "first"),
]
FULL = OSError(errno.ENOSPC, "No space left on device", "a.png")
SLIP = ZeroDivisionError("division by zero\nand more")
REPORT = "To report it, run with --traceback."
CASES = [
    (InputError(TWO_PROBLEMS), Exit.WRONG, "s.yaml:2:1: first\ns.yaml:9:3: second"),
    (CatalogError("no lens 'x'"), Exit.WRONG, "no lens 'x'"),
    (OutputError("out: cannot be written"), Exit.WRONG, "out: cannot be written"),
    (MissingError("pip install y"), Exit.MISSING, "pip install y"),
    (InterruptedRender("stopped"), Exit.INTERRUPTED, "stopped"),
    (KeyboardInterrupt(), Exit.INTERRUPTED, "Stopped."),
    (click.Abort(), Exit.INTERRUPTED, "Stopped."),
    (click.UsageError("no such option"), Exit.WRONG, "Error: no such option"),
    (FULL, Exit.WRONG, "a.png: No space left on device"),
    (MemoryError(), Exit.MISSING, "Not enough memory: try a smaller picture, such as --width 960."),
    (
        SLIP,
        Exit.BROKEN,
        f"A fault in previz itself (ZeroDivisionError: division by zero). {REPORT}",
    ),
    (AssertionError(), Exit.BROKEN, f"A fault in previz itself (AssertionError). {REPORT}"),
]


@pytest.mark.parametrize(("error", "status", "said"), CASES, ids=lambda v: type(v).__name__)
def test_error_becomes_text_and_status(
    error: BaseException, status: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails() -> None:
        raise error

    assert exit_status(fails, traceback_wanted=False) == status
    captured = capsys.readouterr()
    assert (captured.out, captured.err) == ("", said + "\n")


def test_status_of_a_command_that_ends_well() -> None:
    assert exit_status(lambda: None, traceback_wanted=False) == 0
    assert exit_status(lambda: 1, traceback_wanted=False) == 1


def test_traceback_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    def fails() -> None:
        raise CatalogError("no lens")

    assert exit_status(fails, traceback_wanted=True) == Exit.WRONG
    assert "Traceback (most recent call last)" in capsys.readouterr().err


def test_reader_that_leaves_is_no_error() -> None:
    """`previz schema | head -1`: nothing on the standard error, the usual status for it."""
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "previz", "schema"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert (process.wait(), said) == (Exit.NO_READER, b"")


def test_file_name_that_is_no_text(tmp_path: Path) -> None:
    """A name that is not UTF-8 is shown escaped; it does not end in a traceback."""
    name = bytes(tmp_path / "x") + b"\xff.yaml"
    done = subprocess.run(
        [sys.executable, "-P", "-m", "previz", "check", name], capture_output=True, check=False
    )
    assert done.returncode == Exit.WRONG
    assert b"Traceback" not in done.stderr
    assert b"udcff.yaml: no such file" in done.stderr
