"""Meshes cut into chunks: small enough that what is out of the picture is left out, sorted by what
they are drawn with. Touches no OpenGL.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.render.drawn import DrawnMesh

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

TRIANGLES = 500
"""Of a chunk at most. With twice as many, a twentieth more is drawn for nothing; with half as many,
finding them takes longer than drawing them would."""


@dataclass(frozen=True, eq=False)
class Chunk:
    """Triangles that are drawn, or left out, together.

    faces    (f, 3) vertices of their mesh
    bounds   (2, 3) least and greatest corner, metres
    figure   number of the pattern, -1: plain
    one_side whether only the side that faces the camera is drawn
    owner    camera that does not see it; "": nobody
    """

    faces: NDArray[np.uint32]
    bounds: F32
    figure: int
    one_side: bool
    owner: str

    @property
    def drawn_with(self) -> tuple[int, bool]:
        """What it must share with others to be drawn in one go."""
        return self.figure, self.one_side


def chunks_of(mesh: DrawnMesh) -> list[Chunk]:
    """A mesh in chunks."""
    one_side = mesh.hollow or bounds_a_volume(mesh.positions, mesh.faces)
    parts = [(-1, mesh.faces)] if mesh.pattern is None else _by_figure(mesh)
    return [
        Chunk(faces, _bounds(mesh.positions, faces), figure, one_side, mesh.owner)
        for figure, part in parts
        for faces in _cut(mesh.positions, part)
    ]


def _by_figure(mesh: DrawnMesh) -> list[tuple[int, NDArray[np.uint32]]]:
    assert mesh.pattern is not None
    number = mesh.pattern.number[mesh.faces[:, 0]]
    return [(int(figure), mesh.faces[number == figure]) for figure in np.unique(number)]


def _cut(positions: F32, faces: NDArray[np.uint32]) -> list[NDArray[np.uint32]]:
    """Triangles in heaps that lie together, along a curve through space: Morton, "A Computer
    Oriented Geodetic Data Base", 1966 (from memory).
    """
    if not len(faces):
        return []
    middle = positions[faces].sum(axis=1)
    low = middle.min(axis=0)
    span = max(float((middle.max(axis=0) - low).max()), 1e-9)
    cell = ((middle - low) * np.float32(1023.0 / span)).astype(np.uint64)
    code = _spread(cell[:, 0]) | _spread(cell[:, 1]) << 1 | _spread(cell[:, 2]) << 2
    return np.array_split(faces[np.argsort(code, kind="stable")], -(-len(faces) // TRIANGLES))


def _spread(value: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """The lowest 10 bits with two zeros between each and the next."""
    for shift, mask in ((16, 0x030000FF), (8, 0x0300F00F), (4, 0x030C30C3), (2, 0x09249249)):
        value = (value | (value << np.uint64(shift))) & np.uint64(mask)
    return value


def _bounds(positions: F32, faces: NDArray[np.uint32]) -> F32:
    corners = positions[faces.reshape(-1)]
    return np.stack([corners.min(axis=0), corners.max(axis=0)])


def bounds_a_volume(positions: F32, faces: NDArray[np.uint32]) -> bool:
    """Whether every edge is met by as many triangles one way round as the other.

    Then no back of a triangle is ever seen from outside, and drawing it would be for nothing; a
    sheet whose two sides have triangles each is such a mesh too. Vertices at one place are one,
    however many normals they have. Told by a sum over edges that is zero for nothing else but by
    a chance of 2^-64, since to sort half a million edges would take a second.
    """
    with np.errstate(over="ignore"):
        # Adding 0.0 makes a negative zero a positive one.
        bits = (positions + np.float32(0.0)).view(np.uint32).astype(np.uint64)
        place = _mixed(bits[:, 0])
        place = _mixed(place ^ bits[:, 1])
        place = _mixed(place ^ bits[:, 2])
        corner = place[faces]
        total = np.uint64(0)
        for start, end in ((0, 1), (1, 2), (2, 0)):
            a, b = corner[:, start], corner[:, end]
            edge = _mixed(a + b)
            forth, back = edge[a < b].sum(dtype=np.uint64), edge[a > b].sum(dtype=np.uint64)
            total += forth - back
    return bool(total == 0)


def _mixed(value: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Whole numbers scattered over all of 64 bits: Steele, Lea and Flood, "Fast Splittable
    Pseudorandom Number Generators", 2014 (constants from memory).
    """
    value = (value + np.uint64(0x9E3779B97F4A7C15)).astype(np.uint64)
    value = (value ^ (value >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    value = (value ^ (value >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return np.asarray(value ^ (value >> np.uint64(31)), np.uint64)


def in_view(bounds: F32, camera: F64) -> NDArray[np.bool_]:
    """Which boxes (n, 2, 3) may reach into the picture of a `camera` (4, 4), world to clip space.

    Leaves out a box that lies wholly outside one side of the picture.
    """
    seen = np.ones(len(bounds), bool)
    for axis in (0, 1):
        for sign in (-1.0, 1.0):
            plane = camera[3] + sign * camera[axis]
            farthest = np.where(plane[:3] > 0.0, bounds[:, 1], bounds[:, 0])
            seen &= farthest @ plane[:3] + plane[3] > 0.0
    ahead = np.where(camera[3, :3] > 0.0, bounds[:, 1], bounds[:, 0])
    return np.asarray(seen & (ahead @ camera[3, :3] + camera[3, 3] > 0.0))
