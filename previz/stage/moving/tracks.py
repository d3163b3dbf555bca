"""What changes over a move, from key to key: through every key, no jump of speed, no overshoot."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from previz.model.moves import Ease

STARTS_AT_REST: frozenset[Ease] = frozenset({"ease_in", "ease_in_and_out"})
ENDS_AT_REST: frozenset[Ease] = frozenset({"ease_out", "ease_in_and_out"})


@dataclass(frozen=True)
class Timing:
    """When the keys of one track are (rising, seconds), and at which of them it is at rest."""

    times_s: tuple[float, ...]
    rests: tuple[bool, ...]

    def resting(self, more: Sequence[bool]) -> Timing:
        """The same, at rest at further keys too."""
        rests = tuple(own or other for own, other in zip(self.rests, more, strict=True))
        return Timing(self.times_s, rests)


def timing_of(
    times_s: Sequence[float], own: Sequence[Ease | None], whole: Ease, duration_s: float
) -> Timing:
    """The timing of a track.

    times_s  of its keys, the first at 0
    own      how each key goes on to the next, where it says so itself
    whole    how the move begins and ends

    A track whose last key is before the end of the move comes to rest there and stays.
    """
    last = len(times_s) - 1
    rests = []
    for here in range(len(times_s)):
        leaves = own[here] if here < last else None
        comes = own[here - 1] if here > 0 else None
        if here == 0:
            leaves = leaves or whole
        if here == last:
            comes = comes or whole
        stays = here == last and times_s[here] < duration_s
        rests.append(stays or leaves in STARTS_AT_REST or comes in ENDS_AT_REST)
    return Timing(tuple(times_s), tuple(rests))


def value_at(timing: Timing, values: Sequence[float], time_s: float) -> float:
    """Value of a track at a moment; before its first key and after its last as at that key.

    A cubic between keys, its slopes the weighted harmonic means of Fritsch and Butland, "A Method
    for Constructing Local Monotone Piecewise Cubic Interpolants", 1984: continuous in speed, and
    between two keys never beyond either.
    """
    times = timing.times_s
    if len(times) == 1 or time_s <= times[0]:
        return float(values[0])
    if time_s >= times[-1]:
        return float(values[-1])
    here = bisect_right(times, time_s) - 1
    slopes = _slopes(timing, values)
    long = times[here + 1] - times[here]
    u = (time_s - times[here]) / long
    low, high = values[here], values[here + 1]
    rise = u * u * (3.0 - 2.0 * u)
    start, end = u * (1.0 - u) ** 2, u * u * (u - 1.0)
    bend = long * (start * slopes[here] + end * slopes[here + 1])
    return float(low + rise * (high - low) + bend)


def _slopes(timing: Timing, values: Sequence[float]) -> list[float]:
    times = timing.times_s
    spans = [b - a for a, b in pairwise(times)]
    rates = [(b - a) / h for (a, b), h in zip(pairwise(values), spans, strict=True)]
    slopes = [0.0] * len(times)
    for k in range(1, len(times) - 1):
        before, after = rates[k - 1], rates[k]
        if not timing.rests[k] and before * after > 0.0:
            weigh_before, weigh_after = 2.0 * spans[k] + spans[k - 1], spans[k] + 2.0 * spans[k - 1]
            total = weigh_before + weigh_after
            slopes[k] = total / (weigh_before / before + weigh_after / after)
    if len(times) == 2 and not any(timing.rests):
        return [rates[0], rates[0]]
    # At a free end nothing speeds it up or slows it down: the second derivative is 0.
    if not timing.rests[0]:
        slopes[0] = (3.0 * rates[0] - slopes[1]) / 2.0
    if not timing.rests[-1]:
        slopes[-1] = (3.0 * rates[-1] - slopes[-2]) / 2.0
    return slopes
