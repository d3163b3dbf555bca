"""Solids that are cut and joined exactly, in double precision, without losing watertightness."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import manifold3d
import mapbox_earcut
import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array


def swept(sections: Array, *, loop: bool = False) -> Mesh:
    """Closed mesh through `sections` (m, n, 3): one profile of n points at m stations.

    The profile is a simple polygon that keeps its order of points; the ends are capped,
    or with `loop` the last station joins the first. Faces look outward. Profile corners
    are exactly the points given, so that mitres meet without a gap.
    """
    stations, points = sections.shape[:2]
    index = np.arange(stations * points).reshape(stations, points)
    here = index if loop else index[:-1]
    ahead = np.roll(index, -1, axis=0) if loop else index[1:]
    a, b = here.ravel(), np.roll(here, -1, axis=1).ravel()
    c, d = np.roll(ahead, -1, axis=1).ravel(), ahead.ravel()
    faces = [np.column_stack([a, b, c]), np.column_stack([a, c, d])]
    if not loop:
        faces += [_cap(sections[0], index[0])[:, ::-1], _cap(sections[-1], index[-1])]
    return Mesh(sections.reshape(-1, 3), np.vstack(faces)).outward()


def _cap(section: Array, index: Array) -> Array:
    """Triangles over one section, turning with its points, flattened along its best axis."""
    normal = np.cross(section, np.roll(section, -1, axis=0)).sum(axis=0)
    axis = int(np.argmax(np.abs(normal)))
    flat = np.delete(section, axis, axis=1)
    ends = np.array([len(flat)], dtype=np.uint32)
    triangles = mapbox_earcut.triangulate_float64(flat, ends).reshape(-1, 3).astype(np.int64)
    if _turns(flat[triangles[0]]) * _turns(flat) < 0:
        triangles = triangles[:, ::-1]
    return np.asarray(index[triangles])


def _turns(points: Array) -> float:
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def prism(outline: ArrayLike, low: float, high: float) -> Mesh:
    """Upright prism over a plan polygon (n, 2), from z = `low` to z = `high`."""
    flat = np.asarray(outline, dtype=float)
    levels = [np.column_stack([flat, np.full(len(flat), z)]) for z in (low, high)]
    return swept(np.array(levels))


def box(least: ArrayLike, most: ArrayLike) -> Mesh:
    """Axis-aligned box between two corners (3,)."""
    (x0, y0, z0), (x1, y1, z1) = np.asarray(least, dtype=float), np.asarray(most, dtype=float)
    return prism([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], z0, z1)


def bevelled_box(least: ArrayLike, most: ArrayLike, bevel_m: float) -> Mesh:
    """Box whose twelve edges are cut at 45 degrees, `bevel_m` deep, so that they catch light."""
    low, high = np.asarray(least, dtype=float), np.asarray(most, dtype=float)
    points = []
    for axis in range(3):
        inset = np.full(3, bevel_m)
        inset[axis] = 0.0
        corners = np.array(np.meshgrid(*zip(low + inset, high - inset, strict=True)))
        points.append(corners.reshape(3, -1).T)
    return to_mesh(manifold3d.Manifold.hull_points(np.vstack(points)))


def to_solid(mesh: Mesh) -> manifold3d.Manifold:
    """The mesh as a solid for cutting and joining; ValueError when it is not closed."""
    # Copies, for the library takes only arrays that can be written to.
    vertices, faces = np.array(mesh.vertices), mesh.faces.astype(np.uint64)
    solid = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces))
    if solid.status() != manifold3d.Error.NoError:
        raise ValueError(f"not a closed solid: {solid.status().name}")
    return solid


def to_mesh(solid: manifold3d.Manifold) -> Mesh:
    """The solid as triangles."""
    raw = solid.to_mesh64()
    return Mesh(np.array(raw.vert_properties[:, :3]), np.array(raw.tri_verts, dtype=np.int64))


def joined(meshes: Iterable[Mesh]) -> Mesh:
    """The union of closed meshes as one, without inner faces."""
    solids = [to_solid(mesh) for mesh in meshes]
    return to_mesh(manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add))


def cut(mesh: Mesh, cutters: Sequence[Mesh]) -> Mesh:
    """`mesh` without the space of all `cutters`; may be empty."""
    if not cutters:
        return mesh
    solids = [to_solid(part) for part in (mesh, *cutters)]
    return to_mesh(manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Subtract))


def together(meshes: Sequence[Mesh]) -> Mesh:
    """Closed meshes that do not touch, side by side in one mesh."""
    offsets = np.cumsum([0] + [len(mesh.vertices) for mesh in meshes[:-1]])
    faces = [mesh.faces + offset for mesh, offset in zip(meshes, offsets, strict=True)]
    vertices = np.vstack([mesh.vertices for mesh in meshes])
    return Mesh(vertices, np.vstack(faces))
