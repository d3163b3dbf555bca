"""Turning joints and carrying the skin along: linear blend skinning in numpy."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def about_axis(axis: Array, angle_rad: float) -> Array:
    """Rotation (3, 3) by `angle_rad` about `axis`, right-handed (Rodrigues)."""
    x, y, z = np.asarray(axis, dtype=float) / np.linalg.norm(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turn = np.sin(angle_rad) * cross + (1.0 - np.cos(angle_rad)) * (cross @ cross)
    return np.asarray(np.eye(3) + turn)


def shortest(a: Array, b: Array) -> Array:
    """Smallest rotation (3, 3) that takes direction `a` to direction `b`."""
    a, b = unit(a), unit(b)
    axis = np.cross(a, b)
    size = float(np.linalg.norm(axis))
    if size < 1e-12:
        return np.eye(3)
    return about_axis(axis, float(np.arctan2(size, a @ b)))


def twist_angle(rotation: Array, axis: Array) -> float:
    """How far `rotation` turns about `axis`, radians: the twist of its swing-twist parts."""
    axis = unit(axis)
    back = shortest(rotation @ axis, axis) @ rotation
    side = unit(np.cross(axis, [0.3, 0.7, 0.2]))
    turned = back @ side
    return float(np.arctan2(np.cross(side, turned) @ axis, side @ turned))


def unit(v: Array) -> Array:
    """`v` at length 1, along its last axis."""
    v = np.asarray(v, dtype=float)
    return np.asarray(v / np.linalg.norm(v, axis=-1, keepdims=True))


def frame(along: Array, towards: Array) -> Array:
    """Right-handed frame (3, 3) in columns: `along`, then `towards` made square to it."""
    x = unit(along)
    y = unit(np.asarray(towards) - (np.asarray(towards) @ x) * x)
    return np.stack([x, y, np.cross(x, y)], axis=1)


def joint_transforms(joints: Array, parents: Index, turns: Mapping[int, Array]) -> Array:
    """Where every joint carries its surroundings: (J, 4, 4).

    joints   (J, 3) at rest
    parents  (J,) parents come before their children; -1 at the root
    turns    joint -> rotation (3, 3), in the rest pose's own axes, about that joint
    """
    out = np.tile(np.eye(4), (len(joints), 1, 1))
    moved = np.zeros(len(joints), dtype=bool)
    for j, parent in enumerate(parents.tolist()):
        carried = parent >= 0 and moved[parent]
        if carried:
            out[j] = out[parent]
            moved[j] = True
        turn = turns.get(j)
        if turn is not None:
            local = np.eye(4)
            local[:3, :3] = turn
            local[:3, 3] = joints[j] - turn @ joints[j]
            out[j] = out[j] @ local
            moved[j] = True
    return out


def apply(transform: Array, points: Array) -> Array:
    """`points` (..., 3) under one 4x4 `transform`."""
    return np.asarray(points @ transform[:3, :3].T + transform[:3, 3])


def skin(points: Array, joints: Index, weights: Array, transforms: Array) -> Array:
    """Carry `points` (n, 3) along with their joints.

    joints      (n, k) joints of each point, `weights` (n, k) that sum to 1
    transforms  (J, 4, 4) from `joint_transforms`
    """
    flat = transforms[:, :3, :].reshape(len(transforms), 12)
    mixed = np.einsum("nk,nkc->nc", weights, flat[joints]).reshape(-1, 3, 4)
    return np.asarray(np.einsum("nij,nj->ni", mixed[:, :, :3], points) + mixed[:, :, 3])
