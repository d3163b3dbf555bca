"""How a frame stands with those who decided about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from previz.measure.shown import Difference
from previz.model.decisions import Logged


@dataclass(frozen=True, eq=False)
class Lost:
    """An approval of a frame that is another by now, and what lies between.

    `difference` is None where what was seen is not kept beside the scene any more.
    """

    approval: Logged
    difference: Difference | None


@dataclass(frozen=True, eq=False)
class FrameStanding:
    """A camera's frame and what each reviewer said of it last, the latest first.

    `lost` are the approvals among them that hold no more.
    """

    scene: str
    camera: str
    shown: str
    decisions: tuple[Logged, ...]
    lost: tuple[Lost, ...]

    @property
    def approvals(self) -> tuple[Logged, ...]:
        """Approvals of just this frame."""
        held = (decision for decision in self.decisions if decision.says == "approved")
        return tuple(decision for decision in held if decision.shown == self.shown)

    @property
    def wishes(self) -> tuple[Logged, ...]:
        """Changes that somebody asked for and has not taken back."""
        return tuple(decision for decision in self.decisions if decision.says == "change")


def latest(decisions: Iterable[Logged]) -> tuple[Logged, ...]:
    """What each reviewer said last, the latest first."""
    last: dict[str, Logged] = {}
    for decision in sorted(decisions, key=lambda decision: decision.moment):
        last.pop(decision.by, None)
        last[decision.by] = decision
    return tuple(reversed(last.values()))
