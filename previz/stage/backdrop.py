"""What lies outside the windows."""

from __future__ import annotations

import numpy as np

from previz.stage.outside import Outside


def typical(sky: str) -> tuple[float, float]:
    """Horizontal illuminance (lux) and colour temperature (kelvin)."""
    return 10000.0, 6500.0


def build_outside(sky: str, horizontal_lx: float, cct_k: float, view: str, seed: int) -> Outside:
    """A plain grey world."""
    panorama = np.full((64, 128, 3), horizontal_lx * 0.4, np.float32)
    panorama[32:] *= 0.2
    return Outside(panorama)
