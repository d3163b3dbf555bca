"""The head laid flat: where on one square each point of the skin lies, the same for everybody.

Round the head by its angle, up and down by height and by how far the skin has turned under or
over. The face keeps its lengths within about a fifth; what hair and collar hide is squeezed, so
that all of the head fits on one square without a seam but at the back.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.landmarks import find_landmarks, joint_weight

SIDE_M = 0.36
RADIUS_M = 0.085  # of a head about its own axis: an estimate
FACE_RAD = 1.45  # to each side true to length; what lies behind is squeezed
BEHIND_EYES_M = 0.055  # where the axis stands
LOWEST_M, BELOW_EYES_M = 0.20, 0.16  # what the square reaches; from here on down it is squeezed


@dataclass(frozen=True)
class Complexion:
    """What a person's skin shows besides its colour: lines, pores, freckles, spots, stubble.

    smile_pct, raised_pct  how far the face presses cheeks and forehead into folds
    """

    age_years: int
    stubble_pct: int
    ita_deg: int
    seed: int
    smile_pct: int = 0
    raised_pct: int = 0

    @property
    def name(self) -> str:
        """As the name of a pattern."""
        return " ".join(["face", *(str(number) for number in vars(self).values())])

    @staticmethod
    def names(material: str) -> bool:
        """Whether a material is somebody's face."""
        return material.startswith("face ")

    @classmethod
    def named(cls, name: str) -> Complexion:
        """From such a name."""
        _, *numbers = name.split()
        return cls(*map(int, numbers))


@lru_cache(maxsize=2)
def _middle(data: BodyData) -> Array:
    """Point of the head's axis at the height of the eyes, on the base body."""
    eyes = [data.base[data.part(f"eye_{side}")].mean(axis=0) for side in ("left", "right")]
    return np.asarray(0.5 * (eyes[0] + eyes[1]) + np.array([0.0, BEHIND_EYES_M, 0.0]))


def places(data: BodyData, points: Array) -> Array:
    """Where `points` (n, 3) of the base body lie on the square, (n, 2) metres from its corner."""
    x, y, z = (points - _middle(data)).T
    angle = np.arctan2(x, -y)
    beyond = np.maximum(np.abs(angle) - FACE_RAD, 0.0)
    squeezed = (0.5 * SIDE_M - RADIUS_M * FACE_RAD) / (np.pi - FACE_RAD)
    across = np.sign(angle) * (RADIUS_M * (np.abs(angle) - beyond) + squeezed * beyond)
    turned = (np.hypot(x, y) - RADIUS_M) * np.tanh(z / 0.03)
    up = z - 0.5 * turned
    low = np.minimum(up + BELOW_EYES_M, 0.0)
    return np.stack([across + 0.5 * SIDE_M, up - 0.5 * low + LOWEST_M], axis=1)


def is_head(data: BodyData, points: Array) -> NDArray[np.bool_]:
    """Which points (n, 3) of the base body belong to head, neck and throat, not to the hands."""
    chin = data.base[find_landmarks(data).chin]
    return np.asarray((points[:, 2] > chin[2] - 0.22) & (np.abs(points[:, 0]) < 0.19))


@lru_cache(maxsize=2)
def head_points(data: BodyData) -> tuple[Index, Array]:
    """Numbers of the base body's vertices on the outside of head and neck, and their places."""
    n = data.ranges["body"][1]
    on_head = joint_weight(data, "head", "neck")[:n] > 0.5
    outside = on_head & (data.masks["mouth_inside"][:n] < 0.4)
    index = np.flatnonzero(outside)
    return index, places(data, data.base[index])
