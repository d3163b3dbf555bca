"""Slopes of the patterns' heights, as a renderer looks them up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz.model.records import Material
from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.tile import code, figure_by, figure_of

STEPS = 32767
KIND = "slopes"
MOST = 60
"""Kept between runs: working one out takes a fortieth of a second, reading it a tenth of that."""

STEEPEST = 2.5
"""Steepest slope drawn: beyond it a tilted normal stands for a wall that would hide itself."""


@dataclass(frozen=True, eq=False)
class Slopes:
    """Slopes of a height of 1 m along u and v: (n, n) 16 bits each of the `steepest`.

    detail_m  length over which the slope changes: what a pixel must resolve to see it
    """

    picture: NDArray[np.uint32]
    steepest: float
    detail_m: float


def drawn(figure: PatternFigure) -> Slopes:
    """Central differences over the tile, which repeats."""
    assert figure.height is not None
    step_m = figure.size_m / len(figure.height)
    height = figure.height.astype(np.float32)
    along, across = (
        (np.roll(height, -1, axis) - np.roll(height, 1, axis)) / np.float32(2.0 * step_m)
        for axis in (1, 0)
    )
    change = [np.diff(along, axis=1), np.diff(across, axis=0)]
    bend = float(np.sqrt(sum(float((c * c).mean()) for c in change))) / step_m
    steepness = float(np.sqrt((along * along).mean() + (across * across).mean()))
    steepest = float(max(np.abs(along).max(), np.abs(across).max(), 1e-9))
    u, v = (np.round(s / steepest * STEPS).astype(np.int32) + STEPS for s in (along, across))
    picture = (u.astype(np.uint32) << np.uint32(16)) | v.astype(np.uint32)
    return Slopes(picture, steepest, steepness / max(bend, 1e-9))


def slopes_of(material: Material) -> Slopes | None:
    """Slopes of a material's pattern, the same object for all that share it; None: flat."""
    figure = figure_of(material)
    if figure.height is None:
        return None
    return _slopes(material.pattern, material.pattern_size_m)


@lru_cache(maxsize=24)
def _slopes(pattern: str, size_m: float | None) -> Slopes:
    key = store.key_of((), code(), pattern, size_m)
    kept = store.load(KIND, key)
    if kept is not None:
        return Slopes(kept["picture"], float(kept["steepest"]), float(kept["detail_m"]))
    slopes = drawn(figure_by(pattern, size_m))
    arrays = {
        "picture": slopes.picture,
        "steepest": np.array(slopes.steepest),
        "detail_m": np.array(slopes.detail_m),
    }
    store.keep(KIND, key, arrays, MOST)
    return slopes
