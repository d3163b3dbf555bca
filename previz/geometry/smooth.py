"""From 0 to 1 without a corner at either end."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Array


def smooth(share: Array) -> Array:
    """`share`, from 0 to 1, leaving 0 and reaching 1 slowly: Hermite's cubic."""
    return np.asarray(share * share * (3.0 - 2.0 * share))


def ramp(x: Array, low: float, high: float) -> Array:
    """0 below `low`, 1 above `high`, smooth between."""
    return smooth(np.clip((x - low) / (high - low), 0.0, 1.0))
