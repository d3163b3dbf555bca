"""A tie: a knot between the points of the collar, and a blade that widens downwards."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.hairs import FaceSurface
from previz.geometry.people.lying import Ground, look_up, sheet
from previz.geometry.piece import Piece

KNOT_M = 0.036
# Down from the collar: half the width, and how far it stands off the shirt, metres.
DOWN_M = np.array([0.0, 0.010, 0.026, 0.033, KNOT_M, 0.044, 0.06, 0.20, 0.40])
HALF_M = np.array([0.0165, 0.0175, 0.0145, 0.0115, 0.0090, 0.0110, 0.0150, 0.0300, 0.0420])
OFF_M = np.array([0.0075, 0.0110, 0.0115, 0.0090, 0.0055, 0.0060, 0.0055, 0.0045, 0.0040])


def tie(
    shirt: FaceSurface, under: Ground, ends_z: tuple[float, float], size: float, colour: Array
) -> Piece:
    """A tie on a shirt, between two heights at rest, that stays `under` a jacket's cloth."""
    top, low = ends_z
    heights = np.concatenate([top - np.linspace(0.0, 0.06, 20), np.linspace(top - 0.07, low, 30)])
    down = (top - heights) / size
    across = np.array([-1.0, -0.94, -0.7, -0.35, 0.0, 0.35, 0.7, 0.94, 1.0])
    half = size * np.interp(down, DOWN_M, HALF_M)
    off = np.interp(down, DOWN_M, OFF_M)
    grid = np.stack(
        [half[:, None] * across[None], np.broadcast_to(heights[:, None], (len(down), 9))], axis=-1
    )
    place, normal = look_up(shirt, grid.reshape(-1, 2))
    # Round across, so that its edges lie on the shirt.
    round_up = (off[:, None] * (1.0 - 0.75 * across[None] ** 2)).reshape(-1, 1)
    rows = (place + round_up * normal).reshape(grid.shape[0], 9, 3)
    for _ in range(2):
        rows[1:-1] = 0.5 * rows[1:-1] + 0.25 * (rows[2:] + rows[:-2])
    return sheet("tie", under.lay(rows, -9.0, -0.002), 0.0016, "cloth_jacket", colour)
