"""Figures as a compiled renderer looks them up: two shares in one number."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz.model.records import Material
from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.tile import code, figure_by

TONE_RANGE = 2.0
STEPS = 65535
KIND, MOST = "packed", 60


def packed(figure: PatternFigure) -> NDArray[np.uint32]:
    """Tone (0 to 2) and share of the second colour (0 to 1), 16 bits each, (n, n)."""
    tone = np.clip(figure.tone / TONE_RANGE, 0.0, 1.0) * STEPS + 0.5
    share = np.clip(figure.second, 0.0, 1.0) * STEPS + 0.5
    both = (tone.astype(np.uint32) << np.uint32(16)) | share.astype(np.uint32)
    return np.asarray(both, np.uint32)


def packed_of(material: Material) -> NDArray[np.uint32]:
    """The packed figure of a material's pattern, the same object for all that share it."""
    return _packed(material.pattern, material.pattern_size_m)


@lru_cache(maxsize=24)
def _packed(pattern: str, size_m: float | None) -> NDArray[np.uint32]:
    key = store.key_of((), code(), pattern, size_m, TONE_RANGE)
    kept = store.load(KIND, key)
    if kept is not None:
        return np.asarray(kept["picture"], np.uint32)
    picture = packed(figure_by(pattern, size_m))
    store.keep(KIND, key, {"picture": picture}, MOST)
    return picture
