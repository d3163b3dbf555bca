"""Landmarks of the body among its vertices: found once by what they are, not by number."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData, Index


@dataclass(frozen=True, eq=False)
class Landmarks:
    """Indices into the vertices of the body; `Body.landmarks` has their places once it is posed.

    skull     vertices of the head without the ears
    shoulder  outer upper arms, for the breadth over the deltoids
    seat      underside of the pelvis and thighs
    """

    head_top: int
    chin: int
    nose_root: int
    nose_tip: int
    mouth_upper: int
    mouth_lower: int
    ear: tuple[int, int]
    acromion: tuple[int, int]
    knee_front: tuple[int, int]
    sole: Index
    skull: Index
    face: Index
    shoulder: Index
    seat: Index
    chest: Index


def joint_weight(data: BodyData, *starts: str) -> Array:
    """Sum of a vertex's weights over the joints whose names begin so, (V,)."""
    hit = np.array([name.startswith(starts) for name in data.joint_names])
    return np.asarray((data.weights * hit[data.weight_joints]).sum(axis=1))


@lru_cache(maxsize=2)
def find_landmarks(data: BodyData) -> Landmarks:
    """The landmarks of the body at rest."""
    v = data.base[data.part("body")]
    n = len(v)
    x, y, z = v.T
    eyes = data.base[data.part("eye_left")].mean(axis=0)
    head = joint_weight(data, "head")[:n]
    ears = data.masks["ears"][:n]
    inside = data.masks["mouth_inside"][:n]
    middle = np.flatnonzero(
        (np.abs(x) < 1e-3) & (head > 0.5) & (y < eyes[1] + 0.02) & (inside < 0.3)
    )
    nose_tip = middle[np.argmin(np.where(z[middle] > eyes[2] - 0.06, y[middle], 1.0))]
    bridge = middle[np.abs(z[middle] - eyes[2]) < 0.012]
    nose_root = bridge[np.argmax(y[bridge])]
    jaw = middle[z[middle] < z[nose_tip] - 0.045]
    chin = jaw[np.argmin(z[jaw] + 0.35 * y[jaw])]
    lips = np.flatnonzero(
        (np.abs(x) < 1e-3) & (data.masks["lips"][:n] > 0.3) & (y < y[chin] + 0.02)
    )
    seam = float(np.median(z[lips]))
    upper, lower = lips[z[lips] >= seam], lips[z[lips] < seam]
    ears_at = [_extreme(np.where(ears > 0.5, s * x, -1.0)) for s in (1.0, -1.0)]
    arm = joint_weight(data, "upperarm")[:n]
    legs = joint_weight(data, "upperleg01", "upperleg02")[:n]
    knee = data.joints[data.joint("lowerleg01.L")]
    near_knee = np.where(np.abs(z - knee[2]) < 0.06, -y, -1.0)
    tops = []
    for side, sign in (("L", 1.0), ("R", -1.0)):
        joint = data.joints[data.joint(f"upperarm01.{side}")]
        near = (np.hypot(x - joint[0] + sign * 0.002, y - joint[1]) < 0.016) & (
            np.abs(z - joint[2]) < 0.12
        )
        tops.append(int(np.argmax(np.where(near & (sign * x > 0), z, -9.0))))
    pelvis = joint_weight(data, "pelvis", "root", "spine05")[:n]
    return Landmarks(
        head_top=int(np.argmax(z)),
        chin=int(chin),
        nose_root=int(nose_root),
        nose_tip=int(nose_tip),
        mouth_upper=int(upper[np.argmin(y[upper])]),
        mouth_lower=int(lower[np.argmin(y[lower])]),
        ear=(ears_at[0], ears_at[1]),
        acromion=(tops[0], tops[1]),
        knee_front=(
            _extreme(np.where(x > 0, near_knee, -9)),
            _extreme(np.where(x < 0, near_knee, -9)),
        ),
        sole=np.flatnonzero(z < z.min() + 0.012),
        skull=np.flatnonzero((head > 0.95) & (ears < 0.02) & (z > eyes[2] - 0.01)),
        face=np.flatnonzero(
            (head > 0.9)
            & (ears < 0.02)
            & (np.abs(z - eyes[2] + 0.025) < 0.02)
            & (y < eyes[1] + 0.055)
        ),
        shoulder=np.flatnonzero(
            (arm > 0.3) & (z > data.joints[data.joint("upperarm02.L")][2] - 0.02)
        ),
        seat=np.flatnonzero((legs + pelvis > 0.6) & (y > -0.1) & (z > knee[2] + 0.1)),
        chest=np.flatnonzero(joint_weight(data, "spine01", "spine02", "spine03")[:n] > 0.5),
    )


def _extreme(values: Array) -> int:
    return int(np.argmax(values))
