"""Many pieces to few meshes.

A renderer that traces a hundred small meshes takes almost twice as long as one that traces
a few large ones, so pieces that share a kind of surface become one mesh. What differs between
them (colour, pattern, roughness, metal) stands in one table, and each triangle knows its row:
a row is exact, where a value interpolated over a needle of a triangle may be anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.chart import Complexion
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.parts import Part, kept_parts
from previz.render.patterns import figure_of, two_colours
from previz.render.shading import box_map, shaded
from previz.stage.stage import Thing

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


@dataclass(frozen=True, order=True)
class Surface:
    """What pieces must share to become one mesh.

    `through` is the share of a thin sheet's scattered light that leaves on the far side;
    `painted` has colour and roughness at its vertices, which the row's multiply; `textured`
    names a patterned material, with its tint, where patterns are kept apart; `owner` is a
    camera whose gear it is.
    """

    clear: bool = False
    matt: bool = False
    specular: float = 0.5
    through: float = 0.0
    painted: bool = False
    textured: str = ""
    owner: str = ""


@dataclass(frozen=True, eq=False)
class MergedMesh:
    """One mesh for a renderer, n vertices and f triangles.

    uv            (n, 2) place in the pattern, metres, u along the grain
    rows          (f,) each triangle's row in `Merged.looks`
    paint         (n, 4) where the surface is painted: colour, and roughness; else None
    face_objects  (f,) number of the thing per triangle
    """

    surface: Surface
    vertices: F32
    normals: F32
    faces: NDArray[np.uint32]
    uv: F32
    rows: NDArray[np.uint32]
    paint: F32 | None
    face_objects: NDArray[np.uint16]


@dataclass(frozen=True, eq=False)
class Looks:
    """How surfaces look, one row a kind, r rows; row 0 is a plain grey that nothing uses.

    colour     (r, 3) reflectance, linear BT.709; of a pattern, its first colour; on what is
               painted, a factor on the paint
    second     (r, 3) a pattern's second colour, or factor
    pattern    (r,) number of the pattern in `Merged.patterns` from 1, 0: plain
    roughness  (r,) and metallic (r,), 0 to 1
    skin       (r,) whether light travels under it
    wear       (r,) how far roughness varies with the pattern's second share, 0 to 1
    """

    colour: F32
    second: F32
    pattern: NDArray[np.uint32]
    roughness: F32
    metallic: F32
    skin: NDArray[np.bool_]
    wear: F32


@dataclass(frozen=True, eq=False)
class Merged:
    """All meshes, their looks, and the materials whose figures the patterns are, from 1."""

    meshes: tuple[MergedMesh, ...]
    looks: Looks
    patterns: tuple[Material, ...]


HAIR = "hair"
SKIN = "skin"
"""The one material of the catalogue whose pattern lies over colours that are painted on; so does
every pattern that has its own place at the vertices."""
HANDLED = "handled"
"""The pattern that shows in what is mirrored alone: not worth a mesh of its own."""
MATT_ROUGHNESS = 0.9
SPECULARS = (0.35, 0.5)
"""Levels of specular reflectance that surfaces are sorted into: each costs a mesh of its own.
0.35 is an index of refraction of 1.4, skin and cloth; 0.5 is 1.5, varnish and plastic."""
NEEDLE_M = 2e-5
"""Painted triangles less high than this are left out: single precision cannot tell where in
them a point lies, and no pixel shows them."""


class Merger:
    """Sorts pieces by surface. `apart` gives every pattern a mesh of its own."""

    def __init__(self, materials: Mapping[str, Material], apart: bool) -> None:
        self._materials = materials
        self._apart = apart
        self._numbers: dict[tuple[str, float | None, float], int] = {}
        self._patterns: list[Material] = []
        self._rows: dict[tuple[float, ...], int] = {}

    def merge(self, things: Iterable[Thing], object_ids: Mapping[str, int]) -> Merged:
        """All pieces of all things as few meshes, in a repeatable order.

        Where there are strands, the mesh that stands in for them is left out.
        """
        self._row(np.full(3, 0.5), np.zeros(3), 0, 1.0, 0.0, 0.0)
        groups: dict[Surface, list[_Member]] = {}
        for thing in things:
            pieces = [piece for piece in thing.pieces if is_drawn(piece, thing)]
            parts = kept_parts(thing, pieces, self._materials, self._apart, self._spread)
            for piece, part in zip(pieces, parts, strict=True):
                member = _Member(piece, part, object_ids[thing.name])
                groups.setdefault(self.surface_of(piece, thing.owner), []).append(member)
        meshes = tuple(self._join(surface, groups[surface]) for surface in sorted(groups))
        return Merged(meshes, self._looks(), tuple(self._patterns))

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
            painted=is_painted(piece),
            textured=self._name(piece) if self._apart and self._patterned(piece) else "",
            owner=owner or "",
        )

    def _patterned(self, piece: Piece) -> bool:
        if self._apart and self._materials[piece.material].pattern == HANDLED:
            return False
        plain = piece.colour is None or piece.colour.ndim == 1
        over_paint = piece.material == SKIN or piece.uv is not None
        plain = plain or (over_paint and not self._apart)
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

    def _row(self, colour: F64, second: F64, pattern: int, *shine: float) -> int:
        """`shine` is roughness, metal and wear."""
        key = (*colour.tolist(), *second.tolist(), pattern, *shine)
        return self._rows.setdefault(key, len(self._rows))

    def _looks(self) -> Looks:
        rows = np.array(list(self._rows), np.float64)
        return Looks(
            colour=rows[:, 0:3].astype(np.float32),
            second=rows[:, 3:6].astype(np.float32),
            pattern=rows[:, 6].astype(np.uint32),
            roughness=rows[:, 7].astype(np.float32),
            metallic=rows[:, 8].astype(np.float32),
            skin=np.array([False, *map(_is_face, self._patterns)])[rows[:, 6].astype(int)],
            wear=rows[:, 9].astype(np.float32),
        )

    def _join(self, surface: Surface, members: list[_Member]) -> MergedMesh:
        parts = [member.part for member in members]
        counts = [len(part.faces) for part in parts]
        starts = np.cumsum([0] + [len(part.vertices) for part in parts[:-1]])
        faces = [part.faces + start for part, start in zip(parts, starts, strict=True)]
        objects = np.repeat([member.number for member in members], counts)
        rows = np.repeat([self._row_of(member.piece) for member in members], counts)
        return MergedMesh(
            surface=surface,
            vertices=_stacked(part.vertices for part in parts),
            normals=_stacked(part.normals for part in parts),
            uv=_stacked(part.uv for part in parts),
            faces=np.concatenate(faces).astype(np.uint32),
            rows=rows.astype(np.uint32),
            paint=_stacked(part.paint for part in parts) if surface.painted else None,
            face_objects=objects.astype(np.uint16),
        )

    def _spread(self, piece: Piece, creased: bool) -> Part:
        """One piece with everything its vertices carry.

        Flat pieces and patterned ones get three vertices of their own per triangle; `creased`
        ones keep their sharp edges sharp.
        """
        patterned = self._patterned(piece)
        vertices, normals, faces, corners = shaded(piece, patterned, creased)
        paint = None
        if is_painted(piece):
            paint = self._paint(piece)
            paint = paint if corners is None else paint[corners]
            faces = faces[_height_m(vertices, faces) > NEEDLE_M]
        uv = np.zeros((len(vertices), 2))
        if patterned:
            uv = box_map(piece, vertices) if piece.uv is None else self._own_places(piece)
        return Part.of(vertices, normals, uv, paint, faces)

    def _own_places(self, piece: Piece) -> F64:
        """A piece's own places in its pattern at each corner of its triangles (3 f, 2).

        A chart of a head goes round it: there a triangle across the seam is made whole.
        """
        assert piece.uv is not None
        corners = piece.uv[np.asarray(piece.mesh.faces)]
        if Complexion.names(piece.material):
            side_m = figure_of(self._materials[piece.material]).size_m
            lag = corners.max(axis=1, keepdims=True) - corners > 0.5 * side_m
            corners = corners + side_m * lag
        return np.asarray(corners.reshape(-1, 2))

    def _paint(self, piece: Piece) -> F64:
        """Colour and roughness at a painted piece's own vertices, (n, 4).

        A sheet's colour is all the light it scatters, to both sides.
        """
        material = self._materials[piece.material]
        own = material.reflectance if piece.colour is None else piece.colour
        paint = np.empty((len(piece.mesh.vertices), 4))
        paint[:, :3] = np.asarray(own, float) + material.diffuse_transmittance
        paint[:, 3] = material.roughness if piece.roughness is None else piece.roughness
        return paint

    def _row_of(self, piece: Piece) -> int:
        """Row of a piece's look."""
        material = self._materials[piece.material]
        number = self._number(material) if self._patterned(piece) else 0
        first, second = self._colours(piece, number > 0)
        wear = material.wear if number else 0.0
        return self._row(first, second, number, material.roughness, material.metallic, wear)

    def _colours(self, piece: Piece, patterned: bool) -> tuple[F64, F64]:
        """First and second colour (3,) of a piece; of a painted one, factors on its paint."""
        material = self._materials[piece.material]
        if is_painted(piece):
            if not patterned:
                return np.ones(3), np.zeros(3)
            # What the pattern does to the material's own colour it does to every painted one.
            one, two = two_colours(material)
            base = np.asarray(material.reflectance, float)
            return one / base, two / base
        own = material.reflectance if piece.colour is None else piece.colour
        colour = np.asarray(own, float) + material.diffuse_transmittance
        if not patterned:
            return colour, np.zeros(3)
        return two_colours(material, tuple(float(c) for c in colour))


