"""Where hair grows: smooth edges over the head at rest."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.landmarks import find_landmarks, joint_weight

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
# How far it goes back with the years, as a share of the most: furthest over the temples.
_BACK_DEG = np.array([0.0, 18.0, 34.0, 46.0, 58.0, 70.0])
_BACK = np.array([0.45, 0.75, 1.0, 0.85, 0.30, 0.0])


@lru_cache(maxsize=8)
def hairline(data: BodyData, recede_m: float = 0.0) -> Array:
    """Height above the hairline over the body's vertices, metres on the base head; (n,).

    Positive on the scalp. A number of the vertex, not of the person, so that one hairline suits
    every head the body can take. `recede_m` is how far it has gone back over the temples.
    """
    n = data.ranges["body"][1]
    body = data.base[:n]
    eyes = 0.5 * (data.base[data.part("eye_left")] + data.base[data.part("eye_right")][:, :]).mean(
        axis=0
    )
    head = joint_weight(data, "head")[:n]
    centre_y = float(eyes[1] + 0.085)
    angle = np.degrees(np.arctan2(np.abs(body[:, 0]), -(body[:, 1] - centre_y)))
    edge = np.interp(angle, _ANGLE_DEG, _HEIGHT_M) + recede_m * np.interp(angle, _BACK_DEG, _BACK)
    height = body[:, 2] - eyes[2] - edge
    ears = data.masks["ears"][:n]
    height = np.minimum(height, 0.05 - 0.16 * ears)
    return np.asarray(np.where(head > 0.05, height, -0.2))


@lru_cache(maxsize=2)
def beard_edge(data: BodyData) -> tuple[Array, Array]:
    """Distance within the edge of a beard, metres on the base head, and 0..1 on the upper lip.

    Both (n,) over the body's vertices. Up to the cheekbones, down to the throat, back to the ears.
    """
    marks = find_landmarks(data)
    n = data.ranges["body"][1]
    body = data.base[:n]
    nose, chin = body[marks.nose_tip], body[marks.chin]
    mouth = 0.5 * (body[marks.mouth_upper] + body[marks.mouth_lower])
    x = np.abs(body[:, 0])
    ear = body[marks.ear[0]]
    cheek = nose[2] - 0.0105 + 0.65 * np.clip(x - 0.022, 0.0, 0.06)
    # Beside the nose and at the corners of the mouth it keeps lower.
    cheek -= 0.006 * np.exp(-(((x - 0.024) / 0.010) ** 2))
    throat = chin[2] - 0.030 + 0.30 * np.clip(body[:, 1] - chin[1] - 0.02, 0.0, 0.2)
    field = np.minimum(cheek - body[:, 2], body[:, 2] - throat)
    field = np.minimum(field, ear[1] - 0.008 - body[:, 1])
    # Under the nose: not in the nostrils.
    under = nose[2] - 0.0112 - 0.06 * x
    field = np.where(x < 0.016, np.minimum(field, under - body[:, 2]), field)
    field = np.minimum(field, 0.010 - 0.030 * data.masks["lips"][:n])
    field = np.minimum(field, 0.010 - 0.2 * data.masks["mouth_inside"][:n])
    field = np.minimum(field, 0.02 - 0.1 * data.masks["ears"][:n])
    head = joint_weight(data, "head", "neck")[:n]
    lip = np.clip((body[:, 2] - mouth[2] + 0.004) / 0.006, 0.0, 1.0)
    lip *= np.clip((0.030 - x) / 0.006, 0.0, 1.0)
    return np.where(head > 0.05, field, -0.2), lip
