"""A scene file that is followed by opening it anew."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from previz.api.measuring import check_scene
from previz.api.opening import OpenScene, open_scene
from previz.errors import InputError, Problem
from previz.measure.report import Report

State = tuple[tuple[str, int, int], ...]


class Following:
    """The latest version of a scene that holds, and what is wrong with the file as it is now.

    opened    None as long as no version held
    problems  nothing while the file holds
    """

    def __init__(self, path: Path, settings: Sequence[str] = ()) -> None:
        self._path, self._settings = path, tuple(settings)
        self._state: State | None = None
        self.opened: OpenScene | None = None
        self.problems: tuple[Problem, ...] = ()
        self.update()

    def update(self) -> bool:
        """Read the file again if it or a file beside it has changed; whether it had."""
        state = self._read_state()
        if state == self._state:
            return False
        self._state = state
        try:
            self.opened, self.problems = open_scene(self._path, self._settings), ()
        except InputError as error:
            self.problems = tuple(error.problems)
        return True

    def look(self, settings: Sequence[str]) -> OpenScene:
        """The file as it is now, with settings over it. InputError for what cannot be."""
        return open_scene(self._path, (*self._settings, *settings))

    def measure(self, opened: OpenScene) -> Report:
        """What a ruler finds of a version, without the light."""
        return check_scene(opened)

    def _read_state(self) -> State:
        """Name, time and size of the scene's file and of what lies beside it."""
        folder = self._path if self._path.is_dir() else self._path.parent
        found = []
        for file in sorted(folder.glob("*.y*ml")):
            try:
                about = file.stat()
            except OSError:
                continue
            found.append((file.name, about.st_mtime_ns, about.st_size))
        return tuple(found)
