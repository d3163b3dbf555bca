"""What was written into one scene's file, to be taken back and made again."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from previz.catalog import Catalog
from previz.errors import InputError, Place, Problem
from previz.scenefile.replacing import contents, refuse_other, replace_contents
from previz.scenefile.writing import Edit, Written, scene_file, write_edits

MOST_STEPS = 200
"""Writes that can be taken back; a scene is a few kB long."""
_OTHERS = (
    "the file was changed since by someone else, and {verb} would lose that: nothing was written; "
    "take the other change back first, or go on from here"
)


class History:
    """The writes of one file, undone and redone byte for byte. For one thread at a time.

    Each step holds the file's text before and after it and is taken only where the file still holds
    exactly what that step left; a refused one stays, for when the other change is gone.
    """

    def __init__(self, path: Path, catalog: Catalog) -> None:
        self.path = scene_file(path)
        self.catalog = catalog
        self._done: list[Written] = []
        self._undone: list[Written] = []

    @property
    def can_undo(self) -> bool:
        """Whether something was written that was not taken back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether something was taken back and nothing written since."""
        return bool(self._undone)

    def write(self, edits: Iterable[Edit], expected: str | None = None) -> Written:
        """As `write_edits`; the last step is then this one. What changes nothing is no step."""
        written = write_edits(self.path, edits, self.catalog, expected)
        if written.after != written.before:
            self._done = [*self._done, written][-MOST_STEPS:]
            self._undone = []
        return written

    def undo(self) -> Written:
        """Give the file back the text from before the last step.

        InputError, and nothing is written or forgotten, when there is no step or the file holds
        anything else than that step left in it.
        """
        step = self._last(self._done, "nothing was written that could be undone")
        back = self._given(Written(step.after, step.before), "undoing")
        self._undone.append(self._done.pop())
        return back

    def redo(self) -> Written:
        """Give the file again the text of the step that was undone last. InputError as `undo`."""
        step = self._last(self._undone, "nothing was undone that could be done again")
        again = self._given(step, "redoing")
        self._done.append(self._undone.pop())
        return again

    def _last(self, steps: list[Written], lacking: str) -> Written:
        if not steps:
            raise InputError([Problem(Place(self.path), lacking)])
        return steps[-1]

    def _given(self, step: Written, verb: str) -> Written:
        refuse_other(self.path, contents(self.path), step.before, _OTHERS.format(verb=verb))
        replace_contents(self.path, step.before, step.after)
        return step
