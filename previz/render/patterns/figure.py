"""The figure of a pattern, before it has colours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class PatternFigure:
    """One repeat of a pattern without colour; rows run across the grain, columns along it.

    size_m  length of the tile's side
    second  (n, n) float32, share of the second colour, 0 to 1
    tone    (n, n) float32, factor on the colour, about 1
    height  (n, n) float32 in units of the relief's depth, or None: it has no relief
    """

    size_m: float
    second: F32
    tone: F32
    height: F32 | None = None
