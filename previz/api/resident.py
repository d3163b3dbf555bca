"""A scene file kept open and followed: opened again when it changes, at the cost of the change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from threading import Lock

from previz.api.changes import Change, change_between
from previz.api.followed import Marks, files_behind, marks_of, unchanged
from previz.api.measuring import check_scene
from previz.api.opening import OpenScene, open_draft
from previz.cache import nothing_written
from previz.catalog import Catalog
from previz.errors import InputError, Place, PrevizError, Problem
from previz.measure.report import Report
from previz.memory import Memory
from previz.scenefile import Layered, SceneDraft, draft_of, read_layers, scene_file

MOST_READINGS = 5
"""How often a scene is read to find all files behind it: each reading may name further ones."""


class Resident:
    """One scene file for as long as someone works on it. May be called from any thread.

    opened    as the file was when it was last without fault; None as long as it never was
    problems  what is wrong with the file as it is now, in the order of the file

    What an opening is built from is kept for the next: of two openings in a row, whatever did not
    change is the same object in both. Nothing else of this process knows of it.
    """

    def __init__(
        self, path: Path | str, settings: Sequence[str] = (), catalog_folder: Path | None = None
    ) -> None:
        """Open a scene file, or `scene.yaml` in a folder, under `settings` as `--set` takes them.

        Raises for no fault of the file; `problems` has them.
        """
        self.path, self.settings = scene_file(Path(path)), tuple(settings)
        self.opened: OpenScene | None = None
        self.problems: tuple[Problem, ...] = ()
        self._catalog_folder = catalog_folder
        self._memory, self._lock = Memory(), Lock()
        self._measured, self._measuring_lock = Memory(), Lock()
        self._marks: Marks | None = None
        self._followed: set[Path] = set()
        self._layered: Layered | None = None
        self.update()

    def update(self) -> Change:
        """Open the scene anew if anything behind it has changed, and say what is different.

        Looked at are the file, what it is based on, the files it names and the catalogue. Of a
        file with faults only `problems` is taken: `opened` stays as it was.
        """
        with self._lock:
            marks = None if self._marks is None else unchanged(self._marks)
            if marks is not None:
                self._marks = marks
                return Change()
            before, wrong = self.opened, self.problems
            try:
                with self._memory.round():
                    self._open()
            except (PrevizError, OSError) as error:
                self.problems = _problems(error, self.path)
                return Change(problems=self.problems != wrong)
            self.problems = ()
            return self._change(before, wrong)

    def look(self, settings: Sequence[str]) -> OpenScene:
        """The scene as it was last without fault, under further settings that are kept nowhere.

        InputError with every problem found, as when a scene is opened.
        """
        with self._lock:
            if self._layered is None or self.opened is None:
                raise InputError(list(self.problems))
            catalog, all_settings = self.opened.catalog, (*self.settings, *settings)
            with self._memory.round(), nothing_written():
                return open_draft(
                    draft_of(self._layered, catalog, all_settings), catalog, all_settings
                )

    def measure(self, opened: OpenScene | None = None) -> Report:
        """What `check` measures and finds, of `opened` or, left out, of the scene as it is.

        May run beside the other calls. What does not hang on what changed is not measured again.
        """
        wanted = opened or self.opened
        if wanted is None:
            raise InputError(list(self.problems))
        with self._measuring_lock, self._measured.round():
            return check_scene(wanted)

    def _open(self) -> None:
        # Whoever is stopped half-way, or finds no catalogue, has to look again.
        self._marks = None
        catalog = Catalog.load(self._catalog_folder)
        layered, draft, marks = self._read(catalog)
        try:
            opened = open_draft(draft, catalog, self.settings)
        except PrevizError:
            self._marks = marks
            raise
        self.opened, self._layered, self._marks = opened, layered, marks

    def _read(self, catalog: Catalog) -> tuple[Layered, SceneDraft, Marks]:
        """The scene as read, and marks of all files behind it, taken before it was."""
        known = {self.path, *self._followed}
        for _ in range(MOST_READINGS):
            marks = marks_of(known)
            layered = read_layers(self.path)
            draft = draft_of(layered, catalog, self.settings)
            self._followed = files_behind(draft, layered.sought, catalog)
            if self._followed <= known:
                break
            known = {self.path, *self._followed}
        return layered, draft, {path: marks[path] for path in self._followed & known}

    def _change(self, before: OpenScene | None, wrong: tuple[Problem, ...]) -> Change:
        assert self.opened is not None
        if before is None:
            return Change(everything=True, problems=bool(wrong))
        change = change_between(before, self.opened)
        return replace(change, problems=bool(wrong))


def _problems(error: PrevizError | OSError, path: Path) -> tuple[Problem, ...]:
    if isinstance(error, InputError):
        return tuple(error.problems)
    return (Problem(Place(path), str(error)),)
