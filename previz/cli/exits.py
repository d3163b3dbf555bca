"""The end of every command: errors become lines on the standard error, and an exit status."""

from __future__ import annotations

import io
import os
import sys
import traceback
from collections.abc import Callable
from enum import IntEnum
from typing import Any

import click

from previz.errors import InterruptedRender, MissingError, PrevizError


class Exit(IntEnum):
    """Exit statuses. An output that cannot be written is a wrong input: another --out cures it."""

    DONE = 0
    FAULT = 1
    WRONG = 2
    MISSING = 3
    BROKEN = 70
    INTERRUPTED = 130
    NO_READER = 141


def exit_status(run: Callable[[], Any], traceback_wanted: bool) -> int:
    """Run a command and say what went wrong. A number that `run` returns is the exit status."""
    _print_any_character()
    try:
        status = run()
        sys.stdout.flush()
    except click.exceptions.Exit as early:
        return early.exit_code
    except BrokenPipeError:
        _forget_output()
        return Exit.NO_READER
    except BaseException as error:
        if traceback_wanted:
            traceback.print_exception(error)
        return _explain(error)
    return status if isinstance(status, int) else Exit.DONE


def _explain(error: BaseException) -> int:
    match error:
        case SystemExit():
            raise error
        case click.Abort() | KeyboardInterrupt():
            click.echo("Stopped.", err=True)
            return Exit.INTERRUPTED
        case click.ClickException():
            error.show()
            return Exit.WRONG
        case PrevizError():
            click.echo(str(error), err=True)
            return _status_of(error)
        case MemoryError():
            click.echo("Not enough memory: try a smaller picture, such as --width 960.", err=True)
            return Exit.MISSING
        case OSError():
            click.echo(_file_trouble(error), err=True)
            return Exit.WRONG
    click.echo(_own_fault(error), err=True)
    return Exit.BROKEN


def _status_of(error: PrevizError) -> Exit:
    if isinstance(error, InterruptedRender):
        return Exit.INTERRUPTED
    return Exit.MISSING if isinstance(error, MissingError) else Exit.WRONG


def _file_trouble(error: OSError) -> str:
    reason = error.strerror or str(error)
    return f"{error.filename}: {reason}" if error.filename else reason


def _own_fault(error: BaseException) -> str:
    first = (str(error).splitlines() or [""])[0]
    said = f"{type(error).__name__}: {first}" if first else type(error).__name__
    return f"A fault in previz itself ({said}). To report it, run with --traceback."


def _print_any_character() -> None:
    """File names may hold what the terminal's encoding cannot say; that must not end a command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _forget_output() -> None:
    """Nobody reads on: let the interpreter flush what is left into nothing."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
