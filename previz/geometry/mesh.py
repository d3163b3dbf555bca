"""A mesh: triangles over points, with the few answers that a picture and a ruler ask of it."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    import trimesh

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LEAST_SIDE = 1e-8
"""Angles in rad below which a triangle is a line and turns no normal."""
STILL = 1e-8
"""A matrix that differs from the identity by less moves nothing."""
NO_LENGTH = 100.0 * float(np.finfo(float).resolution)


class Mesh:
    """Triangles, outward counter-clockwise. Never changed: `moved` and `inverted` give another.

    vertices  (n, 3) metres, read-only
    faces     (m, 3) indices of vertices, read-only
    """

    def __init__(self, vertices: ArrayLike, faces: ArrayLike) -> None:
        self.vertices: Array = _sealed(vertices, np.float64)
        self.faces: Index = _sealed(faces, np.int64)

    def moved(self, matrix: ArrayLike) -> Mesh:
        """The mesh under a 4x4 matrix; a mirroring one turns the faces, so they stay outward."""
        by = np.asarray(matrix, float)
        if np.abs(by - np.eye(4)).max() < STILL:
            return self
        whole = np.column_stack((self.vertices, np.ones(len(self.vertices))))
        vertices = np.dot(by, whole.T).T[:, :3]
        mirrors = np.linalg.det(by[:3, :3]) < 0.0
        return Mesh(vertices, self.faces[:, ::-1] if mirrors else self.faces)

    def shifted(self, offset: ArrayLike) -> Mesh:
        """The mesh moved by metres along the axes, (3,)."""
        matrix = np.eye(4)
        matrix[:3, 3] = offset
        return self.moved(matrix)

    def inverted(self) -> Mesh:
        """The same surface seen from the other side."""
        return Mesh(self.vertices, self.faces[:, ::-1])

    def outward(self) -> Mesh:
        """The closed mesh with its faces outward, however it was wound."""
        return self.inverted() if self.volume < 0.0 else self

    @cached_property
    def triangles(self) -> Array:
        """Corners of every triangle, (m, 3, 3)."""
        return self.vertices[self.faces]

    @cached_property
    def _crosses(self) -> Array:
        sides = np.diff(self.triangles, axis=1)
        a, b = sides[:, 0].T, sides[:, 1].T
        crosses = np.empty((len(self.faces), 3))
        crosses[:, 0] = a[1] * b[2] - a[2] * b[1]
        crosses[:, 1] = a[2] * b[0] - a[0] * b[2]
        crosses[:, 2] = a[0] * b[1] - a[1] * b[0]
        return crosses

    @cached_property
    def face_normals(self) -> Array:
        """Unit normal of every triangle, (m, 3); zero where it has no area."""
        normals = _at_length_one(self._crosses)
        normals[_lengths(self._crosses) <= NO_LENGTH] = 0.0
        return normals

    @cached_property
    def area_faces(self) -> Array:
        """Area of every triangle, (m,) m2."""
        return np.asarray(np.sqrt((self._crosses**2).sum(axis=1)) / 2.0)

    @property
    def area(self) -> float:
        """Area of the whole surface, m2."""
        return float(self.area_faces.sum())

    @property
    def volume(self) -> float:
        """Volume within, m3, by the integral of x over the surface; means nothing if open."""
        return float((self._crosses[:, 0] * self.triangles[:, :, 0].sum(axis=1)).sum() / 6.0)

    @cached_property
    def bounds(self) -> Array:
        """Least and greatest corner round all triangles, (2, 3). ValueError without any."""
        used = np.zeros(len(self.vertices), bool)
        used[self.faces] = True
        points = self.vertices if used.all() else self.vertices[used]
        # By axis, for that is fifteen times faster than rows of three.
        columns = points.T
        return np.array([[f(column) for column in columns] for f in (np.min, np.max)])

    @cached_property
    def vertex_normals(self) -> Array:
        """Mean of the normals round every vertex, each by its angle there, (n, 3) at length 1.

        Source: Thürrner and Wüthrich 1998, Journal of Graphics Tools 3(1). Triangles without
        area turn nothing; a vertex of no triangle has zero.
        """
        good = (self.face_normals**2).sum(axis=1) > 0.5
        corners, weights = self.faces[good].ravel(), self._angles[good].ravel()
        turned = np.repeat(self.face_normals[good], 3, axis=0) * weights[:, None]
        count = len(self.vertices)
        summed = [np.bincount(corners, turned[:, k], minlength=count) for k in range(3)]
        return _at_length_one(np.stack(summed, axis=1))

    @cached_property
    def _angles(self) -> Array:
        """Angles of every triangle at its corners, (m, 3); zero for a line."""
        a, b, c = (self.triangles[:, k] for k in range(3))
        ab, ac, bc = (_at_length_one(side) for side in (b - a, c - a, c - b))
        first = np.arccos(np.clip(_by_row(ab, ac), -1.0, 1.0))
        second = np.arccos(np.clip(_by_row(-ab, bc), -1.0, 1.0))
        angles = np.stack([first, second, np.pi - first - second], axis=1)
        angles[(angles < LEAST_SIDE).any(axis=1)] = 0.0
        return angles

    @cached_property
    def edges(self) -> Index:
        """Every edge once, as pairs of vertices (k, 2), the smaller first."""
        return unique_edges(self.faces)[0]

    @property
    def closed(self) -> bool:
        """Whether every edge has two triangles, so that the mesh bounds a volume."""
        _, index = unique_edges(self.faces)
        return bool(len(self.faces)) and bool((np.bincount(index.ravel()) == 2).all())

    @property
    def exact(self) -> trimesh.Trimesh:
        """The same for a library that answers more: rays, cuts, bodies. Slow to import."""
        import trimesh  # noqa: PLC0415 - a second that no picture needs

        return trimesh.Trimesh(self.vertices, self.faces, process=False)


def unique_edges(faces: Index) -> tuple[Index, Index]:
    """Edges (k, 2) without repeats, and which of them each triangle has, (m, 3).

    In the order of the greater vertex, then of the smaller.
    """
    pairs = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    keys, first, index = np.unique(
        (pairs[:, 1] << 32) | pairs[:, 0], return_index=True, return_inverse=True
    )
    del keys
    return pairs[first], index.reshape(-1, 3)


def welded(vertices: Array, faces: Index) -> Mesh:
    """A mesh whose vertices at one place, to 10 nm, are one; unused ones go."""
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    places = np.round(vertices[used] * 1e8).astype(np.int64)
    _, first, index = np.unique(places, axis=0, return_index=True, return_inverse=True)
    # Vertices keep the order in which they first come.
    order = np.argsort(first)
    rank = np.empty(len(order), np.int64)
    rank[order] = np.arange(len(order))
    renamed = np.zeros(len(vertices), np.int64)
    renamed[used] = rank[index.ravel()]
    return Mesh(vertices[np.flatnonzero(used)[first[order]]], renamed[faces])


def _sealed(values: ArrayLike, kind: type) -> NDArray[Any]:
    """As one block of memory that this array, at least, cannot change."""
    view = np.ascontiguousarray(values, kind).reshape(-1, 3).view(np.ndarray)
    view.flags.writeable = False
    return view


def _lengths(vectors: Array) -> Array:
    return np.asarray(np.sqrt(np.dot(vectors * vectors, np.ones(3))))


def _at_length_one(vectors: Array) -> Array:
    """Rows at length 1; a row without length stays as it is."""
    length = _lengths(vectors)
    good = length > NO_LENGTH
    length[good] **= -1
    return np.asarray(vectors * length[:, None])


def _by_row(a: Array, b: Array) -> Array:
    return np.asarray(np.dot(a * b, np.ones(3)))
