"""Many pieces to few meshes.

A renderer that traces a hundred small meshes takes almost twice as long as one that traces
a few large ones, so pieces that share a kind of surface become one mesh, and what differs
between them (colour, roughness, metal) goes along on its vertices.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.patterns import figure_of, two_colours
from previz.stage.stage import Thing

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


@dataclass(frozen=True, order=True)
class Surface:
    """What pieces must share to become one mesh.

    `through` is the share of a thin sheet's scattered light that leaves on the far side;
    `textured` names a patterned material, with its tint, where patterns are kept apart;
    `owner` is a camera whose gear it is.
    """

    clear: bool = False
    matt: bool = False
    specular: float = 0.5
    through: float = 0.0
    textured: str = ""
    owner: str = ""


@dataclass(frozen=True, eq=False)
class MergedMesh:
    """One mesh for a renderer, n vertices.

    uv            (n, 2) place in the pattern, metres, u along the grain
    colour        (n, 3) reflectance; of a pattern, its first colour
    second        (n, 3) a pattern's second colour
    pattern       (n,) number of the pattern in `Merged.patterns` from 1, 0: plain
    face_objects  number of the thing per triangle
    """

    surface: Surface
    vertices: F32
    normals: F32
    faces: NDArray[np.uint32]
    uv: F32
    colour: F32
    second: F32
    pattern: F32
    roughness: F32
    metallic: F32
    face_objects: NDArray[np.uint16]


@dataclass(frozen=True, eq=False)
class Merged:
    """All meshes, and the materials whose figures their patterns are, in order from 1."""

    meshes: tuple[MergedMesh, ...]
    patterns: tuple[Material, ...]


HAIR = "hair"
PERSON = "person"
SKIN = "skin"
"""The one material whose pattern lies over the colours that a piece has painted on."""
MATT_ROUGHNESS = 0.9
CREASE_DEG = 50.0
"""Faces that meet at more than this keep an edge between them, smooth though the piece is."""
SPECULARS = (0.35, 0.5)
"""Levels of specular reflectance that surfaces are sorted into: each costs a mesh of its own.
0.35 is an index of refraction of 1.4, skin and cloth; 0.5 is 1.5, varnish and plastic."""


class Merger:
    """Sorts pieces by surface. `apart` gives every pattern a mesh of its own."""

    def __init__(self, materials: Mapping[str, Material], apart: bool) -> None:
        self._materials = materials
        self._apart = apart
        self._numbers: dict[tuple[str, float | None, float], int] = {}
        self._patterns: list[Material] = []

    def merge(self, things: Iterable[Thing], object_ids: Mapping[str, int]) -> Merged:
        """All pieces of all things as few meshes, in a repeatable order.

        Where there are strands, the mesh that stands in for them is left out.
        """
        groups: dict[Surface, list[_Member]] = {}
        for thing in things:
            for piece in thing.pieces:
                stands_in = thing.strands is not None and piece.name == HAIR
                if len(piece.mesh.faces) and not stands_in:
                    surface = self.surface_of(piece, thing.owner)
                    member = _Member(piece, object_ids[thing.name], thing.kind != PERSON)
                    groups.setdefault(surface, []).append(member)
        meshes = tuple(self._join(surface, groups[surface]) for surface in sorted(groups))
        return Merged(meshes, tuple(self._patterns))

    def surface_of(self, piece: Piece, owner: str | None) -> Surface:
        """Kind of surface a piece has."""
        material = self._materials[piece.material]
        matt = (
            material.metallic == 0.0 and material.roughness >= MATT_ROUGHNESS and not material.clear
        )
        through = material.diffuse_transmittance
        if through > 0.0:
            through /= through + max(material.reflectance)
        return Surface(
            clear=material.clear,
            matt=matt and through == 0.0,
            specular=material.specular if material.clear else _near_specular(matt, material),
            through=round(through, 2),
            textured=self._name(piece) if self._apart and self._patterned(piece) else "",
            owner=owner or "",
        )

    def _patterned(self, piece: Piece) -> bool:
        plain = piece.colour is None or piece.colour.ndim == 1
        plain = plain or (piece.material == SKIN and not self._apart)
        return plain and self._materials[piece.material].pattern != "none"

    def _name(self, piece: Piece) -> str:
        tint = "" if piece.colour is None else "@" + ",".join(f"{c:.4f}" for c in piece.colour)
        return f"{piece.material}{tint}"

    def _number(self, material: Material) -> int:
        depth_mm = material.relief_mm if figure_of(material).height is not None else 0.0
        key = (material.pattern, material.pattern_size_m, depth_mm)
        if key not in self._numbers:
            self._patterns.append(material)
            self._numbers[key] = len(self._patterns)
        return self._numbers[key]

    def _join(self, surface: Surface, members: list[_Member]) -> MergedMesh:
        parts = [self._spread(member) for member in members]
        numbers = [
            np.full(len(part.faces), member.number)
            for part, member in zip(parts, members, strict=True)
        ]
        starts = np.cumsum([0] + [len(part.vertices) for part in parts[:-1]])
        faces = [part.faces + start for part, start in zip(parts, starts, strict=True)]
        return MergedMesh(
            surface=surface,
            vertices=_stacked(part.vertices for part in parts),
            normals=_stacked(part.normals for part in parts),
            uv=_stacked(part.uv for part in parts),
            colour=_stacked(part.colour for part in parts),
            second=_stacked(part.second for part in parts),
            pattern=_stacked(part.pattern for part in parts),
            roughness=_stacked(part.roughness for part in parts),
            metallic=_stacked(part.metallic for part in parts),
            faces=np.concatenate(faces).astype(np.uint32),
            face_objects=np.concatenate(numbers).astype(np.uint16),
        )

    def _spread(self, member: _Member) -> _Part:
        """One piece with everything its vertices carry.

        Flat pieces and patterned ones get three vertices of their own per triangle.
        """
        piece = member.piece
        material = self._materials[piece.material]
        patterned = self._patterned(piece)
        vertices, normals, faces, corners = _shaded(piece, patterned, member.creased)
        count = len(vertices)
        first, second = self._colours(piece, patterned)
        of_old = corners if corners is not None else np.arange(count)
        return _Part(
            vertices=vertices,
            normals=normals,
            uv=_box_map(piece, vertices) if patterned else np.zeros((count, 2)),
            colour=np.broadcast_to(first, (count, 3)) if first.ndim == 1 else first[of_old],
            second=np.broadcast_to(second, (count, 3)) if second.ndim == 1 else second[of_old],
            pattern=np.full(count, self._number(material) if patterned else 0),
            roughness=(
                np.full(count, material.roughness)
                if piece.roughness is None
                else piece.roughness[of_old]
            ),
            metallic=np.full(count, material.metallic),
            faces=faces,
        )

    def _colours(self, piece: Piece, patterned: bool) -> tuple[F64, F64]:
        """First and second colour. A sheet's colour is all the light it scatters, to both sides."""
        material = self._materials[piece.material]
        own = material.reflectance if piece.colour is None else piece.colour
        colour = np.asarray(own, float) + material.diffuse_transmittance
        if not patterned:
            return colour, np.zeros(3)
        if colour.ndim == 2:
            # What the pattern does to the material's own colour it does to every painted one.
            base = np.asarray(material.reflectance, float)
            one, two = two_colours(material)
            return colour * (one / base), colour * (two / base)
        return two_colours(material, tuple(float(c) for c in colour))


