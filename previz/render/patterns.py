"""Procedural patterns at true scale, as tiles that repeat without a seam."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Tile:
    """One repeat of a pattern.

    colour    (n, n, 3) float32, linear BT.709 reflectance
    size_m    length of the tile's side
    relief_m  (n, n) float32 height of the surface in metres, or None when it is flat
    """

    colour: F32
    size_m: float
    relief_m: F32 | None


def tile_of(material: Material, base: tuple[float, ...] | None = None) -> Tile:
    """The tile of a patterned material; `base` replaces its reflectance."""
    colour = np.asarray(base or material.reflectance, np.float32)
    return Tile(np.broadcast_to(colour, (8, 8, 3)).copy(), 1.0, None)
