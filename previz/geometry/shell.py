"""Bare triangles while a thing is being put together, and the matrices that place them.

Lengths in metres, angles in radians, Z up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array, Piece

Faces = NDArray[np.int64]
X, Y, Z = np.eye(3)


@dataclass(frozen=True, eq=False)
class Shell:
    """Bare triangles: `vertices` (n, 3) metres, `faces` (m, 3), `colour` (n, 3) or None."""

    vertices: Array
    faces: Faces
    colour: Array | None = None

    def moved(self, matrix: Array) -> Shell:
        """The shell under a 4x4 matrix; a mirroring one turns the faces so they stay outward."""
        faces = self.faces if _keeps_hand(matrix) else self.faces[:, ::-1]
        vertices = self.vertices @ matrix[:3, :3].T + matrix[:3, 3]
        return Shell(vertices, faces, self.colour)

    def shifted(self, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Shell:
        """The shell moved by metres along the axes."""
        return Shell(self.vertices + np.array([x, y, z]), self.faces, self.colour)

    def mirrored_x(self) -> Shell:
        """The shell seen in the plane x = 0."""
        return self.moved(np.diag([-1.0, 1.0, 1.0, 1.0]))

    def painted(self, colour: ArrayLike) -> Shell:
        """The shell with a linear BT.709 reflectance, (3,) or one for each vertex (n, 3)."""
        rgb = np.empty(self.vertices.shape)
        rgb[:] = colour
        return Shell(self.vertices, self.faces, rgb)


def _keeps_hand(matrix: Array) -> bool:
    return float(matrix[0, :3] @ cross(matrix[1, :3], matrix[2, :3])) > 0


def join(shells: Iterable[Shell]) -> Shell:
    """One shell of many; colours are kept when every one of them has colour."""
    parts = list(shells)
    starts = np.cumsum([0] + [len(part.vertices) for part in parts[:-1]])
    faces = [part.faces + start for part, start in zip(parts, starts, strict=True)]
    colours = [part.colour for part in parts if part.colour is not None]
    colour = np.concatenate(colours) if len(colours) == len(parts) else None
    return Shell(np.concatenate([part.vertices for part in parts]), np.concatenate(faces), colour)


def piece(
    name: str,
    shells: Shell | Iterable[Shell],
    material: str,
    *,
    smooth: bool = False,
    colour: ArrayLike | None = None,
    grain: ArrayLike | None = None,
    closed: bool = True,
) -> Piece:
    """A `Piece` of one or many shells; `colour` (3,) overrides what the shells carry."""
    shell = shells if isinstance(shells, Shell) else join(shells)
    rgb = shell.colour if colour is None else np.asarray(colour, float)
    return Piece(
        name,
        Mesh(shell.vertices, shell.faces),
        material,
        smooth=smooth,
        colour=rgb,
        grain=None if grain is None else np.asarray(grain, float),
        closed=closed,
    )


def unit(vector: ArrayLike) -> Array:
    """`vector` (..., 3) at length 1."""
    array = np.asarray(vector, float)
    return np.asarray(array / np.sqrt((array * array).sum(axis=-1, keepdims=True)), float)


def cross(a: Array, b: Array) -> Array:
    """Cross products of (..., 3) arrays; several times quicker than numpy's on short ones."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    x = ay * bz - az * by
    if x.ndim == 0:
        return np.array([x, az * bx - ax * bz, ax * by - ay * bx])
    product = np.empty((*x.shape, 3))
    product[..., 0], product[..., 1], product[..., 2] = x, az * bx - ax * bz, ax * by - ay * bx
    return product


def look_along(origin: ArrayLike, direction: ArrayLike, up: ArrayLike = (0, 0, 1)) -> Array:
    """4x4 local-to-world: local +Z along `direction`, local +Y as near to `up` as it can be.

    When the direction is parallel to `up`, +Y points along world +Y instead.
    """
    forward = unit(direction)
    right = cross(np.asarray(up, float), forward)
    if np.linalg.norm(right) < 1e-9:
        right = cross(Y, forward)
    right = unit(right)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2] = right, cross(forward, right), forward
    matrix[:3, 3] = origin
    return matrix


def shift(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Array:
    """4x4 translation."""
    matrix = np.eye(4)
    matrix[:3, 3] = (x, y, z)
    return matrix


def turn(axis: ArrayLike, angle_rad: float, about: ArrayLike = (0, 0, 0)) -> Array:
    """4x4 right-handed rotation round `axis` through the point `about`."""
    x, y, z = unit(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    matrix = np.eye(4)
    matrix[:3, :3] += np.sin(angle_rad) * cross + (1 - np.cos(angle_rad)) * cross @ cross
    point = np.asarray(about, float)
    matrix[:3, 3] = point - matrix[:3, :3] @ point
    return matrix
