"""Bounced light is soft: it is read at fewer places, and surfaces between them share it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.render.bake.surfaces import Ints, Net

F32 = NDArray[np.float32]

SIDE_M, PERSONS_SIDE_M = 0.20, 0.07
"""Size of a place on the set, and on people."""
NEIGHBOURS = 8
TURN = 4.0
"""How much less a place counts whose surface is turned: a quarter turn is as four sides away."""


@dataclass(frozen=True, eq=False)
class Places:
    """Groups of receptors near each other that face alike, n of them.

    of       (receptors,) the place of each
    where    (n, 7) as `where_of` has it, the mean over its receptors
    open_m2  (receptors,) how much each counts within its place
    names    (n,) of each place's cell, rising
    """

    of: Ints
    where: NDArray[np.float64]
    open_m2: NDArray[np.float64]
    names: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.where)

    def mean(self, values: F32) -> F32:
        """Mean of the receptors' values (receptors, k) over each place, (n, k)."""
        total = np.maximum(self._summed(self.open_m2), 1e-12)
        columns = [self._summed(self.open_m2 * column) / total for column in values.T]
        return np.stack(columns, axis=1).astype(np.float32)

    @property
    def area_m2(self) -> NDArray[np.float64]:
        """Open area of each place, (n,)."""
        return self._summed(self.open_m2)

    def _summed(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.bincount(self.of, values, minlength=len(self)), float)

    def at(self, where: NDArray[np.float64]) -> Ints:
        """The place of points (m, 7): of their own cell, or the nearest of all."""
        from scipy.spatial import cKDTree  # noqa: PLC0415 - only who bakes needs it

        found, there = self._cell(where)
        lost = np.flatnonzero(~there)
        if len(lost):
            found[lost] = cKDTree(self.where).query(where[lost], workers=-1)[1]
        return found

    def met(self, points: F32, facings: F32, near_person: NDArray[np.bool_]) -> Ints:
        """The place of points (m, 3); those near a person may be theirs or of their seat."""
        found = np.empty(len(points), np.int64)
        close = np.flatnonzero(near_person)
        own = np.ones(len(close), bool)
        found[close], there = self._cell(where_are(points[close], facings[close], own))
        rest = np.ones(len(points), bool)
        rest[close[there]] = False
        others = np.zeros(int(rest.sum()), bool)
        found[rest] = self.at(where_are(points[rest], facings[rest], others))
        return found

    def holding(self, where: NDArray[np.float64], open_m2: NDArray[np.float64]) -> Places:
        """The same places with other receptors (m, 7) in them."""
        return replace(self, of=self.at(where), open_m2=open_m2)

    def _cell(self, where: NDArray[np.float64]) -> tuple[Ints, NDArray[np.bool_]]:
        """The place of each point's own cell, and whether there is one."""
        names = _names(where)
        found = np.minimum(np.searchsorted(self.names, names), len(self.names) - 1)
        return found, self.names[found] == names


@dataclass(frozen=True, eq=False)
class SharedLight:
    """Light at places if they lay quite open, (n, layers, 3), and how much each counts, (n,)."""

    where: NDArray[np.float64]
    values: F32
    weight: NDArray[np.float64]

    def at(self, where: NDArray[np.float64], opened: F32) -> F32:
        """Light at points (m, 7) as `where_of` has them, which lie so open (m,): a mean over the
        places around."""
        from scipy.spatial import cKDTree  # noqa: PLC0415 - only who bakes needs it

        count = min(NEIGHBOURS, len(self.where))
        away, near = cKDTree(self.where).query(where, k=[*range(1, count + 1)], workers=-1)
        share = np.exp(-0.5 * (away / 0.8) ** 2) * self.weight[near] + 1e-12
        share = (share / share.sum(axis=1, keepdims=True)).astype(np.float32)
        flat = self.values.reshape(len(self.values), -1)
        total = np.zeros((len(near), flat.shape[1]), np.float32)
        for column in range(count):
            total += share[:, column, None] * flat[near[:, column]]
        total *= opened[:, None]
        return total.reshape(len(near), *self.values.shape[1:])


def where_of(
    net: Net, receptor: Ints, count: int, persons: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Where receptors are, (r, 7), see `where_are`. `persons` (kinds,) are kinds of people."""
    first = np.zeros(count, np.int64)
    first[receptor] = np.arange(len(receptor))
    person = np.zeros(len(net.carried), bool)
    person[net.faces.reshape(-1)] = np.repeat(persons[net.kinds], 3)
    return where_are(net.places[first], net.facings[first], person[first])


def where_are(points: F32, facings: F32, person: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Point over the size of a place, facing times `TURN`, and whether it is a person's."""
    side = np.where(person, PERSONS_SIDE_M, SIDE_M)[:, None]
    return np.concatenate(
        [points.astype(float) / side, TURN * facings.astype(float), 1e3 * person[:, None]], axis=1
    )


def places_of(where: NDArray[np.float64], open_m2: NDArray[np.float64]) -> Places:
    """Places for receptors that stand for so much open area, each."""
    names, of = np.unique(_names(where), return_inverse=True)
    of = of.reshape(-1)
    total = np.bincount(of, open_m2)
    mean = np.stack([np.bincount(of, open_m2 * column) for column in where.T], axis=1)
    return Places(of, mean / total[:, None], open_m2, names)


def _names(where: NDArray[np.float64]) -> NDArray[np.int64]:
    """One number for the cell, the way of facing (six) and the kind of each point."""
    cell = np.floor(where[:, :3]).astype(np.int64) + (1 << 15)
    row = np.arange(len(where))
    axis = np.abs(where[:, 3:6]).argmax(axis=1)
    way = axis * 2 + (where[row, 3 + axis] > 0.0)
    name = (where[:, 6] > 0.0) * 6 + way
    for column in cell.T:
        name = name * (1 << 16) + np.clip(column, 0, (1 << 16) - 1)
    return np.asarray(name, np.int64)
