"""The log of decisions beside a scene: one a line, appended only, each once."""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import ValidationError

from previz.errors import InputError, Place, Problem
from previz.model.decisions import Logged

LOG = "decisions.jsonl"


def read_log(folder: Path) -> tuple[Logged, ...]:
    """All decisions in a scene's folder, in the order they came; none where there is no log.

    A last line that a full disk or a power cut left unfinished counts as not written. InputError
    for any other line that holds no decision.
    """
    path = folder / LOG
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return ()
    found: dict[str, Logged] = {}
    problems = []
    for number, line in enumerate(_whole_lines(text), 1):
        if not line.strip():
            continue
        try:
            decision = Logged.model_validate_json(line)
        except ValidationError as error:
            problems.append(Problem(Place(path, number, 1), f"is no decision: {said_of(error)}"))
        else:
            found.setdefault(decision.id, decision)
    if problems:
        raise InputError(problems)
    return tuple(found.values())


def said_of(error: ValidationError) -> str:
    """The first thing that is wrong, and where, in a few words."""
    first = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(str(part) for part in first["loc"])
    what = first["msg"].removeprefix("Value error, ")
    return f"{where}: {what}" if where else what


def _whole_lines(text: bytes) -> list[bytes]:
    return text[: len(text) - len(unfinished(text))].split(b"\n")


def unfinished(text: bytes) -> bytes:
    """What stands behind the last end of a line of a log and is no JSON."""
    tail = text.rpartition(b"\n")[2]
    try:
        json.loads(tail or b"0")
    except ValueError:
        return tail
    return b""
