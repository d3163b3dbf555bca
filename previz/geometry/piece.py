"""What every shape is made of: pieces, each one mesh of one material."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.geometry.mesh import Mesh

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Piece:
    """One mesh of one material, in metres, Z up.

    name      what it is within its thing: "seat", "legs", "skin"
    mesh      triangles, outward counter-clockwise
    material  name of a material in the catalogue
    smooth    shade with vertex normals (a cushion) instead of flat faces (a plank)
    colour    linear BT.709 reflectance that replaces the material's own: (3,) or (vertices, 3)
    grain     axis the pattern runs along (a plank's length), in world directions (3,);
              None: along the longest side of the piece
    roughness of every vertex (vertices,), instead of the material's one
    uv        where in the pattern each vertex lies (vertices, 2), metres, u along the grain: of
              cloth that was cut before it was bent, of skin on a chart of the head; None: what
              lies square before the piece
    closed    whether the mesh bounds a volume (a sheet of paper or a curtain does not)
    """

    name: str
    mesh: Mesh
    material: str
    smooth: bool = False
    colour: Array | None = None
    grain: Array | None = None
    roughness: Array | None = None
    closed: bool = True
    uv: Array | None = None

    def moved(self, matrix: Array) -> Piece:
        """The same piece under a rigid or uniformly scaling 4x4 `matrix`."""
        mesh = self.mesh.moved(matrix)
        grain = None if self.grain is None else matrix[:3, :3] @ self.grain
        return replace(self, mesh=mesh, grain=grain)


def moved(pieces: Iterable[Piece], matrix: Array) -> tuple[Piece, ...]:
    """All `pieces` under one 4x4 `matrix`."""
    return tuple(piece.moved(matrix) for piece in pieces)


def bounds(pieces: Iterable[Piece]) -> Array:
    """Axis-aligned box round all `pieces`, (2, 3) metres: least corner, greatest corner."""
    boxes = np.array([piece.mesh.bounds for piece in pieces])
    return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])
