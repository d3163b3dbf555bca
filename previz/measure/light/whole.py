"""A whole frame's exposure, whatever is in it: its mean, and whether it is lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.develop.exposure import F32, exposure_scale
from previz.physics.colour import luminance
from previz.physics.exposure import stops_over_grey
from previz.stage.stage import StageCamera

DARKEST = 2.0**-10
"""What black counts as over mid grey, so that a black corner drags no mean: an estimate."""
OVER_STOPS = 3.0
"""A frame half of which is this bright is lost: half a stop over white paper. An estimate."""
UNDER_STOPS = -3.0
"""A frame that has next to nothing brighter than this looks black: an estimate."""
NEXT_TO_NOTHING = 0.98
"""Share of a frame that all but hardly any of it is: an estimate."""


@dataclass(frozen=True)
class WholeFrame:
    """Stops over mid grey: the mean of them, half of the frame, and what hardly any of it passes.

    The mean is that of logarithms, which a photograph of an unknown scene is brought to mid grey
    by: Reinhard, Stark, Shirley and Ferwerda 2002, "Photographic tone reproduction for digital
    images", ACM Transactions on Graphics 21(3).
    """

    mean_stops: float
    half_stops: float
    bright_stops: float

    @property
    def lost(self) -> bool:
        """Whether it is so bright or so dark that nobody could judge it."""
        return self.half_stops > OVER_STOPS or self.bright_stops < UNDER_STOPS


def whole_frame(camera: StageCamera, beauty: F32) -> WholeFrame:
    """Of light (height, width, 3) in cd/m2 in a camera as it is set."""
    stops = stops_over_grey(luminance(beauty) * exposure_scale(camera), DARKEST)
    half, bright = np.quantile(stops, (0.5, NEXT_TO_NOTHING))
    return WholeFrame(float(stops.mean()), float(half), float(bright))
