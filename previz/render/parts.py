"""Pieces as they go into meshes, kept between runs by what they are made of."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz import cache
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.stage.stage import Thing

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

PERSON = "person"
KIND, MOST = "parts", 120
KEPT_FROM = 3000
"""Triangles from which keeping a thing pays: what is smaller is made as fast as it is read."""


@dataclass(frozen=True, eq=False)
class Part:
    """A piece as a renderer takes it: vertices (n, 3), normals (n, 3), uv (n, 2), faces (f, 3).

    paint  colour and roughness at vertices, (n, 4); None where the piece is of one look
    """

    vertices: F32
    normals: F32
    uv: F32
    paint: F32 | None
    faces: NDArray[np.uint32]

    @classmethod
    def of(
        cls, vertices: F64, normals: F64, uv: F64, paint: F64 | None, faces: NDArray[np.int64]
    ) -> Part:
        """From numbers as geometry has them."""
        return cls(
            np.asarray(vertices, np.float32),
            np.asarray(normals, np.float32),
            np.asarray(uv, np.float32),
            None if paint is None else np.asarray(paint, np.float32),
            np.asarray(faces, np.uint32),
        )


def kept_parts(
    thing: Thing,
    pieces: Sequence[Piece],
    materials: Mapping[str, Material],
    apart: bool,
    spread: Callable[[Piece, bool], Part],
) -> list[Part]:
    """The parts of a thing's `pieces`, by `spread(piece, creased)` or from an earlier run.

    People are smooth all over; whatever else is smooth keeps its sharp edges.
    """
    creased = thing.kind != PERSON
    if sum(len(piece.mesh.faces) for piece in pieces) < KEPT_FROM:
        return [spread(piece, creased) for piece in pieces]
    key = _key(pieces, materials, apart, creased)
    kept = cache.load(KIND, key)
    if kept is not None:
        return [_read(kept, number) for number in range(len(pieces))]
    parts = [spread(piece, creased) for piece in pieces]
    arrays: dict[str, NDArray[Any]] = {}
    for number, part in enumerate(parts):
        arrays |= {f"{number}/{k}": v for k, v in vars(part).items() if v is not None}
    cache.keep(KIND, key, arrays, MOST)
    return parts


def _read(kept: Mapping[str, NDArray[np.generic]], number: int) -> Part:
    names = ("vertices", "normals", "uv", "paint", "faces")
    return Part(*(kept.get(f"{number}/{name}") for name in names))  # type: ignore[arg-type]


def _key(
    pieces: Sequence[Piece], materials: Mapping[str, Material], apart: bool, creased: bool
) -> str:
    """Digest of all that parts rest on: shapes, colours, materials, the code that makes them."""
    here = Path(__file__).parent
    digest = hashlib.sha256()
    for piece in pieces:
        about = (piece.name, piece.smooth, materials[piece.material])
        digest.update(repr(about).encode())
        at_vertices = (piece.colour, piece.roughness, piece.uv)
        arrays = (piece.mesh.vertices, piece.mesh.faces, *at_vertices, piece.grain)
        for array in arrays:
            block = np.ascontiguousarray(np.empty(0) if array is None else array)
            digest.update(repr((block.dtype.str, block.shape)).encode())
            digest.update(block.data)
    code = [here / "parts.py", here / "merge.py", here / "shading.py"]
    return cache.key_of(code, digest.hexdigest(), apart, creased)