@dataclass(frozen=True, eq=False)
class _Member:
    """A piece on its way into a mesh; `creased` where its sharp edges are to stay sharp."""

    piece: Piece
    number: int
    creased: bool


@dataclass(frozen=True, eq=False)
class _Part:
    vertices: F64
    normals: F64
    uv: F64
    colour: F64
    second: F64
    pattern: NDArray[np.int64]
    roughness: F64
    metallic: F64
    faces: NDArray[np.int64]


def smooth_normals(vertices: F64, faces: NDArray[np.int64]) -> F64:
    """Unit normals at the vertices (n, 3), each face by its area; up where there is no face.

    By numpy alone: the mesh library's own needs scipy, which nothing else here does.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    by_area = np.cross(b - a, c - a)
    corners = faces.reshape(-1)
    spread = np.repeat(by_area, 3, axis=0)
    total = np.stack(
        [np.bincount(corners, spread[:, k], minlength=len(vertices)) for k in range(3)], axis=1
    )
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return np.where(length > 0.0, total / np.maximum(length, 1e-300), [0.0, 0.0, 1.0])


def creases(vertices: F64, faces: NDArray[np.int64], smooth: F64) -> tuple[NDArray[np.int64], F64]:
    """Corners of faces at sharp edges (k,), counted face by face, and their own normals (k, 3).

    A corner's own normal is the mean over those faces round its vertex that lie within
    `CREASE_DEG` of its own face; without it the shading of a lid's edge runs all over the lid.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    by_area = np.cross(b - a, c - a)
    facing = by_area / np.maximum(np.linalg.norm(by_area, axis=1, keepdims=True), 1e-300)
    corners = faces.reshape(-1)
    face = np.arange(len(corners)) // 3
    off = np.einsum("ij,ij->i", facing[face], smooth[corners]) < np.cos(np.radians(CREASE_DEG / 2))
    at_crease = np.zeros(len(vertices), bool)
    at_crease[corners[off]] = True
    sharp = np.flatnonzero(at_crease[corners])
    sharp = sharp[np.argsort(corners[sharp], kind="stable")]
    if not len(sharp):
        return sharp, smooth[:0]

    # Pair every such corner with all corners of its vertex, itself among them.
    _, first, count = np.unique(corners[sharp], return_index=True, return_counts=True)
    runs = np.repeat(count, count)
    one = np.repeat(np.arange(len(sharp)), runs)
    step = np.arange(len(one)) - np.repeat(np.cumsum(runs) - runs, runs)
    other = np.repeat(np.repeat(first, count), runs) + step
    mine, theirs = face[sharp[one]], face[sharp[other]]
    alike = np.einsum("ij,ij->i", facing[mine], facing[theirs]) > np.cos(np.radians(CREASE_DEG))
    weight = by_area[theirs] * alike[:, None]
    own = np.stack([np.bincount(one, weight[:, k], len(sharp)) for k in range(3)], axis=1)
    length = np.linalg.norm(own, axis=1, keepdims=True)
    return sharp, np.where(length > 0.0, own / np.maximum(length, 1e-300), smooth[corners[sharp]])


