"""Street lamps far off, as points of light: what goes out of focus as discs behind a face."""

from __future__ import annotations

import math

from previz.physics.colour import luminance
from previz.stage.backdrop.canvas import Array, Canvas
from previz.stage.backdrop.skies import Lighting

MAST_M = 6.0
"""Height of a street lamp: an estimate."""
INTENSITY_CD = (150.0, 400.0)
"""Of one lamp towards somebody far off, low over its beam: an estimate for some 4000 lm."""


def far_lamps(
    canvas: Canvas, light: Lighting, count: int, distances_m: tuple[float, float]
) -> None:
    """Add lamps all round, nearest and farthest at `distances_m`; none by day.

    One is smaller than a pixel, so its pixels get the luminance that gives the same light:
    intensity over the square of the distance, over the pixels' solid angle.
    """
    if not light.lamps.any():
        return
    random = canvas.random
    colour = light.lamps / luminance(light.lamps)
    height, width = canvas.planes.shape[1:]
    pixel_sr = (math.pi / height) * (2.0 * math.pi / width)
    near, far = distances_m
    for _ in range(count):
        # More of them the farther off, as they stand on a plain.
        distance_m = math.sqrt(random.uniform(near**2, far**2))
        elevation = math.atan((MAST_M - canvas.eye_m) / distance_m)
        lux = random.uniform(*INTENSITY_CD) / distance_m**2 * math.exp(-distance_m / canvas.haze_m)
        row = (0.5 - elevation / math.pi) * height - 0.5
        column = random.uniform(0.0, width)
        _spill(canvas, row, column, lux / pixel_sr * colour)


def _spill(canvas: Canvas, row: float, column: float, shine: Array) -> None:
    """Share a point of light out among the four pixels round it."""
    height, width = canvas.planes.shape[1:]
    low, left = math.floor(row), math.floor(column)
    for r, share_r in ((low, 1.0 - (row - low)), (low + 1, row - low)):
        for c, share_c in ((left, 1.0 - (column - left)), (left + 1, column - left)):
            canvas.planes[:, min(max(r, 0), height - 1), c % width] += share_r * share_c * shine
