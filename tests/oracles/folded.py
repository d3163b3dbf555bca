"""Knots: where one triangle of a surface lies flat upon the next."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def folded_share(vertices: NDArray[np.float64], faces: NDArray[np.int64], least_m2: float) -> float:
    """Share of the edges that two triangles share and at which they are folded onto each other.

    least_m2  twice the area from which on a triangle has a side at all
    """
    corner = vertices[faces]
    way = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    size = np.linalg.norm(way, axis=1)
    way /= np.maximum(size, 1e-15)[:, None]
    directed = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    key = np.sort(directed, axis=1) @ [len(vertices), 1]
    order = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[order][1:] == key[order][:-1])
    one, two = order[same] // 3, order[same + 1] // 3
    real = (size[one] > least_m2) & (size[two] > least_m2)
    return float(((way[one] * way[two]).sum(axis=1)[real] < -0.5).mean())
