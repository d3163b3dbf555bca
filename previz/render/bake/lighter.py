"""Pieces as they are drawn at once: fewer triangles, and two sides to what is thin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.merge import SKIN
from previz.render.parts import PERSON
from previz.stage.stage import Thing

FROM = 2000
"""Triangles from which a piece is thinned out."""
KEPT, KEPT_OF_SKIN = 0.3, 0.55
"""Share of triangles that stays. A face keeps more: its shading is what is looked at."""
_ONE_AT_A_TIME = Lock()
"""The library works on one mesh for the whole process, and outside of Python's own lock: of two
threads at once each spoils the other's, and a face was lost so."""


def lighter(thing: Thing, materials: Mapping[str, Material]) -> Thing:
    """A thing as it is drawn at once.

    People's skin and clothes have fewer triangles than a lens two metres away can tell apart; what
    else bounds no volume, a leaf or a sheet of paper, has both its sides.
    """
    if thing.kind == PERSON:
        return replace(thing, pieces=tuple(_lighter(piece) for piece in thing.pieces))
    pieces = tuple(
        piece if piece.closed or _has_sides(materials[piece.material]) else _two_sided(piece)
        for piece in thing.pieces
    )
    return replace(thing, pieces=pieces)


def _has_sides(material: Material) -> bool:
    """Whether light passes through it: then the net gives it two sides anyway."""
    return material.clear or material.diffuse_transmittance > 0.0


def _two_sided(piece: Piece) -> Piece:
    """A thin piece with its other side as well."""
    vertices, faces = np.asarray(piece.mesh.vertices), np.asarray(piece.mesh.faces)

    def twice(values: NDArray[np.float64] | None) -> NDArray[np.float64] | None:
        if values is None or len(values) != len(vertices):
            return values
        return np.concatenate([values, values])

    back = faces[:, ::-1] + len(vertices)
    return replace(
        piece,
        mesh=Mesh(np.concatenate([vertices, vertices]), np.concatenate([faces, back])),
        colour=twice(piece.colour),
        roughness=twice(piece.roughness),
        uv=twice(piece.uv),
    )


def _lighter(piece: Piece) -> Piece:
    if not piece.smooth or len(piece.mesh.faces) < FROM:
        return piece
    import fast_simplification  # noqa: PLC0415 - only who bakes needs it
    from scipy.spatial import cKDTree  # noqa: PLC0415

    old = np.asarray(piece.mesh.vertices, float)
    of_skin = piece.material == SKIN or piece.uv is not None
    share = KEPT_OF_SKIN if of_skin else KEPT
    with _ONE_AT_A_TIME:
        vertices, faces = fast_simplification.simplify(
            old.astype(np.float32), np.asarray(piece.mesh.faces, np.int32), 1.0 - share, agg=3
        )
    if not len(faces):
        return piece
    distance, near = cKDTree(old).query(vertices, k=3)
    weight = 1.0 / (distance + 1e-6)
    weight /= weight.sum(axis=1, keepdims=True)

    def carried(values: NDArray[np.float64] | None) -> NDArray[np.float64] | None:
        if values is None or len(values) != len(old):
            return values
        near_values = np.asarray(values, float)[near]
        return np.asarray(np.einsum("nk,nk...->n...", weight, near_values))

    return replace(
        piece,
        mesh=Mesh(vertices.astype(float), faces.astype(np.int64)),
        colour=carried(piece.colour),
        roughness=carried(piece.roughness),
        # Of the nearest alone: a mean over the seam of the square would lie in its middle.
        uv=None if piece.uv is None else piece.uv[near[:, 0]],
    )
