"""Decisions that come as files, put into the logs of the scenes that they are about."""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from pydantic import ValidationError

from previz.api.folders import scene_name
from previz.api.showings import SHOWN, Showing, showings_in
from previz.deliver.decision_log import append_to_log
from previz.deliver.files import whole_file
from previz.errors import InputError, Place, Problem
from previz.model.decisions import Decision, DecisionFile, Logged, logged
from previz.scenefile import scene_file
from previz.scenefile.decisions import read_log, said_of

LARGEST_FILE_BYTES = 8 << 20
"""Five hundred decisions with the longest comments, every letter of four bytes escaped."""


@dataclass(frozen=True)
class Taken:
    """What came of a decision file: those that are new in the log, and how many were there."""

    file: Path
    by: str
    new: tuple[Logged, ...]
    known: int


class Reviewed:
    """Scenes by name, each with its folder and with what was shown of it."""

    def __init__(self, scenes: Sequence[Path]) -> None:
        files = [scene_file(path) for path in scenes]
        missing = [file for file in files if not file.is_file()]
        if missing:
            raise InputError([Problem(Place(file), "there is no such file") for file in missing])
        self.folders = {scene_name(file): file.parent for file in files}
        if len(self.folders) < len(set(files)):
            raise InputError([Problem(Place(files[-1]), "two scenes have this one's name")])
        found = {
            showing.id: showing
            for folder in dict.fromkeys(self.folders.values())
            for showing in showings_in(folder).values()
        }
        self.showings = dict(sorted(found.items(), key=lambda item: item[1].written_s))

    def of(self, scene: str) -> Mapping[str, Showing]:
        """What was shown of a scene, the newest last. It may lie beside another scene of a day."""
        shown = self.showings.items()
        return {name: showing for name, showing in shown if scene in showing.titles}

    def refusal(self, showing: str, decision: Decision) -> str:
        """Why a decision is about nothing that was shown; empty where it is."""
        folder = self.folders.get(decision.scene)
        if folder is None:
            return f"is about the scene {decision.scene}; named here: {', '.join(self.folders)}"
        found = self.showings.get(showing)
        seen = decision.scene, decision.camera, decision.sha256
        frame = None if found is None else found.frame(*seen)
        if frame is None or frame.shown != decision.shown:
            return (
                f"is about camera {decision.camera} of showing {showing}, which is not in "
                f"{folder / SHOWN}: name the scene that was shown, or put its showing back"
            )
        return ""

    def log(self) -> tuple[Logged, ...]:
        """Every decision about these scenes, in the order they came."""
        return tuple(
            entry
            for folder in dict.fromkeys(self.folders.values())
            for entry in read_log(folder)
            if self.folders.get(entry.scene) == folder
        )

    def append(self, decisions: Sequence[Logged]) -> tuple[Logged, ...]:
        """Put decisions into the logs of their scenes; those that are new there.

        What they are about lies beside each of these scenes from then on.
        """
        ordered = sorted(decisions, key=lambda decision: str(self.folders[decision.scene]))
        new: list[Logged] = []
        for folder, some in groupby(ordered, key=lambda decision: self.folders[decision.scene]):
            decided = list(some)
            for showing in dict.fromkeys(decision.showing for decision in decided):
                self._keep_beside(folder, showing)
            new += append_to_log(folder, decided)
        return tuple(new)

    def _keep_beside(self, folder: Path, showing: str) -> None:
        kept = folder / SHOWN / f"{showing}.json"
        if showing in self.showings and not kept.exists():
            with whole_file(kept, beside_scene=True) as fresh:
                # With its date: one that an earlier previz wrote holds no time of its own.
                shutil.copy2(self.showings[showing].file, fresh)


def import_decisions(files: Sequence[Path], scenes: Sequence[Path]) -> tuple[Taken, ...]:
    """Put the decisions of files into the logs of the scenes they are about; all files or none.

    InputError, a line for each file, where one is too large, is no decision file, or is about
    frames that were shown of none of these scenes. Whoever sends a file twice changes nothing.
    """
    reviewed = Reviewed(scenes)
    read: list[tuple[Path, DecisionFile]] = []
    problems: list[Problem] = []
    for file in files:
        try:
            read.append((file, _known(file, read_decision_file(file), reviewed)))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return tuple(_taken(file, found, reviewed) for file, found in read)


def read_decision_file(file: Path) -> DecisionFile:
    """What a reviewer sent. InputError where it is too large or not what a page writes."""
    try:
        with file.open("rb") as opened:
            text = opened.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise _refused(file, error.strerror or "cannot be read") from error
    if len(text) > LARGEST_FILE_BYTES:
        raise _refused(file, f"is larger than {LARGEST_FILE_BYTES >> 20} MiB: no page writes that")
    try:
        return DecisionFile.model_validate_json(text)
    except ValidationError as error:
        raise _refused(file, f"is no decision file: {said_of(error)}") from error


def _known(file: Path, found: DecisionFile, reviewed: Reviewed) -> DecisionFile:
    refusals = (reviewed.refusal(found.showing, decision) for decision in found.decisions)
    refusal = next((why for why in refusals if why), "")
    if refusal:
        raise _refused(file, refusal)
    return found


def _refused(file: Path, why: str) -> InputError:
    return InputError([Problem(Place(file), why)])


def _taken(file: Path, found: DecisionFile, reviewed: Reviewed) -> Taken:
    entries = [logged(decision, found.showing, "page") for decision in found.decisions]
    new = reviewed.append(entries)
    return Taken(file, found.by, new, len(entries) - len(new))
