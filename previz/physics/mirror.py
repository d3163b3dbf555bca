"""Mirrors of clear glass: which way light leaves them, and how much of it.

Fresnel's equations for light of no polarisation (Fresnel 1823, from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def mirrored(viewer_ways: ArrayLike, normals: ArrayLike) -> Array:
    """Unit ways (n, 3) from a mirror to what is seen in it: geometry of the law of reflection.

    viewer_ways, normals  unit (n, 3): from each point to the viewer, and off the surface
    """
    ways, off = np.asarray(viewer_ways, float), np.asarray(normals, float)
    along = np.sum(ways * off, axis=-1, keepdims=True)
    return np.asarray(2.0 * along * off - ways)


def surface_share(cosine: ArrayLike, index: float) -> Array:
    """Share of light that one surface between air and glass of `index` (1 or more) mirrors.

    Fresnel's equations without polarisation: Born and Wolf, "Principles of Optics", 7th edition,
    1999 (from memory). For clear, smooth, uncoated glass.

    cosine  of the angle to the surface's normal, in air, 0 to 1
    """
    if not index >= 1.0:
        raise ValueError(f"index must be 1 or more, not {index!r}")
    outside = np.clip(np.asarray(cosine, float), 0.0, 1.0)
    inside = np.sqrt(1.0 - (1.0 - outside**2) / index**2)
    with np.errstate(invalid="ignore", divide="ignore"):
        across = (outside - index * inside) / (outside + index * inside)
        within = (index * outside - inside) / (index * outside + inside)
    share = 0.5 * (across**2 + within**2)
    # Index 1 at grazing is 0 / 0: there is no surface.
    return np.asarray(np.where(np.isfinite(share), share, 0.0))


def pane_share(cosine: ArrayLike, index: float) -> Array:
    """Share that a clear pane's two surfaces mirror together, to and fro inside it and all.

    2R / (1 + R) of each surface's R, by definition the sum of all the ways to and fro; nothing is
    absorbed. Index 1.5 head-on: 7.7 %.
    """
    one = surface_share(cosine, index)
    return np.asarray(2.0 * one / (1.0 + one))


def index_of_specular(specular: float) -> float:
    """Index of clear glass by its material's `specular`: 0.5 mirrors 4 % a surface, index 1.5.

    0.08 is common practice, no source: the scale of the catalogue's `specular`.
    """
    return index_of_share(0.08 * specular)


def index_of_share(share: float) -> float:
    """Index of the glass one surface of which mirrors `share` (0 to 1, 1 excluded) head-on.

    Fresnel's ((n - 1) / (n + 1))^2 turned round: Born and Wolf, "Principles of Optics", 7th
    edition, 1999 (from memory).
    Of a coated surface it is that of a bare one as dim; at slanting angles a coating's share
    rises otherwise, and takes on a colour.
    """
    if not 0.0 <= share < 1.0:
        raise ValueError(f"share must be from 0 to below 1, not {share!r}")
    return (1.0 + math.sqrt(share)) / (1.0 - math.sqrt(share))
