"""The emitting faces of lights as triangles, for whoever draws them or hands them on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

ROUND = 96
"""Sides of what is round: its edge is then off by less than 0.06 % of its radius."""


def face_of(shape: EmitterShape) -> F32:
    """Corners of the triangles of an emitting surface, (3 n, 6): place and normal in the world.

    They go round counter-clockwise seen from where the light goes. A cylinder has no ends.
    """
    if shape.kind == "rectangle":
        x, y = shape.width_m / 2.0, shape.height_m / 2.0
        grid = np.array([[[-x, -y, 0.0], [x, -y, 0.0]], [[-x, y, 0.0], [x, y, 0.0]]])
        local, normal = _quads(grid, np.broadcast_to([0.0, 0.0, 1.0], grid.shape))
    else:
        local, normal = _quads(*_round(shape))
    pose = np.asarray(shape.pose, float)
    turned = pose[:3, :3].T
    corners = np.concatenate([local @ turned + pose[:3, 3], normal @ turned], axis=1)
    return np.asarray(corners, np.float32)


def _round(shape: EmitterShape) -> tuple[F64, F64]:
    """Rings of points round the axis, and their normals, in the shape's own axes."""
    angle = np.linspace(0.0, 2.0 * math.pi, ROUND + 1)
    ring = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=-1)
    up = np.array([0.0, 0.0, 1.0])
    if shape.kind == "disc":
        rings = np.stack([ring * shape.radius_m, ring * 0.0])
        return rings, np.broadcast_to(up, rings.shape)
    if shape.kind == "cylinder":
        # Round local Y: X, Y, Z of the ring become Z, X, Y.
        side = ring[:, [1, 2, 0]]
        ends = np.array([[0.0, -1.0, 0.0], [0.0, 1.0, 0.0]]) * shape.length_m / 2.0
        return side * shape.radius_m + ends[:, None], np.stack([side, side])
    tilt = np.linspace(-math.pi / 2.0, math.pi / 2.0, ROUND // 2 + 1)[:, None, None]
    normals = np.cos(tilt) * ring + np.sin(tilt) * up
    return normals * shape.radius_m, normals


def _quads(points: F64, normals: F64) -> tuple[F64, F64]:
    """Two triangles for each mesh of a net of points (rows, columns, 3): (3 n, 3) and normals."""

    def corners(net: F64) -> F64:
        a, b, c, d = net[:-1, :-1], net[:-1, 1:], net[1:, 1:], net[1:, :-1]
        return np.stack([a, b, c, a, c, d], axis=2).reshape(-1, 3)

    return corners(points), corners(np.asarray(normals, float))
