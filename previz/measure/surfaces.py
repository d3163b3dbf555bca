"""Every surface of a stage as one heap of triangles that know which thing they belong to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.stage.stage import Array, Stage

Index = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Surfaces:
    """What blocks the view. Clear glass and the holes of windows are left out.

    points  (n, 3) metres
    faces   (m, 3) indices into points
    things  (m,) `Stage.object_ids` of each triangle
    """

    points: Array
    faces: Index
    things: Index

    def without(self, numbers: set[int]) -> Surfaces:
        """The same without the triangles of some things."""
        keep = ~np.isin(self.things, list(numbers))
        return Surfaces(self.points, self.faces[keep], self.things[keep])


def gather(stage: Stage) -> Surfaces:
    """All opaque triangles of a stage, its glowing faces with them."""
    points: list[Array] = []
    faces: list[Index] = []
    things: list[Index] = []
    start = 0
    for number, mesh in _meshes(stage):
        points.append(np.asarray(mesh.vertices, float))
        faces.append(np.asarray(mesh.faces, np.int32) + np.int32(start))
        things.append(np.full(len(mesh.faces), number, np.int32))
        start += len(mesh.vertices)
    if not points:
        empty = np.zeros((0, 3))
        return Surfaces(empty, empty.astype(np.int32), np.zeros(0, np.int32))
    return Surfaces(np.concatenate(points), np.concatenate(faces), np.concatenate(things))


def _meshes(stage: Stage) -> Iterator[tuple[int, trimesh.Trimesh]]:
    ids = stage.object_ids
    for thing in stage.things:
        for piece in thing.pieces:
            if not stage.materials[piece.material].clear:
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
