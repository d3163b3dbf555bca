"""Sheets of cloth over a grid of points, and laying them on the cloth below."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.hairs import FaceSurface
from previz.geometry.piece import Piece

FAR_M = 0.030  # from the nearest vertex: further off nothing lies on anything
CHUNK = 192  # points looked up at once


class Ground:
    """A cloth that others lie on: its vertices (V, 3), and their normals (V, 3)."""

    def __init__(self, vertices: Array, normals: Array) -> None:
        order = np.argsort(vertices[:, 2], kind="stable")
        self.vertices, self.normals = vertices[order], normals[order]
        self.heights = self.vertices[:, 2]

    def lay(self, points: Array, low_m: Array | float, high_m: Array | float = 9.0) -> Array:
        """`points` (..., 3) moved along the ground's normals to between two distances from it."""
        flat = points.reshape(-1, 3).copy()
        low = np.broadcast_to(low_m, points.shape[:-1]).reshape(-1)
        high = np.broadcast_to(high_m, points.shape[:-1]).reshape(-1)
        # Chunk by chunk in height, each against the ground close to it alone.
        order = np.argsort(flat[:, 2], kind="stable")
        for some in np.array_split(order, len(order) // CHUNK + 1):
            flat[some] = self._laid(flat[some], low[some], high[some])
        return flat.reshape(points.shape)

    def _laid(self, points: Array, low: Array, high: Array) -> Array:
        least, most = points.min(axis=0) - FAR_M, points.max(axis=0) + FAR_M
        first, last = np.searchsorted(self.heights, [least[2], most[2]])
        near = self.vertices[first:last]
        kept = np.flatnonzero(((near > least) & (near < most)).all(axis=1)) + first
        if not len(kept):
            return points
        ground, normal = self.vertices[kept], self.normals[kept]
        pick = np.argmin((ground**2).sum(axis=1) - 2.0 * points @ ground.T, axis=1)
        rel = points - ground[pick]
        off = (rel * normal[pick]).sum(axis=1)
        move = np.clip(off, low, high) - off
        move[np.linalg.norm(rel, axis=1) > FAR_M] = 0.0
        return np.asarray(points + move[:, None] * normal[pick])


def look_up(surface: FaceSurface, xz: Array) -> tuple[Array, Array]:
    """As `surface.over`, for many points (n, 2) in order: places and normals (n, 3).

    A few at a time, because each is compared with all triangles round its own few.
    """
    parts = np.array_split(xz, len(xz) // 60 + 1)
    found = [surface.over(part) for part in parts]
    return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])


def sheet(name: str, rows: Array, thick_m: float, material: str, colour: Array) -> Piece:
    """A closed sheet `thick_m` thick over a grid of points (n, k, 3): collars, lapels, flaps."""
    n, k, _ = rows.shape
    normal = _facing(rows)
    top, under = rows + 0.5 * thick_m * normal, rows - 0.5 * thick_m * normal
    index = np.arange(n * k).reshape(n, k)
    faces = np.concatenate([_over(index), _over(index)[:, ::-1] + n * k, _rim(index)])
    points = np.concatenate([top.reshape(-1, 3), under.reshape(-1, 3)])
    mesh = Mesh(points, faces)
    return Piece(name, mesh, material, smooth=True, colour=colour)


def _facing(rows: Array) -> Array:
    """Unit normals (n, k, 3) of a grid; where it is drawn to a point, those from beside it."""
    out = np.cross(np.gradient(rows, axis=1), np.gradient(rows, axis=0))
    size = np.linalg.norm(out, axis=-1)
    lost = size < 1e-12
    out = out / np.where(lost, 1.0, size)[..., None]
    if lost.any():
        from scipy.ndimage import distance_transform_edt  # noqa: PLC0415 - only who drapes anew needs it

        nearest = distance_transform_edt(lost, return_distances=False, return_indices=True)
        out = out[tuple(nearest)]
    return np.asarray(out)


def _over(index: Index) -> Index:
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    quads = np.stack([a, d, c, b], axis=-1).reshape(-1, 4)
    return np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])


def _rim(index: Index) -> Index:
    rim = np.concatenate([index[:, 0], index[-1, 1:], index[-2::-1, -1], index[0, -2:0:-1]])
    after, below = np.roll(rim, -1), index.size
    sides = [
        np.stack([rim, after, rim + below], axis=1),
        np.stack([after, after + below, rim + below], axis=1),
    ]
    return np.concatenate(sides)
