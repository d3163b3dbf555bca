"""How broad a face is over its cheekbones, wherever its ears are."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.meshing import edges_within, where_zero
from previz.geometry.smooth import ramp

# Where the arch of the cheekbone is broadest: in front of the ear, between the eye and the nostril.
ARCH_BEHIND_EYES_M = 0.040
ARCH_BELOW_EYES_M = (0.004, 0.045)
# What goes along when cheeks are drawn in: from beside the mouth outwards, from the temple to the
# jaw, back to the ears. Judged by eye on children's heads, no source.
FROM_MIDDLE_M, TO_EARS_M = (0.020, 0.052), (0.048, 0.085)
HEIGHT_M, REACH_M = -0.022, 0.040


def over_cheekbones(data: BodyData, body: Array, eyes: Array) -> float:
    """Breadth over the zygomatic arches: of the cut by an upright plane in front of the ears.

    body  (n, 3); `eyes` (3,) between the middles of the eyeballs
    """
    cut = where_zero(arch_edges(data), body, body[:, 1] - eyes[1] - ARCH_BEHIND_EYES_M)
    below = eyes[2] - cut[:, 2]
    return float(np.ptp(cut[(below > ARCH_BELOW_EYES_M[0]) & (below < ARCH_BELOW_EYES_M[1]), 0]))


def drawn_in(data: BodyData, vertices: Array, eyes: Array, breadth_m: float) -> Array:
    """`vertices` (V, 3) with cheeks that are `breadth_m` apart over the cheekbones.

    For children, whose cheeks the archive's directions leave too far apart.
    """
    out = vertices.copy()
    body = out[data.part("body")]
    excess_m = over_cheekbones(data, body, eyes) - breadth_m
    body[:, 0] -= 0.5 * excess_m * np.sign(body[:, 0]) * _cheeks(data)
    return out


@lru_cache(maxsize=2)
def _cheeks(data: BodyData) -> Array:
    """How much each vertex of the skin is of a cheek (n,), 0 to 1."""
    v = data.base[data.part("body")]
    eyes = data.base[data.part("eye_left")].mean(axis=0)
    outward = ramp(np.abs(v[:, 0]), *FROM_MIDDLE_M)
    before_ears = 1.0 - ramp(v[:, 1] - eyes[1], *TO_EARS_M)
    level = np.exp(-(((v[:, 2] - eyes[2] - HEIGHT_M) / REACH_M) ** 2))
    return np.asarray(outward * before_ears * level * (1.0 - data.masks["ears"][: len(v)]))


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