@dataclass(frozen=True, eq=False)
class _Member:
    """A piece on its way into a mesh."""

    piece: Piece
    part: Part
    number: int


def is_drawn(piece: Piece, thing: Thing) -> bool:
    """Whether a piece has triangles, and they do not stand in for strands that are there."""
    return len(piece.mesh.faces) > 0 and not (thing.strands is not None and piece.name == HAIR)


def _is_face(material: Material) -> bool:
    return Complexion.names(material.pattern)


def is_painted(piece: Piece) -> bool:
    """Whether a piece's look differs from vertex to vertex."""
    return piece.roughness is not None or (piece.colour is not None and piece.colour.ndim == 2)


def _height_m(vertices: F64, faces: NDArray[np.int64]) -> F64:
    """Least height (f,) of each triangle."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    twice_area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    longest = np.sqrt(np.max([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], 0))
    return np.asarray(twice_area / np.maximum(longest, 1e-30))


def _stacked(arrays: Iterable[NDArray[Any] | None]) -> F32:
    return np.concatenate([a for a in arrays if a is not None]).astype(np.float32)


def _near_specular(matt: bool, material: Material) -> float:
    """One of a few values, so that few kinds of surface are made; clear glass keeps its own."""
    return 0.0 if matt else min(SPECULARS, key=lambda s: abs(s - material.specular))
