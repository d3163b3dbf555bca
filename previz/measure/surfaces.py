"""Every surface of a stage as triangles that know which thing they belong to."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.stage.stage import Array, Stage

Index = NDArray[np.int64]
Points = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Part:
    """Triangles of one piece of one thing.

    number   of the thing in `Stage.object_ids`
    points   (n, 3) metres
    faces    (m, 3) indices into points
    corners  (8, 3) of the box round it
    """

    number: int
    points: Points
    faces: Index
    corners: Array


@dataclass(frozen=True, eq=False)
class Surfaces:
    """What blocks the view. Clear glass and the holes of windows are left out."""

    parts: tuple[Part, ...]

    def without(self, numbers: Set[int]) -> Surfaces:
        """The same without some things."""
        return Surfaces(tuple(part for part in self.parts if part.number not in numbers))


def gather(stage: Stage) -> Surfaces:
    """All opaque triangles of a stage, its glowing faces with them."""
    return Surfaces(tuple(_part(number, mesh) for number, mesh in _meshes(stage)))


def _part(number: int, mesh: trimesh.Trimesh) -> Part:
    points = np.asarray(mesh.vertices)
    low, high = points.min(axis=0), points.max(axis=0)
    pick = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, 8).T
    corners = np.where(pick, high, low)
    return Part(number, points.astype(np.float32), np.asarray(mesh.faces), corners)


def _meshes(stage: Stage) -> Iterator[tuple[int, trimesh.Trimesh]]:
    ids = stage.object_ids
    for thing in stage.things:
        for piece in thing.pieces:
            if len(piece.mesh.faces) and not stage.materials[piece.material].clear:
                yield ids[thing.name], piece.mesh
    for emitter in stage.emitters:
        if not emitter.window and emitter.thing in ids:
            yield ids[emitter.thing], face_mesh(emitter.shape)


def face_mesh(shape: EmitterShape) -> trimesh.Trimesh:
    """A glowing face as triangles in the world; round ones within 0.5 % of their radius."""
    if shape.kind == "rectangle":
        x, y = shape.width_m / 2.0, shape.height_m / 2.0
        corners = np.array([(-x, -y, 0.0), (x, -y, 0.0), (x, y, 0.0), (-x, y, 0.0)])
        mesh = trimesh.Trimesh(corners, [(0, 1, 2), (0, 2, 3)], process=False)
    elif shape.kind == "disc":
        turn = np.linspace(0.0, 2.0 * np.pi, 33)[:-1]
        rim = shape.radius_m * np.stack([np.cos(turn), np.sin(turn), np.zeros(32)], axis=1)
        fan = [(32, k, (k + 1) % 32) for k in range(32)]
        mesh = trimesh.Trimesh(np.vstack([rim, np.zeros(3)]), fan, process=False)
    elif shape.kind == "sphere":
        mesh = trimesh.creation.icosphere(3, shape.radius_m)
    else:
        mesh = trimesh.creation.cylinder(shape.radius_m, shape.length_m, sections=32)
        mesh.apply_transform([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
    mesh.apply_transform(shape.pose)
    return mesh
