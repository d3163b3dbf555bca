"""What was turned in the page, written into the scene's file, and taken out again."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from pathlib import Path

from previz.catalog import Catalog
from previz.scenefile.history import History
from previz.scenefile.layers import read_layers
from previz.scenefile.replacing import contents
from previz.scenefile.writing import Edit, edited
from previz.watch.overrides import Value

HEADS = 2
"""Lines at the head of a difference that name the two texts."""


class FileWriter:
    """Writes values into one scene's file; every other character stays. For one thread."""

    def __init__(self, path: Path, catalog: Catalog) -> None:
        self._history = History(path, catalog)

    def lines(self, values: Mapping[str, Value]) -> Sequence[str]:
        """The lines that would change, each before and after. InputError when that cannot be."""
        path = self._history.path
        before = contents(path)
        after = edited(before, _edits(values), read_layers(path).inherited, path)
        changed = list(difflib.unified_diff(before.splitlines(), after.splitlines(), n=0))
        return [line for line in changed[HEADS:] if not line.startswith("@@")]

    def write(self, values: Mapping[str, Value]) -> bool:
        """Write them, whole or not at all; whether that changed anything. InputError."""
        written = self._history.write(_edits(values))
        return written.after != written.before

    def undo(self) -> None:
        """Give the file back the text of before. InputError when it was changed since."""
        self._history.undo()

    def redo(self) -> None:
        """Give it the text again that was taken back. InputError when it was changed since."""
        self._history.redo()


def _edits(values: Mapping[str, Value]) -> list[Edit]:
    """Entries are taken out first: a place has either its words or its numbers."""
    out_first = sorted(values, key=lambda path: values[path] is not None)
    return [Edit(path, values[path]) for path in out_first]
