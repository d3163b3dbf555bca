"""Plain shoes: an upper cut from the suit, and a sole with a heel under it."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cloth import Suit, piece, settle
from previz.geometry.people.posture import SOLE_M
from previz.geometry.piece import Piece

LEATHER = np.array([0.018, 0.016, 0.015])
RUBBER = np.array([0.010, 0.009, 0.009])
STATIONS = 36  # along a sole
WELT_M = 0.003  # by which the sole stands out round the upper
EDGE_M = 0.011  # height of the sole's edge
HEEL_M = 0.019  # height of the heel, and of the edge over it
HEEL_SHARE = 0.27  # of the length
ARCH_M = 0.004  # by which the waist of the sole is off the floor


def shoes(suit: Suit, low_m: float = 0.03) -> tuple[Piece, Piece]:
    """Shoes that stand on the floor, cut `low_m` over the ankle: uppers, and soles."""
    cuts = suit.cuts
    coarse = suit.coarse
    vertices, faces, rest = settle(
        coarse,
        (lambda p: cuts.below_ankle(p, low_m),),
        lambda p: np.full(len(p), 0.006),
        rounds=2,
    ).hemmed((0.003, 0.01, 0.001))
    vertices[:, 2] = np.maximum(vertices[:, 2], 0.0)
    points: list[Array] = []
    corners: list[Index] = []
    for sign in (1.0, -1.0):
        here = sign * rest[:, 0] > 0.0
        loft, triangles = _sole(coarse, vertices[here], sign)
        corners.append(triangles + sum(map(len, points)))
        points.append(loft)
    under = Mesh(np.concatenate(points), np.concatenate(corners))
    return (
        piece("shoes", vertices, faces, "leather_black", LEATHER),
        Piece("soles", under, "leather_black", colour=RUBBER),
    )


def _sole(suit: Suit, upper: Array, sign: float) -> tuple[Array, Index]:
    """Vertices and faces of one sole under the posed vertices of its upper."""
    cuts = suit.cuts
    foot = (sign * suit.rest[:, 0] > 0.0) & (cuts.below_ankle(suit.rest, 0.0) > 0.0)
    turn, shift = _rigid(suit.rest[foot], suit.posed[foot])
    flat = (upper - shift) @ turn
    floor = float(suit.rest[foot, 2].min())
    low = flat[flat[:, 2] < floor + 0.030]
    heel, toe = float(low[:, 1].max()) + WELT_M, float(low[:, 1].min()) - WELT_M
    share = 0.5 - 0.5 * np.cos(np.linspace(0.02, np.pi - 0.02, STATIONS))
    y = heel + share * (toe - heel)
    left, right = (_side(low, y, side) for side in (1.0, -1.0))
    middle, half = 0.5 * (left + right), 0.5 * (left - right) + WELT_M
    # Round at both ends.
    length = heel - toe
    half *= np.sqrt(1.0 - np.clip(1.0 - share * length / 0.030, 0.0, 1.0) ** 2)
    half *= np.sqrt(1.0 - np.clip(1.0 - (1.0 - share) * length / 0.042, 0.0, 1.0) ** 2)
    on_heel = np.clip((HEEL_SHARE - share) / 0.012 + 0.5, 0.0, 1.0)
    waist = np.clip((share - HEEL_SHARE) / 0.02, 0.0, 1.0) * np.clip(
        (0.62 - share) / 0.16, 0.0, 1.0
    )
    bottom = floor - SOLE_M + ARCH_M * waist + 0.012 * np.clip((share - 0.80) / 0.20, 0.0, 1.0) ** 2
    top = floor - SOLE_M + EDGE_M + (HEEL_M - EDGE_M) * on_heel
    top = np.maximum(top, bottom + 0.006)
    ring = [
        (middle + half - 0.0015, bottom),
        (middle + half, bottom + 0.0015),
        (middle + half, top - 0.001),
        (middle + half - 0.003, top),
        (middle - half + 0.003, top),
        (middle - half, top - 0.001),
        (middle - half, bottom + 0.0015),
        (middle - half + 0.0015, bottom),
    ]
    loft = np.stack([np.stack([x, y, z], axis=1) for x, z in ring], axis=1)
    posed = loft.reshape(-1, 3) @ turn.T + shift
    posed[:, 2] = np.maximum(posed[:, 2], 0.0)
    return posed, _tube(*loft.shape[:2])


def _side(points: Array, y: Array, side: float) -> Array:
    """Outermost x on one side at stations `y`, evened along the foot."""
    width = np.abs(y[None, :] - points[:, 1][:, None])
    x = np.where(width < 0.014, side * points[:, 0][:, None], -9.0).max(axis=0)
    known = x > -8.0
    x = np.interp(y[::-1], y[known][::-1], x[known][::-1])[::-1].copy()
    for _ in range(4):
        x[1:-1] = 0.5 * x[1:-1] + 0.25 * (x[2:] + x[:-2])
    return np.asarray(side * x)


def _tube(n: int, k: int) -> Index:
    """Triangles of a closed tube of `n` rings of `k` points, its ends filled."""
    index = np.arange(n * k).reshape(n, k)
    after = np.roll(index, -1, axis=1)
    a, b, c, d = index[:-1], after[:-1], after[1:], index[1:]
    sides = np.concatenate([np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)])
    fan = np.stack([np.zeros(k - 2, dtype=int), np.arange(1, k - 1), np.arange(2, k)], axis=1)
    faces = np.concatenate([sides.reshape(-1, 3), fan[:, ::-1], fan + (n - 1) * k])
    return np.asarray(faces)


def _rigid(before: Array, after: Array) -> tuple[Array, Array]:
    """Rotation (3, 3) and shift (3,) that best carry points (n, 3) to others.

    Source: Kabsch 1976, Acta Crystallographica A32.
    """
    a, b = before.mean(axis=0), after.mean(axis=0)
    u, _, v = np.linalg.svd((before - a).T @ (after - b))
    flip = np.diag([1.0, 1.0, np.sign(np.linalg.det(u @ v))])
    turn = (u @ flip @ v).T
    return turn, b - turn @ a
