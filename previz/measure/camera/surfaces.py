"""Every surface of a stage as triangles that know which thing they belong to."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.mesh import Mesh
from previz.geometry.people.figure import Strands
from previz.geometry.turned import ball, cylinder
from previz.memory import remembered
from previz.stage.stage import Array, Stage

Index = NDArray[np.int64]
Points = NDArray[np.float32]
HAIR = "hair"
THINNER = 8


@dataclass(frozen=True, eq=False)
class OccluderPart:
    """Triangles of one piece of one thing.

    number   of the thing in `Stage.object_ids`
    points   (3, n) metres: by axis, for many times the speed
    faces    (3, m) indices into points: the first of all triangles, the second, the third
    corners  (8, 3) of the box round it
    """

    number: int
    points: Points
    faces: Index
    corners: Array


@dataclass(frozen=True, eq=False)
class Hair:
    """Strands of one head as straight pieces of thin rod.

    number   of the person in `Stage.object_ids`
    ends     (2, 3, n) metres
    radius   (2, n) metres
    corners  (8, 3) of the box round it
    """

    number: int
    ends: Points
    radius: Points
    corners: Array


@dataclass(frozen=True, eq=False)
class Occluders:
    """What blocks the view. Clear glass and the holes of windows are left out."""

    parts: tuple[OccluderPart, ...]
    hair: tuple[Hair, ...] = ()

    def thinned(self) -> Occluders:
        """The same with an eighth of the hair, eight times as thick: as good from afar."""
        hair = tuple(
            Hair(h.number, h.ends[:, :, ::THINNER], h.radius[:, ::THINNER] * THINNER, h.corners)
            for h in self.hair
        )
        return Occluders(self.parts, hair)

    def only(self, number: int) -> Occluders:
        """Those of one thing."""
        return Occluders(
            tuple(part for part in self.parts if part.number == number),
            tuple(hair for hair in self.hair if hair.number == number),
        )

    def without(self, numbers: Set[int]) -> Occluders:
        """The same without some things."""
        return Occluders(
            tuple(part for part in self.parts if part.number not in numbers),
            tuple(hair for hair in self.hair if hair.number not in numbers),
        )


def gather(stage: Stage) -> Occluders:
    """All opaque triangles of a stage, its emitting faces with them, and all hair."""
    hair = tuple(
        _hair_once(stage.object_ids[thing.name], thing.strands)
        for thing in stage.things
        if thing.strands is not None and len(thing.strands.points)
    )
    return Occluders(tuple(_part_once(number, mesh) for number, mesh in _meshes(stage)), hair)


def _hair_once(number: int, strands: Strands) -> Hair:
    return remembered(("hair", number, strands), lambda: _hair(number, strands))


def _part_once(number: int, mesh: Mesh) -> OccluderPart:
    return remembered(("part", number, mesh), lambda: _part(number, mesh))


def _hair(number: int, strands: Strands) -> Hair:
    """Points of the cubic B-splines at their knots and half-way between, which render as hair.

    At its ends a strand goes on straight by one more control point, so that it reaches them.
    """
    inner = np.concatenate([np.moveaxis(strands.points, 2, 0), strands.radius_m[None]])
    first = 2.0 * inner[..., :1] - inner[..., 1:2]
    last = 2.0 * inner[..., -1:] - inner[..., -2:-1]
    control = np.concatenate([first, inner, last], axis=2).astype(np.float32)
    knots = (control[..., :-2] + 4.0 * control[..., 1:-1] + control[..., 2:]) / 6.0
    halves = (control[..., :-3] + 23.0 * control[..., 1:-2] + 23.0 * control[..., 2:-1]
              + control[..., 3:]) / 48.0  # fmt: skip
    curve = np.empty((*knots.shape[:2], knots.shape[2] + halves.shape[2]), np.float32)
    curve[..., 0::2], curve[..., 1::2] = knots, halves
    ends = np.stack([part.reshape(4, -1) for part in (curve[..., :-1], curve[..., 1:])])
    return Hair(number, ends[:, :3], ends[:, 3], _box(curve[:3].reshape(3, -1)))


def _part(number: int, mesh: Mesh) -> OccluderPart:
    points = np.ascontiguousarray(mesh.vertices.T)
    faces = np.ascontiguousarray(mesh.faces.T)
    return OccluderPart(number, points.astype(np.float32), faces, _box(points))


def _box(points: NDArray[np.floating]) -> Array:
    """Corners (8, 3) of the box round points (3, n)."""
    low, high = points.min(axis=1), points.max(axis=1)
    pick = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, 8).T
    return np.asarray(np.where(pick, high, low), float)


def _meshes(stage: Stage) -> Iterator[tuple[int, Mesh]]:
    ids = stage.object_ids
    for thing in stage.things:
        for piece in thing.pieces:
            if thing.strands is not None and piece.name == HAIR:
                continue  # it stands in for the strands where there are none
            if len(piece.mesh.faces) and not stage.materials[piece.material].clear:
                yield ids[thing.name], piece.mesh
    for emitter in stage.emitters:
        if not emitter.window and emitter.thing in ids:
            yield ids[emitter.thing], _face_once(emitter.shape)


def _face_once(shape: EmitterShape) -> Mesh:
    measures = (shape.width_m, shape.height_m, shape.radius_m, shape.length_m)
    key = ("face", shape.kind, shape.pose.tobytes(), *measures)
    return remembered(key, lambda: face_mesh(shape))


def face_mesh(shape: EmitterShape) -> Mesh:
    """An emitting face as triangles in the world; round ones within 0.5 % of their radius."""
    if shape.kind == "rectangle":
        x, y = shape.width_m / 2.0, shape.height_m / 2.0
        corners = np.array([(-x, -y, 0.0), (x, -y, 0.0), (x, y, 0.0), (-x, y, 0.0)])
        mesh = Mesh(corners, [(0, 1, 2), (0, 2, 3)])
    elif shape.kind == "disc":
        turn = np.linspace(0.0, 2.0 * np.pi, 33)[:-1]
        rim = shape.radius_m * np.stack([np.cos(turn), np.sin(turn), np.zeros(32)], axis=1)
        fan = [(32, k, (k + 1) % 32) for k in range(32)]
        mesh = Mesh(np.vstack([rim, np.zeros(3)]), fan)
    elif shape.kind == "sphere":
        mesh = ball(3, shape.radius_m)
    else:
        mesh = cylinder(shape.radius_m, shape.length_m)
        mesh = mesh.moved([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
    return mesh.moved(shape.pose)
