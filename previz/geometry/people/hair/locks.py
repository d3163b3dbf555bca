"""Locks: how neighbouring hairs draw together, wave and wind."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array
from previz.geometry.people.skeleton import unit

Group = NDArray[np.int64]

LOOSE = 0.035  # share of hairs that keep to no lock


def locks_of(own: Array, cell_m: float, random: np.random.Generator) -> Group:
    """Number of the lock each root (n, 3) belongs to: cells of `cell_m` with ragged borders."""
    cell = np.floor((own + random.normal(0.0, 0.18 * cell_m, own.shape)) / cell_m)
    key = (cell @ np.array([1.0, 1009.0, 1018081.0])).astype(np.int64)
    return np.asarray(np.unique(key, return_inverse=True)[1].reshape(-1), np.int64)


def means(values: Array, group: Group) -> Array:
    """Mean of `values` (n, ...) over every lock, (locks, ...)."""
    number = np.bincount(group).astype(float)
    flat = values.reshape(len(values), -1)
    total = np.stack([np.bincount(group, flat[:, k]) for k in range(flat.shape[1])], axis=1)
    return np.asarray((total / number[:, None]).reshape(-1, *values.shape[1:]))


def clump(
    curve: Array, group: Group, share: float, power: float, random: np.random.Generator
) -> Array:
    """Hairs (n, k, 3) drawn to the middle of their lock, by `share` at the tip; a few stay loose.

    power  over the length: 1 draws evenly, less draws near the root already
    """
    own = random.uniform(0.6, 1.0, len(curve))
    own[random.random(len(curve)) < LOOSE] = 0.0
    along = np.linspace(0.0, 1.0, curve.shape[1]) ** power
    weight = share * own[:, None, None] * along[None, :, None]
    return np.asarray(curve + weight * (means(curve, group)[group] - curve))


def wind(
    curve: Array,
    group: Group,
    radius_m: float,
    pitch_m: float,
    spread_rad: float,
    random: np.random.Generator,
) -> Array:
    """Hairs wound round the line of their lock, which all hairs of a lock keep step with.

    Locks differ in where they begin to turn, in their size and in which way they turn.
    """
    guide = means(curve, group)
    locks, steps = len(guide), guide.shape[1]
    along = unit(np.gradient(guide, axis=1))
    side = unit(np.cross(along, np.array([0.31, 0.27, 0.91])))
    other = np.cross(along, side)
    length = np.linalg.norm(np.diff(guide, axis=1), axis=2).sum(axis=1)
    way = np.where(random.random(locks) < 0.5, -1.0, 1.0)
    # No more than a turn in three points: fewer points cannot draw it.
    turns = np.minimum(length / (pitch_m * random.uniform(0.8, 1.3, locks)), (steps - 1) / 3.0)
    share = np.linspace(0.0, 1.0, steps)
    start = random.uniform(0.0, 2.0 * np.pi, locks)
    wound = start[:, None] + 2.0 * np.pi * (way * turns)[:, None] * share
    angle = wound[group] + random.normal(0.0, spread_rad, len(curve))[:, None]
    size: Array = (
        radius_m * random.uniform(0.7, 1.25, locks)[group, None] * np.minimum(1.0, 3.0 * share)
    )
    moved = (size * np.cos(angle))[..., None] * side[group]
    moved += (size * np.sin(angle))[..., None] * other[group]
    return np.asarray(curve + moved)
