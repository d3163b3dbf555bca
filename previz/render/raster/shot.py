"""One frame of a film, as it is asked for. Touches no OpenGL."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.stage.stage import StageCamera


@dataclass(frozen=True, eq=False)
class Shot:
    """What one camera or several receive, in the mean.

    cameras  where the camera is while the shutter is open: what moves from one to the next is
             smeared
    scale    from cd/m2 to scene-linear by colour, (3,): exposure times gains of the white
    """

    cameras: Sequence[StageCamera]
    scale: NDArray[np.float64]


def shift(number: int, size: tuple[int, int]) -> tuple[float, float]:
    """Where in its pixels picture `number` of several takes its one sample, as `View` has it.

    They are spread by Roberts, "The Unreasonable Effectiveness of Quasirandom Sequences", 2018
    (from memory).
    """
    x, y = ((0.5 + number * step) % 1.0 - 0.5 for step in (0.7548776662, 0.5698402910))
    return 2.0 * x / size[0], 2.0 * y / size[1]
