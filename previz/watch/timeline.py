"""What was done in the page, step by step, so that it can be taken back and done again."""

from __future__ import annotations

from dataclasses import dataclass

from previz.watch.overrides import Overrides

MOST_STEPS = 500


@dataclass(frozen=True)
class Step:
    """From one state of what is turned to another; `wrote`: by writing it into the file.

    touched  the paths of the last change: the next change of the same is the same gesture
    """

    before: Overrides
    after: Overrides
    wrote: bool = False
    touched: frozenset[str] = frozenset()


class Timeline:
    """Steps that were taken, and steps that were taken back."""

    def __init__(self) -> None:
        self.now = Overrides()
        self._done: list[Step] = []
        self._undone: list[Step] = []
        self._open = False

    def change(self, after: Overrides, touched: frozenset[str], *, goes_on: bool = False) -> None:
        """A new state. With `goes_on` it joins the step before if that touched the same."""
        before = self.now
        if goes_on and self._open and self._done and self._done[-1].touched == touched:
            before = self._done.pop().before
        self._take(Step(before, after, touched=touched))
        self._open = True

    def written(self) -> None:
        """All that was turned stands in the file now."""
        self._take(Step(self.now, Overrides(), wrote=True))

    def close(self) -> None:
        """A gesture has ended: the next change is a step of its own."""
        self._open = False

    def _take(self, step: Step) -> None:
        self._done = [*self._done, step][-MOST_STEPS:]
        self._undone = []
        self._open = False
        self.now = step.after

    @property
    def last(self) -> Step | None:
        """The step that `back` would take back."""
        return self._done[-1] if self._done else None

    @property
    def next(self) -> Step | None:
        """The step that `again` would take."""
        return self._undone[-1] if self._undone else None

    def back(self) -> None:
        """Take the last step back."""
        step = self._done.pop()
        self._undone.append(step)
        self._open = False
        self.now = step.before

    def again(self) -> None:
        """Take the step that was taken back last."""
        step = self._undone.pop()
        self._done.append(step)
        self._open = False
        self.now = step.after
