"""Meshes that are round: turned about an axis, or balls."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.mesh import Array, Index, Mesh, unique_edges, welded

NO_AREA_M2 = 1e-8
SHORT, LONG = 0.5257311121191336, 0.85065080835204
"""Half sides of the three golden rectangles whose corners are an icosahedron's at distance 1:
the square roots of (5 - sqrt 5) / 10 and (5 + sqrt 5) / 10, to the last bit.
"""


def revolved(outline: ArrayLike, sections: int = 32) -> Mesh:
    """Points (n, 2) of radius and height turned about the z axis, outward if they go up.

    Points on the axis are one vertex each, and the ends are closed if they lie on it, or if the
    outline comes back to where it began.
    """
    line = np.asarray(outline, float)
    per = len(line)
    angle = np.linspace(0.0, 2.0 * math.pi, sections + 1)[:-1]
    round_about = np.column_stack((np.cos(angle), np.sin(angle)))
    rings = np.empty((sections, per, 3))
    rings[:, :, :2] = round_about[:, None, :] * line[None, :, :1]
    rings[:, :, 2] = line[:, 1]
    vertices = rings.reshape(-1, 3)
    below = np.arange(per - 1)[:, None]
    strip = (below + np.array([[0, per, 1, 1, per, per + 1]])).reshape(-1, 3)
    # Those that touch the axis by a side have no area.
    strip = strip[Mesh(vertices, strip % len(vertices)).area_faces > NO_AREA_M2]
    faces = strip[None] + np.arange(sections)[:, None, None] * per
    return welded(vertices, faces.reshape(-1, 3) % len(vertices))


def cylinder(radius_m: float, height_m: float, sections: int = 32) -> Mesh:
    """A closed cylinder about the z axis, its middle at the origin."""
    half = height_m / 2.0
    return revolved([(0.0, -half), (radius_m, -half), (radius_m, half), (0.0, half)], sections)


def bar(radius_m: float, ends: ArrayLike, sections: int = 32) -> Mesh:
    """A closed cylinder between two points (2, 3) that lie along the x axis from each other."""
    here, there = np.asarray(ends, float)
    way = there - here
    ahead = math.copysign(1.0, way[0])
    matrix = np.eye(4)
    matrix[:3, :3] = [(0.0, 0.0, ahead), (0.0, 1.0, 0.0), (-ahead, 0.0, 0.0)]
    matrix[:3, 3] = here + 0.5 * way
    return cylinder(radius_m, float(np.linalg.norm(way)), sections).moved(matrix)


def torus(radius_m: float, thick_m: float, sections: int, sides: int) -> Mesh:
    """A ring about the z axis: `radius_m` to the middle of its tube, whose radius is `thick_m`."""
    angle = np.linspace(0.0, 2.0 * math.pi, sides + 1)
    tube = np.column_stack((thick_m * np.cos(angle), thick_m * np.sin(angle)))
    return revolved(tube + np.array([radius_m, 0.0]), sections)


@lru_cache(maxsize=16)
def ball(subdivisions: int, radius_m: float = 1.0) -> Mesh:
    """An icosahedron about the origin, each triangle parted in four so often, made round."""
    vertices, faces = _icosahedron()
    for _ in range(subdivisions):
        edges, index = unique_edges(faces)
        middle = index + len(vertices)
        a, b, c = (faces[:, k] for k in range(3))
        ab, bc, ca = (middle[:, k] for k in range(3))
        parts = (a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca)
        faces = np.column_stack(parts).reshape(-1, 3)
        vertices = np.vstack((vertices, vertices[edges].mean(axis=1)))
        away = np.sqrt(np.dot(vertices**2, np.ones(3)))
        vertices = vertices + vertices / away[:, None] * (radius_m - away)[:, None]
    return Mesh(vertices, faces)


def _icosahedron() -> tuple[Array, Index]:
    """Twelve vertices at distance 1 and twenty faces.

    Source: Coxeter, Regular Polytopes, 3.7: the corners of three golden rectangles.
    """
    s, t = SHORT, LONG
    vertices = [
        (-s, t, 0), (s, t, 0), (-s, -t, 0), (s, -t, 0),
        (0, -s, t), (0, s, t), (0, -s, -t), (0, s, -t),
        (t, 0, -s), (t, 0, s), (-t, 0, -s), (-t, 0, s),
    ]  # fmt: skip
    faces = [
        (0, 11, 5), (0, 5, 1), (0, 1, 7), (0, 7, 10), (0, 10, 11),
        (1, 5, 9), (5, 11, 4), (11, 10, 2), (10, 7, 6), (7, 1, 8),
        (3, 9, 4), (3, 4, 2), (3, 2, 6), (3, 6, 8), (3, 8, 9),
        (4, 9, 5), (2, 4, 11), (6, 2, 10), (8, 6, 7), (9, 8, 1),
    ]  # fmt: skip
    return np.array(vertices, float), np.array(faces, np.int64)
