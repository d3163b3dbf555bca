"""Lips that close: whatever face and muscles made of them, a mouth at rest shows no gap."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array, BodyData, Index

NEAR_M = 0.0035  # of the seam at rest: the vertices that meet
MIDDLE_M = 0.004  # to each side
REACH_M = 0.0060  # how far from the seam the lips give
OVERLAP_M = 0.0011  # pressed together, so that the rounded edge leaves no slit


@dataclass(frozen=True, eq=False)
class _Seam:
    """Lip vertices with their signed height over the seam, metres on the base head, and the
    vertices at the left and the right corner of the mouth."""

    index: Index
    height: Array
    corners: tuple[int, int]


@lru_cache(maxsize=2)
def _seam(data: BodyData) -> _Seam:
    n = data.ranges["body"][1]
    body, lips, inside = data.base[:n], data.masks["lips"][:n], data.masks["mouth_inside"][:n]
    # The ring where lip turns into mouth: its height over the width is the line of closing.
    ring = (np.abs(lips - 0.5) < 0.1) & (np.abs(inside - 0.5) < 0.1)
    line = np.polyfit(body[ring, 0] ** 2, body[ring, 2], 2)
    front = body[ring, 1].max() + 0.002
    index = np.flatnonzero(((lips > 0.01) | ring) & (body[:, 1] < front))
    height = body[index, 2] - np.polyval(line, body[index, 0] ** 2)
    across = np.flatnonzero(ring)[np.argsort(body[ring, 0])]
    return _Seam(index, height, (int(across[-1]), int(across[0])))


def corners_over_seam(data: BodyData, vertices: Array, parted: bool) -> dict[str, float]:
    """Height of the left and the right corner of the mouth over the middle of the seam, metres.

    parted  of lips that are apart: over the upper lip's edge, as much as pressed lips overlap
    """
    seam = _seam(data)
    lips = vertices[seam.index]
    middle = np.abs(lips[:, 0]) < MIDDLE_M
    upper, lower = (middle & chosen for chosen in _edges(seam))
    edge = float(lips[upper, 2].min())
    height = edge + OVERLAP_M if parted else 0.5 * (edge + float(lips[lower, 2].max()))
    left, right = (float(vertices[corner, 2]) - height for corner in seam.corners)
    return {"left": left, "right": right}


def _edges(seam: _Seam) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which lip vertices are the upper lip's edge, and which the lower one's."""
    return (
        (seam.height > 0.0) & (seam.height < NEAR_M),
        (seam.height <= 0.0) & (seam.height > -NEAR_M),
    )


def seal(data: BodyData, vertices: Array) -> Array:
    """`vertices` (V, 3) at rest with the lips brought together along the whole seam."""
    seam = _seam(data)
    lips = vertices[seam.index]
    upper, lower = _edges(seam)
    gap: Array = _edge(lips, upper, -1.0) - _edge(lips, lower, 1.0)
    give = np.exp(-((seam.height / REACH_M) ** 2))
    # The corners need more: there the lips turn inwards.
    corner = np.clip(np.abs(lips[:, 0]) / np.abs(lips[:, 0]).max() / 0.55 - 0.6, 0.0, 1.0)
    move = np.clip(0.5 * gap + OVERLAP_M * (1.0 + 0.6 * corner), 0.0, 0.006) * give
    out = vertices.copy()
    out[seam.index, 2] += np.where(seam.height > 0.0, -move, move)
    return out


def _edge(lips: Array, chosen: NDArray[np.bool_], sign: float) -> Array:
    """Height of one lip's edge at the width of every lip vertex: the extreme of those near."""
    apart = np.abs(lips[:, None, 0] - lips[None, chosen, 0])
    height = sign * lips[chosen, 2] - 0.5 * np.clip(apart - 0.001, 0.0, None)
    return np.asarray(sign * height.max(axis=1))
