"""The upper row of teeth, for mouths that open.

Widths of the crowns are typical of adults (central incisor 8.5 mm), from memory.
"""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array
from previz.geometry.piece import Piece

WIDTHS_M = (0.0085, 0.0066, 0.0076, 0.0071, 0.0068)
LONGER_M = (0.0, -0.0004, 0.0, -0.0004, -0.0008)  # than the central incisors
CROWN_M, GUM_M = 0.0088, 0.004
ARCH_PER_M = 17.0  # how fast the arch curves back
ENAMEL = np.array([0.36, 0.31, 0.235])
GUM = np.array([0.34, 0.13, 0.12])
ACROSS = 9  # points over one tooth


def upper_row(edge: Array, scale: float) -> Piece:
    """Front of the upper teeth as one sheet, in the axes of the head at rest.

    edge   (3,) middle of the biting edge, metres
    scale  size of this head against the base head
    """
    u = np.linspace(-1.0, 1.0, ACROSS)
    ends = np.cumsum((0.0, *WIDTHS_M))
    right = [start + 0.5 * (u + 1.0) * width for start, width in zip(ends, WIDTHS_M, strict=False)]
    x = np.concatenate([*(-r[::-1] for r in right[::-1]), *right])
    place = np.tile(u, 2 * len(WIDTHS_M))
    longer = np.repeat([*LONGER_M[::-1], *LONGER_M], ACROSS)
    v = np.array([0.0, 0.08, 0.2, 0.45, 0.75, 1.0, 1.0 + GUM_M / CROWN_M])
    # Corners of the edge are round; crowns bulge and leave a furrow between them.
    low = 0.0005 * np.abs(place) ** 6 - longer
    high = CROWN_M - 0.0016 * (1.0 - np.abs(place) ** 2.5)
    z = np.where(v[:, None] <= 1.0, low + v[:, None] * (high - low), CROWN_M + GUM_M)
    bulge = (
        0.0007 * (1.0 - np.abs(place) ** 4) + 0.0006 * np.sin(np.pi * np.minimum(v, 1.0))[:, None]
    )
    y = ARCH_PER_M * x**2 - bulge + 0.0009 * (v < 0.05)[:, None]
    points = np.stack([np.broadcast_to(x, z.shape), y, z], axis=2).reshape(-1, 3)
    n = len(x)
    a = (np.arange(len(v) - 1)[:, None] * n + np.arange(n - 1)[None, :]).reshape(-1)
    faces = np.concatenate(
        [np.stack([a, a + 1, a + n], axis=1), np.stack([a + 1, a + n + 1, a + n], axis=1)]
    )
    near_gum = np.clip((v - 0.55) / 0.45, 0.0, 1.0)[:, None, None]
    between = (np.abs(place) ** 6)[None, :, None]
    # Darker between two teeth, and towards the cheeks, where lips and cheeks keep light out.
    outward = (np.abs(x) / np.abs(x).max())[None, :, None] ** 1.5
    enamel = (
        ENAMEL
        * (1.0 - 0.55 * between)
        * (1.0 - 0.55 * outward)
        * (1.0 - near_gum * np.array([0.25, 0.34, 0.42]))
    )
    colour = np.where(v[:, None, None] > 1.0, GUM, enamel).reshape(-1, 3)
    mesh = Mesh(edge + scale * points, faces)
    return Piece("teeth_row", mesh, "teeth", smooth=True, colour=colour, closed=False)
