"""Many pieces to few meshes.

A renderer that traces a hundred small meshes takes almost twice as long as one that traces
a few large ones, so pieces that share a kind of surface become one mesh, and what differs
between them (colour, roughness, metal) goes along on its vertices.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.stage.stage import Thing

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


@dataclass(frozen=True, order=True)
class Surface:
    """What pieces must share to become one mesh.

    `through` is the share of a thin sheet's scattered light that leaves on the far side;
    `textured` names a patterned material, with its tint; `owner` a camera whose gear it is.
    """

    clear: bool = False
    matt: bool = False
    specular: float = 0.5
    sheen: float = 0.0
    clearcoat: float = 0.0
    through: float = 0.0
    textured: str = ""
    owner: str = ""


@dataclass(frozen=True, eq=False)
class MergedMesh:
    """One mesh for a renderer; `face_objects` holds the thing's number per triangle."""

    surface: Surface
    vertices: F32
    normals: F32
    faces: NDArray[np.uint32]
    uv: F32
    colour: F32
    roughness: F32
    metallic: F32
    face_objects: NDArray[np.uint16]


MATT_ROUGHNESS = 0.9


def surface_of(piece: Piece, material: Material, owner: str | None) -> Surface:
    """Kind of surface a piece has."""
    textured = material.pattern != "none" and (piece.colour is None or piece.colour.ndim == 1)
    name = ""
    if textured:
        tint = "" if piece.colour is None else "@" + ",".join(f"{c:.4f}" for c in piece.colour)
        name = f"{piece.material}{tint}"
    plain = material.sheen == material.clearcoat == material.metallic == 0.0
    matt = plain and material.roughness >= MATT_ROUGHNESS and not material.clear
    through = material.diffuse_transmittance
    if through > 0.0:
        through /= through + max(material.reflectance)
    return Surface(
        clear=material.clear,
        matt=matt and through == 0.0,
        specular=0.0 if matt else material.specular,
        sheen=material.sheen,
        clearcoat=material.clearcoat,
        through=round(through, 4),
        textured=name,
        owner=owner or "",
    )


def merge(
    things: Iterable[Thing], object_ids: Mapping[str, int], materials: Mapping[str, Material]
) -> list[MergedMesh]:
    """All pieces of all things as few meshes, in a repeatable order."""
    groups: dict[Surface, list[tuple[Piece, int]]] = {}
    for thing in things:
        for piece in thing.pieces:
            if len(piece.mesh.faces):
                surface = surface_of(piece, materials[piece.material], thing.owner)
                groups.setdefault(surface, []).append((piece, object_ids[thing.name]))
    return [_join(surface, groups[surface], materials) for surface in sorted(groups)]


def _join(
    surface: Surface, members: list[tuple[Piece, int]], materials: Mapping[str, Material]
) -> MergedMesh:
    parts = [
        _spread(piece, materials[piece.material], bool(surface.textured)) for piece, _ in members
    ]
    numbers = [np.full(len(part[6]), n) for part, (_, n) in zip(parts, members, strict=True)]
    starts = np.cumsum([0] + [len(part[0]) for part in parts[:-1]])
    stack = [np.concatenate([part[column] for part in parts]) for column in range(6)]
    return MergedMesh(
        surface=surface,
        vertices=stack[0].astype(np.float32),
        normals=stack[1].astype(np.float32),
        uv=stack[2].astype(np.float32),
        colour=stack[3].astype(np.float32),
        roughness=stack[4].astype(np.float32),
        metallic=stack[5].astype(np.float32),
        faces=np.concatenate(
            [part[6] + start for part, start in zip(parts, starts, strict=True)]
        ).astype(np.uint32),
        face_objects=np.concatenate(numbers).astype(np.uint16),
    )


def _spread(piece: Piece, material: Material, textured: bool) -> tuple[F64, ...]:
    """Vertices, normals, uv, colour, roughness, metallic, faces of one piece.

    Flat pieces and textured ones get three vertices of their own per triangle.
    """
    mesh = piece.mesh
    faces = np.asarray(mesh.faces)
    vertices = np.asarray(mesh.vertices, float)
    colour = np.asarray(material.reflectance if piece.colour is None else piece.colour, float)
    # A sheet's colour is all the light it scatters, to both sides.
    colour = np.broadcast_to(colour + material.diffuse_transmittance, (len(vertices), 3))
    if piece.smooth:
        normals = np.asarray(mesh.vertex_normals, float)
    if textured or not piece.smooth:
        corners = faces.reshape(-1)
        if not piece.smooth:
            normals = np.repeat(np.asarray(mesh.face_normals, float), 3, axis=0)
        else:
            normals = normals[corners]
        vertices, colour = vertices[corners], colour[corners]
        faces = np.arange(len(corners)).reshape(-1, 3)
    uv = _box_map(piece, vertices) if textured else np.zeros((len(vertices), 2))
    count = len(vertices)
    return (
        vertices,
        normals,
        uv,
        colour,
        np.full(count, material.roughness),
        np.full(count, material.metallic),
        faces,
    )


def _box_map(piece: Piece, corners: F64) -> F64:
    """Texture coordinates in metres, u along the grain: a box projection in its own axes."""
    frame = _frame(piece)
    dominant = np.repeat(np.abs(np.asarray(piece.mesh.face_normals) @ frame.T).argmax(axis=1), 3)
    local = corners @ frame.T
    u = np.where(dominant == 0, local[:, 1], local[:, 0])
    v = np.where(dominant == 2, local[:, 1], local[:, 2])
    offset = np.array(divmod(zlib.crc32(piece.name.encode()) % 4096, 64)) / 17.0
    return np.stack([u, v], axis=1) + offset


def _frame(piece: Piece) -> F64:
    """Axes (rows): along the grain, across it, and out of the largest face."""
    mesh = piece.mesh
    normals, areas = np.asarray(mesh.face_normals), np.asarray(mesh.area_faces)
    rounded = np.round(np.abs(normals) @ np.array([1.0, 1.7, 2.9]), 2)
    values, index = np.unique(rounded, return_inverse=True)
    largest = np.bincount(index, weights=areas, minlength=len(values)).argmax()
    out = normals[int(np.flatnonzero(index == largest)[0])]
    along = piece.grain if piece.grain is not None else _longest_edge(piece, out)
    along = along - out * (along @ out)
    if np.linalg.norm(along) < 1e-6:
        along = np.cross(out, [0.0, 0.0, 1.0] if abs(out[2]) < 0.9 else [0.0, 1.0, 0.0])
    along = along / np.linalg.norm(along)
    return np.stack([along, np.cross(out, along), out])


def _longest_edge(piece: Piece, out: F64) -> F64:
    if abs(out[2]) < 0.7:
        return np.cross([0.0, 0.0, 1.0], out)
    edges = np.asarray(piece.mesh.edges_unique)
    vertices = np.asarray(piece.mesh.vertices)
    spans = vertices[edges[:, 1]] - vertices[edges[:, 0]]
    spans[:, 2] = 0.0
    return np.asarray(spans[np.linalg.norm(spans, axis=1).argmax()], float)
