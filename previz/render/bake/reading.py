"""Light from lamps and openness, read at receptors where they can be seen."""

from __future__ import annotations

from collections.abc import Collection, Generator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.render.bake.held import Corners
from previz.render.bake.surfaces import Ints
from previz.render.contract import Arriving

F32 = NDArray[np.float32]

OPEN_M, OPEN_RAYS = 0.30, 3
"""How far, and how often from each point, it is asked whether anything stands near."""
SENT_ON = 0.5
"""Share of the light that things near each other send on, rather than swallow: an estimate."""


HIDDEN_COUNTS = 0.3
"""How much a point from which nothing was seen counts beside others: some of these are in joints,
and some in a narrow gap that one does see. Chosen by the error against traced pictures."""


@dataclass(frozen=True, eq=False)
class Arrived:
    """What arrives at n receptors, as means over their points, in which those that are hidden count
    less: what lies in a joint is not seen.

    straight  (n, layers, 3) from lamps, windows and the sun without a bounce, lx
    opened    (n,) how much of what comes from afar arrives; what stands near sends on some of it
    sureness  (n,) how many points that were; 0: nothing can see the receptor
    """

    straight: F32
    opened: F32
    sureness: F32

    def at(self, receptors: Ints) -> Arrived:
        """What arrives at some of them."""
        return Arrived(*(array[receptors] for array in vars(self).values()))

    def put(self, receptors: Ints, other: Arrived) -> Arrived:
        """The same but at some receptors, where it is the other's."""
        arrays = {name: array.copy() for name, array in vars(self).items()}
        for name, array in arrays.items():
            array[receptors] = getattr(other, name)
        return Arrived(**arrays)

    def and_(self, other: Arrived) -> Arrived:
        """Both readings of the same receptors as one."""
        total = self.sureness + other.sureness
        share = np.where(total > 0.0, other.sureness / np.maximum(total, 1e-12), 0.0)
        share = share.astype(np.float32)
        return Arrived(
            straight=self.straight + share[:, None, None] * (other.straight - self.straight),
            opened=self.opened + share * (other.opened - self.opened),
            sureness=total,
        )


def nothing(count: int, layers: int) -> Arrived:
    """Receptors at which nothing was read."""
    dark = np.zeros(count, np.float32)
    return Arrived(np.zeros((count, layers, 3), np.float32), dark, dark)


def arrived(
    arriving: Arriving,
    layers: int,
    corners: Corners,
    receptors: Ints,
    looks: tuple[int, int],
    rng: np.random.Generator,
    only: Collection[str] | None = None,
) -> Generator[None, None, Arrived]:
    """Read some receptors, step by step.

    looks  points that were read before, and how many there are to be now
    only   light layers to read; None: all
    """
    count, before, more = len(receptors), looks[0], looks[1]
    held = corners.held(receptors, np.arange(count), more, rng)
    held = replace(held, order=held.order + np.uint32(before))
    points = replace(
        held, index=np.arange(len(held), dtype=np.uint32), weight=np.ones_like(held.weight)
    )
    free = arriving.opened(points, len(held), OPEN_M, OPEN_RAYS)
    yield
    open_of = free.reshape(count, more)
    seen_of = open_of > 0.0
    sureness = np.where(seen_of, 1.0, HIDDEN_COUNTS).sum(axis=1) * seen_of.any(axis=1)
    mean = np.maximum(sureness, 1e-9)
    opened = open_of.sum(axis=1) / mean
    weight = held.weight * (seen_of * (more / mean[:, None])).reshape(-1)
    seen = np.flatnonzero(weight > 0.0)
    seen_held = replace(held, weight=weight.astype(np.float32)).at(seen)
    straight = np.zeros((count, layers, 3), np.float32)
    for _, straight in arriving.straight(seen_held, count, only):  # noqa: B007 - the last is whole
        yield
    return Arrived(straight, sent_on(opened.astype(np.float32)), sureness.astype(np.float32))


def sent_on(opened: F32) -> F32:
    """How much of what comes from afar arrives at what lies so open."""
    return opened * (np.float32(1.0) + np.float32(SENT_ON) * (np.float32(1.0) - opened))
