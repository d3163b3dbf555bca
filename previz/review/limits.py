"""How often somebody may ask: a bucket of drops that fills again with time."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

MOST_KNOWN = 4096
"""Buckets that are kept; the one asked for longest ago goes first."""


class Limit:
    """So many at once, and then so many a minute, for each who asks."""

    def __init__(
        self, at_once: int, a_minute: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._at_once, self._a_second, self._clock = float(at_once), a_minute / 60.0, clock
        self._drops: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def takes(self, who: str) -> bool:
        """Whether there is a drop left, which is then taken."""
        left = self._left(who)
        taken = left >= 1.0
        self._drops[who] = (left - 1.0 if taken else left), self._clock()
        self._drops.move_to_end(who)
        while len(self._drops) > MOST_KNOWN:
            self._drops.popitem(last=False)
        return taken

    def _left(self, who: str) -> float:
        drops, at = self._drops.get(who, (self._at_once, self._clock()))
        return min(self._at_once, drops + (self._clock() - at) * self._a_second)