def _stacked(arrays: Iterable[NDArray[Any]]) -> F32:
    return np.concatenate(list(arrays)).astype(np.float32)


def _shaded(
    piece: Piece, patterned: bool, creased: bool
) -> tuple[F64, F64, NDArray[np.int64], NDArray[np.int64] | None]:
    """Vertices, normals and faces as they are shaded, and which old vertex each new one was."""
    mesh = piece.mesh
    faces = np.asarray(mesh.faces)
    vertices = np.asarray(mesh.vertices, float)
    corners = faces.reshape(-1)
    if piece.smooth:
        smooth = smooth_normals(vertices, faces)
        sharp, own = creases(vertices, faces, smooth) if creased else (corners[:0], smooth[:0])
        if not patterned:
            if not len(sharp):
                return vertices, smooth, faces, None
            kept = np.concatenate([np.arange(len(vertices)), corners[sharp]])
            split = corners.copy()
            split[sharp] = len(vertices) + np.arange(len(sharp))
            return vertices[kept], np.concatenate([smooth, own]), split.reshape(-1, 3), kept
        normals = smooth[corners]
        normals[sharp] = own
    else:
        normals = np.repeat(np.asarray(mesh.face_normals, float), 3, axis=0)
    return vertices[corners], normals, np.arange(len(corners)).reshape(-1, 3), corners


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
    along = piece.grain if piece.grain is not None else _longest_side(piece, out)
    along = along - out * (along @ out)
    if np.linalg.norm(along) < 1e-6:
        along = np.cross(out, [0.0, 0.0, 1.0] if abs(out[2]) < 0.9 else [0.0, 1.0, 0.0])
    along = along / np.linalg.norm(along)
    return np.stack([along, np.cross(out, along), out])


def _longest_side(piece: Piece, out: F64) -> F64:
    if abs(out[2]) < 0.7:
        return np.cross([0.0, 0.0, 1.0], out)
    # The longer side of the smallest rectangle round its plan, whichever way it is turned.
    box = shapely.minimum_rotated_rectangle(shapely.multipoints(piece.mesh.vertices[:, :2]))
    corners = shapely.get_coordinates(box)
    if len(corners) < 4:
        return np.array([1.0, 0.0, 0.0])
    spans = np.diff(corners[:3], axis=0)
    longest = spans[np.linalg.norm(spans, axis=1).argmax()]
    return np.array([longest[0], longest[1], 0.0])


def _near_specular(matt: bool, material: Material) -> float:
    """One of a few values, so that few kinds of surface are made; clear glass keeps its own."""
    return 0.0 if matt else min(SPECULARS, key=lambda s: abs(s - material.specular))
