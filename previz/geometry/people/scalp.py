"""Where hair grows: a smooth hairline over the head at rest."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.landmarks import joint_weight

# Height of the hairline over the eyes (metres, on the base head) at angles from the front.
_ANGLE_DEG = np.array(
    [0.0, 22.0, 40.0, 52.0, 62.0, 72.0, 80.0, 92.0, 104.0, 116.0, 130.0, 150.0, 180.0]
)
_HEIGHT_M = np.array(
    [
        0.068,
        0.068,
        0.066,
        0.050,
        0.018,
        -0.012,
        -0.018,
        0.012,
        -0.004,
        -0.036,
        -0.062,
        -0.070,
        -0.072,
    ]
)


@lru_cache(maxsize=2)
def hairline(data: BodyData) -> Array:
    """Height above the hairline over the body's vertices, metres on the base head; (n,).

    Positive on the scalp. A number of the vertex, not of the person, so that one hairline suits
    every head the body can take.
    """
    n = data.ranges["body"][1]
    body = data.base[:n]
    eyes = 0.5 * (data.base[data.part("eye_left")] + data.base[data.part("eye_right")][:, :]).mean(
        axis=0
    )
    head = joint_weight(data, "head")[:n]
    centre_y = float(eyes[1] + 0.085)
    angle = np.degrees(np.arctan2(np.abs(body[:, 0]), -(body[:, 1] - centre_y)))
    height = body[:, 2] - eyes[2] - np.interp(angle, _ANGLE_DEG, _HEIGHT_M)
    ears = data.masks["ears"][:n]
    height = np.minimum(height, 0.05 - 0.16 * ears)
    return np.asarray(np.where(head > 0.05, height, -0.2))
