"""Cloth let go: it falls, keeps its threads' lengths, folds where it has too much, finds the body.

Position based dynamics, solved by Jacobi steps: every thread that is too long or too short moves
both its ends by half of what is wrong, averaged over all threads that meet at a point.
Source: Mueller, Heidelberger, Hennix and Ratcliff, "Position based dynamics", 2007, Journal of
Visual Communication and Image Representation 18(2); averaging as in Macklin and others, "Unified
particle physics for real-time applications", 2014. Friction, speed and weight are estimates by eye.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from previz.geometry.people.archive import Array, Index

if TYPE_CHECKING:
    from scipy.spatial import KDTree

AFRESH = 10  # rounds after which each point looks for the body next to it again
PASSES = 2  # of the threads, in each round
KEPT = 0.94  # of a point's speed from round to round: how soon it comes to rest
FALL_M = 0.000015  # by which weight moves a point in a round
FRICTION = 0.5  # of a slide along the body that is taken back in each round
STEP = 0.8  # of the mean of what the threads ask for; above 1 it would swing


class Threads:
    """Pairs of points of a cloth with the distances they want to keep."""

    def __init__(self, pairs: Index, lengths: Array, share: Array, count: int) -> None:
        from scipy.sparse import csr_array  # noqa: PLC0415 - only who drapes anew needs it

        """Of `count` points the `pairs` (m, 2), whose `lengths` (m,) are metres.

        share  (m, 2) of an error that is taken back in a step: of what is too long, and too short
        """
        self._lengths = lengths
        self._long, self._short = share[:, 0].copy(), share[:, 1].copy()
        one, ends = np.tile(np.arange(len(pairs)), 2), pairs.T.reshape(-1)
        sign = np.repeat([-1.0, 1.0], len(pairs))
        self._ways = csr_array((sign, (one, ends)), (len(pairs), count))
        # Weak threads count less among those that meet at a point.
        weight = np.bincount(ends, np.tile(share.max(axis=1), 2), minlength=count)
        back = -STEP * sign / np.maximum(weight, 1e-9)[ends]
        self._sum = csr_array((back, (ends, one)), (count, len(pairs)))

    def moves(self, points: Array) -> Array:
        """How far each point goes (n, 3) towards what the threads want."""
        way = self._ways @ points
        size = np.sqrt(np.einsum("mk,mk->m", way, way))
        wrong = 1.0 - self._lengths / np.maximum(size, 1e-9)
        wrong *= np.where(wrong > 0.0, self._long, self._short)
        return np.asarray(self._sum @ (way * wrong[:, None]))


@dataclass(frozen=True, eq=False)
class Solid:
    """A part of the body that cloth stays off: points (n, 3) and their outward normals (n, 3)."""

    points: Array
    normals: Array

    @cached_property
    def tree(self) -> KDTree:
        """The points, to be searched."""
        from scipy.spatial import KDTree  # noqa: PLC0415 - only who drapes anew needs it

        return KDTree(self.points)


class Contact:
    """Some points of a cloth against one part of the body."""

    def __init__(self, solid: Solid, who: Index, off_m: Array, reach_m: float) -> None:
        """`who` (k,) stay `off_m` (k,) off the body, once they are within `reach_m` of it."""
        self._solid, self._who, self._off_m, self._reach_m = solid, who, off_m, reach_m
        self._own = np.zeros(0, np.int64)
        self._at = self._normal = np.zeros((0, 3))
        self._least = np.zeros(0)

    def look(self, points: Array) -> None:
        """Find the body next to each point."""
        reach = self._reach_m
        far, pick = self._solid.tree.query(points[self._who], distance_upper_bound=reach)
        near = np.flatnonzero(far < reach)
        self._own, self._least = self._who[near], self._off_m[near]
        self._at, self._normal = self._solid.points[pick[near]], self._solid.normals[pick[near]]

    def push(self, points: Array, before: Array) -> None:
        """Move points out of the body, in place, and hold those that slide on it."""
        here = points[self._own]
        depth = self._least - np.einsum("nk,nk->n", here - self._at, self._normal)
        hit = np.flatnonzero(depth > 0.0)
        normal, own = self._normal[hit], self._own[hit]
        moved = here[hit] + normal * depth[hit, None]
        slide = moved - before[own]
        slide -= normal * np.einsum("nk,nk->n", slide, normal)[:, None]
        points[own] = moved - FRICTION * slide


def relax(
    start: Array,
    threads: Threads,
    contacts: Sequence[Contact],
    rounds: int,
    held: Array,
    settle: Callable[[Array], Array],
) -> Array:
    """Points (n, 3) of a cloth, `rounds` after it was let go from `start`.

    contacts  the later ones have the last word
    held      (n,) bool: points that stay where they are
    settle    lifts points off whatever else is in their way, such as a seat
    """
    points, before = start.copy(), start.copy()
    fall = np.array([0.0, 0.0, -FALL_M])
    for number in range(rounds):
        if number % AFRESH == 0:
            for contact in contacts:
                contact.look(points)
        step = KEPT * (points - before) + fall
        before = points
        points = points + step
        for _ in range(PASSES):
            points += threads.moves(points)
        for contact in contacts:
            contact.push(points, before)
        points = settle(points)
        points[held] = start[held]
    return points
