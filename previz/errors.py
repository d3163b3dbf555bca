"""The one error tree. The command line alone turns these into text and an exit status."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


class PrevizError(Exception):
    """Anything a user can be told in one line. Never raised bare."""


@dataclass(frozen=True, order=True)
class Place:
    """Where a value stands in a file; line and column count from 1 (0: the file as a whole)."""

    file: Path
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else str(self.file)


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong with the input: where, what was found and what would be right."""

    place: Place
    message: str

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


class InputError(PrevizError):
    """The input is wrong. Holds every problem found in one pass, in the order of the file."""

    def __init__(self, problems: list[Problem]) -> None:
        if not problems:
            raise ValueError("an InputError needs at least one problem")
        self.problems = sorted(set(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class CatalogError(PrevizError):
    """A catalogue record is missing or does not hold what it must."""


class MissingError(PrevizError):
    """Something needed is not installed or does not work here; the message says what to install."""


class OutputError(PrevizError):
    """A result could not be written where it was asked for."""


class InterruptedRender(PrevizError):  # noqa: N818 - a stop that was asked for is no error
    """The user stopped a render; what was rendered so far has been kept."""
