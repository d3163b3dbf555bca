"""Illuminance read until it is sure: samples are added until the error is small enough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.contract import Renderer

Array = NDArray[np.float64]

GOAL = 0.006
"""Relative standard error of the total at which a reading is good enough: 95 % of readings
then lie within 1.2 %, 0.017 stop."""
BATCH = 4096
FEWEST_BATCHES = 6
MOST_SAMPLES = 1 << 16


@dataclass(frozen=True, eq=False)
class Receptor:
    """A flat receptor: where it is held and which way it faces, (3,) each."""

    point_m: Array
    facing: Array


@dataclass(frozen=True, eq=False)
class Reading:
    """What one receptor receives.

    by_light  illuminance by light layer: (3,) linear BT.709, Y in lux
    error     standard error of the total, as a share of it
    """

    by_light: Mapping[str, Array]
    error: float

    @property
    def total(self) -> Array:
        """All lights together, (3,)."""
        return np.sum(list(self.by_light.values()), axis=0) if self.by_light else np.zeros(3)


def read(
    renderer: Renderer, receptors: Mapping[str, Receptor], goal: float = GOAL
) -> dict[str, Reading]:
    """Readings of all `receptors` by name, each to a relative standard error of `goal`.

    Receptors that are sure enough are left out of further batches. After 65,536 samples a
    reading is taken as it is, and its `error` says how good it is.
    """
    going = dict(receptors)
    batches: dict[str, list[dict[str, Array]]] = {name: [] for name in receptors}
    done = 0
    while going and done < MOST_SAMPLES:
        points = np.array([receptor.point_m for receptor in going.values()], float)
        facing = np.array([receptor.facing for receptor in going.values()], float)
        found = renderer.meter(points, facing, BATCH, first=done)
        for number, name in enumerate(going):
            batches[name].append({layer: values[number] for layer, values in found.items()})
        done += BATCH
        if done >= FEWEST_BATCHES * BATCH:
            going = {n: r for n, r in going.items() if _error(batches[n]) > goal}
    return {name: _reading(batches[name]) for name in receptors}


def _reading(batches: list[dict[str, Array]]) -> Reading:
    layers = batches[0] if batches else {}
    by_light = {name: np.mean([batch[name] for batch in batches], axis=0) for name in layers}
    return Reading(by_light, _error(batches))


def _error(batches: list[dict[str, Array]]) -> float:
    """Relative standard error of the mean total luminance; 0 in the dark."""
    totals = np.array([sum(batch.values(), np.zeros(3)) @ LUMINANCE_WEIGHTS for batch in batches])
    if len(totals) < 2 or not totals.mean() > 0.0:
        return 0.0
    return float(totals.std(ddof=1) / np.sqrt(len(totals)) / totals.mean())
