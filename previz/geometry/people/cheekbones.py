"""How broad a face is over its cheekbones, wherever its ears are."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.meshing import edges_within, where_zero

# Where the arch of the cheekbone is broadest: in front of the ear, between the eye and the nostril.
ARCH_BEHIND_EYES_M = 0.040
ARCH_BELOW_EYES_M = (0.004, 0.045)


def over_cheekbones(data: BodyData, body: Array, eyes: Array) -> float:
    """Breadth over the zygomatic arches: of the cut by an upright plane in front of the ears.

    body  (n, 3); `eyes` (3,) between the middles of the eyeballs
    """
    cut = where_zero(arch_edges(data), body, body[:, 1] - eyes[1] - ARCH_BEHIND_EYES_M)
    below = eyes[2] - cut[:, 2]
    return float(np.ptp(cut[(below > ARCH_BELOW_EYES_M[0]) & (below < ARCH_BELOW_EYES_M[1]), 0]))


@lru_cache(maxsize=2)
def arch_edges(data: BodyData) -> Index:
    """Edges (n, 2) of the skin of cheek and temple that the plane may cut, none of an ear."""
    v = data.base[data.part("body")]
    eyes = data.base[data.part("eye_left")].mean(axis=0)
    near = (np.abs(v[:, 1] - eyes[1] - ARCH_BEHIND_EYES_M) < 0.030) & (
        np.abs(v[:, 2] - eyes[2] + 0.025) < 0.045
    )
    n = len(v)
    near &= (data.masks["ears"][:n] < 0.02) & (data.masks["mouth_inside"][:n] < 0.02)
    return edges_within(data.faces["body"], near)
