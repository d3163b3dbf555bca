"""All surfaces of a stage as one net of triangles, with what their vertices carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.merge import Looks, Merged, MergedMesh

F32 = NDArray[np.float32]
Ints = NDArray[np.int64]

SAME_M = 2e-4
"""Vertices nearer than this are in one place."""
NEAR_M, PERSONS_NEAR_M, HAIRS_NEAR_M = 0.010, 0.004, 0.012
"""Vertices about as near as this, facing about the same way, have the same light, on the set, on
people and in their hair: brows and the bevels of books need no reading of their own."""
PLACE, FACING, FIRST, UV, SECOND = (
    slice(0, 3), slice(3, 6), slice(6, 9), slice(9, 11), slice(11, 14),
)  # fmt: skip
WIDTH = 14


@dataclass(frozen=True)
class Kind:
    """What all triangles of one drawn mesh share.

    thing    number of the thing
    owner    camera whose own gear it is, or ""
    through  of a thin sheet, the share of scattered light that leaves on the far side
    hair     ribbons that stand for strands
    """

    thing: int
    owner: str
    through: float
    clear: bool
    patterned: bool
    hair: bool = False


@dataclass(frozen=True, eq=False)
class Net:
    """Triangles, v vertices and f faces.

    carried   (v, 14) place, facing, first colour, place in a pattern, second colour
    faces     (f, 3)
    kinds     (f,) place in `table`
    patterns  (f,) place of the face's pattern in `materials`, where its kind is patterned
    opened    (f,) how openly a face lies, 0 to 1: what lies hidden in a joint counts little for the
              light of what is seen beside it
    """

    carried: F32
    faces: Ints
    kinds: NDArray[np.int32]
    patterns: NDArray[np.int32]
    table: tuple[Kind, ...]
    materials: tuple[Material, ...]
    opened: F32

    @property
    def places(self) -> F32:
        """Where vertices are, (v, 3)."""
        return self.carried[:, PLACE]

    @property
    def facings(self) -> F32:
        """Which way they face, (v, 3)."""
        return self.carried[:, FACING]

    def only(self, faces: NDArray[np.bool_]) -> Net:
        """The net of some of its faces (f,), with the vertices they need."""
        used, corners = needed(self.faces[faces], len(self.carried))
        return replace(
            self,
            carried=self.carried[used],
            faces=corners,
            kinds=self.kinds[faces],
            patterns=self.patterns[faces],
            opened=self.opened[faces],
        )

    def beside(self, other: Net) -> Net:
        """This net and another with the same table, which come after it."""
        return replace(
            self,
            carried=np.concatenate([self.carried, other.carried]),
            faces=np.concatenate([self.faces, other.faces + len(self.carried)]),
            kinds=np.concatenate([self.kinds, other.kinds]),
            patterns=np.concatenate([self.patterns, other.patterns]),
            opened=np.concatenate([self.opened, other.opened]),
        )

    def with_faces(self, carried: F32, faces: Ints, parents: Ints) -> Net:
        """Other triangles in place of these; each is part of one of them, its parent."""
        return replace(
            self,
            carried=carried,
            faces=faces,
            kinds=self.kinds[parents],
            patterns=self.patterns[parents],
            opened=self.opened[parents],
        )


def net_of(merged: Merged, more: Sequence[Net] = ()) -> Net:
    """The net of all meshes, and `more` nets; of a thin sheet both sides are there."""
    parts = [part for mesh in merged.meshes for part in _sides(mesh, merged.looks)]
    parts += more
    kinds = sorted({kind for part in parts for kind in part.table}, key=repr)
    number = {kind: place for place, kind in enumerate(kinds)}
    starts = np.cumsum([0] + [len(part.carried) for part in parts[:-1]])
    of = [np.array([number[kind] for kind in p.table], np.int32)[p.kinds] for p in parts]
    return Net(
        carried=np.concatenate([part.carried for part in parts]),
        faces=np.concatenate([p.faces + s for p, s in zip(parts, starts, strict=True)]),
        kinds=np.concatenate(of),
        patterns=np.concatenate([part.patterns for part in parts]),
        table=tuple(kinds),
        materials=merged.patterns,
        opened=np.concatenate([part.opened for part in parts]),
    )


def needed(faces: Ints, count: int) -> tuple[Ints, Ints]:
    """Which of `count` vertices some faces need, rising, and the faces by place among these."""
    wanted = np.zeros(count, bool)
    wanted[faces.reshape(-1)] = True
    place = np.cumsum(wanted) - 1
    return np.flatnonzero(wanted), place[faces]


def _sides(mesh: MergedMesh, looks: Looks) -> list[Net]:
    front = _front(mesh, looks)
    if not mesh.surface.through:
        return [front]
    back = front.carried.copy()
    back[:, FACING] *= -1.0
    return [front, replace(front, carried=back, faces=front.faces[:, ::-1])]


def _front(mesh: MergedMesh, looks: Looks) -> Net:
    faces, first, second = _with_colours(mesh, looks)
    corners = faces.reshape(-1)
    # Each vertex belongs to triangles of one row: where it does not, it was given one for each.
    carried = np.zeros((int(corners.max(initial=-1)) + 1, WIDTH), np.float32)
    old = np.asarray(mesh.faces, np.int64).reshape(-1)
    carried[corners, PLACE] = mesh.vertices[old]
    carried[corners, FACING] = mesh.normals[old]
    carried[corners, UV] = mesh.uv[old]
    carried[corners, FIRST], carried[corners, SECOND] = first, second
    pattern = looks.pattern[mesh.rows].astype(np.int32)
    surface = mesh.surface
    choices = np.stack([mesh.face_objects.astype(np.int64), pattern > 0], axis=1)
    unlike, kinds = np.unique(choices, axis=0, return_inverse=True)
    table = tuple(
        Kind(int(thing), surface.owner, surface.through, surface.clear, bool(patterned))
        for thing, patterned in unlike
    )
    opened = np.ones(len(faces), np.float32)
    return Net(carried, faces, kinds.reshape(-1).astype(np.int32), pattern - 1, table, (), opened)


def _with_colours(mesh: MergedMesh, looks: Looks) -> tuple[Ints, F32, F32]:
    """Faces whose vertices have one row each, and both colours at every corner."""
    rows = np.repeat(mesh.rows.astype(np.int64), 3)
    old = np.asarray(mesh.faces, np.int64).reshape(-1)
    _, corners = np.unique(old * len(looks.pattern) + rows, return_inverse=True)
    first, second = looks.colour[rows], looks.second[rows]
    if mesh.paint is not None:
        paint = mesh.paint[old, :3]
        first, second = first * paint, second * paint
    return corners.reshape(-1, 3), first, second


def grouped(net: Net, persons: NDArray[np.bool_]) -> tuple[Ints, int]:
    """Receptor of each vertex (v,), and how many there are.

    Vertices of one kind that are near each other and face about the same way share one. `persons`
    (kinds,) says which kinds are people's.
    """
    kind = np.zeros(len(net.carried), np.int64)
    kind[net.faces.reshape(-1)] = np.repeat(net.kinds.astype(np.int64), 3)
    hair = np.array([kind.hair for kind in net.table])
    near = np.where(hair, HAIRS_NEAR_M, np.where(persons, PERSONS_NEAR_M, NEAR_M))[kind]
    cell = np.round(net.places / near[:, None]).astype(np.int64)
    way = np.round(net.facings * 1.4).astype(np.int64)
    return _numbered(np.concatenate([kind[:, None], cell, way], axis=1))


def joints(net: Net) -> Ints:
    """Number of each vertex's place in space (v,), whichever way it faces."""
    cell = np.round(net.places.astype(float) / SAME_M).astype(np.int64)
    return _numbered(cell)[0]


def _numbered(rows: Ints) -> tuple[Ints, int]:
    """Number of each unlike row."""
    mixed = np.zeros(len(rows), np.uint64)
    for column in range(rows.shape[1]):
        mixed = (mixed ^ rows[:, column].astype(np.uint64)) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    unlike, number = np.unique(mixed, return_inverse=True)
    return number.astype(np.int64), len(unlike)


def areas_m2(net: Net) -> NDArray[np.float64]:
    """Area of each face, (f,)."""
    a, b, c = (net.places[net.faces[:, k]].astype(float) for k in range(3))
    return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2.0)
