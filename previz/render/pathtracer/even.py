"""Random numbers that are spread evenly over the samples of a pixel. Import after a variant is set.

Few samples of a lamp leave less noise where no two of them fall into one corner of it. The points
are Sobol's (0, 2)-sequence, in an order and scrambled by chance for each pixel and each decision of
a path (B. Burley, "Practical hash-based Owen scrambling", 2020): what is counted with them is right
on average, and any number of them from the first one on is even.
"""

from __future__ import annotations

from typing import Any, ClassVar

import drjit as dr
import mitsuba as mi

GOLDEN = 0x9E3779B9
HALVES = ((16, 0x0000FFFF), (8, 0x00FF00FF), (4, 0x0F0F0F0F), (2, 0x33333333), (1, 0x55555555))


class Even:
    """Stands in for a sampler: sample number `index` of the sequences called `name`."""

    DRJIT_STRUCT: ClassVar[dict[str, type]] = {
        "index": mi.UInt32,
        "name": mi.UInt32,
        "asked": mi.UInt32,
    }

    def __init__(self, index: Any = 0, name: Any = 0) -> None:
        self.index, self.name, self.asked = mi.UInt32(index), mi.UInt32(name), mi.UInt32(0)

    def next_1d(self) -> Any:
        """A number from 0 to below 1."""
        seed = self._next_seed()
        return _fraction(_scrambled(_shuffled(self.index, seed), _hashed(seed + 1)))

    def next_2d(self) -> Any:
        """A point of the unit square."""
        seed = self._next_seed()
        index = _shuffled(self.index, seed)
        x = _scrambled(index, _hashed(seed + 1))
        y = _scrambled(_second(index), _hashed(seed + 2))
        return mi.Point2f(_fraction(x), _fraction(y))

    def _next_seed(self) -> Any:
        self.asked += GOLDEN
        return _hashed(self.name ^ self.asked)


def _hashed(x: Any) -> Any:
    """A whole number that looks like chance (A. Appleby, MurmurHash3's last steps, 2011)."""
    x = (x ^ (x >> 16)) * 0x85EBCA6B
    x = (x ^ (x >> 13)) * 0xC2B2AE35
    return x ^ (x >> 16)


def _permuted(x: Any, seed: Any) -> Any:
    """Each bit turned by chance that lower bits decide (Burley 2020, after Laine and Karras)."""
    x = x + seed
    for factor in (0x6C50B47C, 0xB82F1E52, 0xC7AFE638, 0x8D22F6E6):
        x ^= x * factor
    return x


def _shuffled(index: Any, seed: Any) -> Any:
    """Another order of the sequence, in which its parts stay as even as they were."""
    return dr.brev(_permuted(dr.brev(index), seed))


def _scrambled(index: Any, seed: Any) -> Any:
    """The point with this index mirrored at its binary point, scrambled."""
    return dr.brev(_permuted(index, seed))


def _second(index: Any) -> Any:
    """What mirrored is Sobol's second dimension: Pascal's triangle modulo 2 times the index."""
    for step, mask in HALVES:
        index = index ^ ((index >> step) & mask)
    return index


def _fraction(x: Any) -> Any:
    return mi.Float(x >> 8) * (1.0 / (1 << 24))
