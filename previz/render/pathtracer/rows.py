"""Which row of the table of looks a triangle has. Import after a compiled variant is set.

The row is gathered by the triangle's number and never interpolated: it cannot be anything but
a row. Interpolated over a needle of a triangle it could be anything, and did crash.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.render.merge import Looks, MergedMesh
from previz.render.pathtracer.loading import aligned


class Rows:
    """Rows of all meshes of a stage, and the table that they point into."""

    def __init__(self, looks: Looks) -> None:
        self.pattern = mi.UInt32(aligned(looks.pattern, np.uint32))
        self._colour = mi.Float(aligned(looks.colour, np.float32))
        self._second = mi.Float(aligned(looks.second, np.float32))
        self._roughness = mi.Float(aligned(looks.roughness, np.float32))
        self._metallic = mi.Float(aligned(looks.metallic, np.float32))
        self._wear = mi.Float(aligned(looks.wear, np.float32))
        self._rows: Any = mi.UInt32(0)
        self._start: Any = mi.UInt32(0)
        self._mesh: Any = mi.Bool(False)
        self._skin = looks.skin
        self._bend: Any = mi.Float(0.0)

    def place(self, meshes: Iterable[tuple[MergedMesh, Any]], others: Iterable[Any]) -> None:
        """Take the triangles of loaded `meshes` in; `others` are shapes without rows."""
        placed = [(mesh, number_of(shape)) for mesh, shape in meshes]
        size = 1 + max([0, *(n for _, n in placed), *(number_of(shape) for shape in others)])
        start, is_mesh = np.zeros(size, np.uint32), np.zeros(size, bool)
        rows, total = [np.zeros(1, np.uint32)], 1
        bends = [np.zeros(1, np.float32)]
        for mesh, number in placed:
            start[number], is_mesh[number] = total, True
            rows.append(mesh.rows)
            skin = self._skin[mesh.rows]
            bends.append(np.where(skin, bends_of(mesh) if skin.any() else 0.0, 0.0))
            total += len(mesh.rows)
        self._rows = mi.UInt32(aligned(np.concatenate(rows), np.uint32))
        self._bend = mi.Float(aligned(np.concatenate(bends), np.float32))
        self._start = mi.UInt32(aligned(start, np.uint32))
        self._mesh = mi.Bool(aligned(is_mesh, np.bool_))

    def at(self, si: Any, active: Any) -> Any:
        """Row at a surface point; 0 on what has none."""
        triangle, on_mesh = self._triangle(si, active)
        return dr.gather(mi.UInt32, self._rows, triangle, on_mesh)

    def bend(self, si: Any, active: Any) -> Any:
        """How much skin bends at a surface point, 1/m; 0 on what is no skin."""
        triangle, on_mesh = self._triangle(si, active)
        return dr.gather(mi.Float, self._bend, triangle, on_mesh)

    def _triangle(self, si: Any, active: Any) -> tuple[Any, Any]:
        """Number of the triangle among all, and where there is one."""
        number = dr.reinterpret_array(mi.UInt32, si.shape)
        start = dr.gather(mi.UInt32, self._start, number, active)
        on_mesh = active & dr.gather(mi.Bool, self._mesh, number, active)
        return start + si.prim_index, on_mesh

    def colours(self, row: Any, active: Any) -> tuple[Any, Any]:
        """First and second colour of a row."""
        first = dr.gather(mi.Color3f, self._colour, row, active)
        return first, dr.gather(mi.Color3f, self._second, row, active)

    def roughness(self, row: Any, active: Any) -> Any:
        """Roughness of a row."""
        return dr.gather(mi.Float, self._roughness, row, active)

    def wear(self, row: Any, active: Any) -> Any:
        """How far a row's roughness varies with its pattern, 0 to 1."""
        return dr.gather(mi.Float, self._wear, row, active)

    def metallic(self, row: Any, active: Any) -> Any:
        """Metal of a row, 0 to 1."""
        return dr.gather(mi.Float, self._metallic, row, active)


LEAST_PER_M, MOST_PER_M = 5.0, 120.0
"""Skin bends between these: its mesh is too coarse to tell more."""


def bends_of(mesh: MergedMesh) -> NDArray[np.float32]:
    """How much each triangle of a mesh bends outwards (f,), 1/m, by its corners' normals."""
    places, facings = mesh.vertices[mesh.faces], mesh.normals[mesh.faces]
    along, turned = (a - np.roll(a, 1, axis=1) for a in (places, facings))
    length = np.maximum((along * along).sum(axis=(1, 2)), 1e-12)
    bend = (along * turned).sum(axis=(1, 2)) / length
    return np.asarray(np.clip(bend, LEAST_PER_M, MOST_PER_M), np.float32)


def number_of(shape: Any) -> int:
    """A shape's number in the renderer's registry, which is what a hit gives."""
    return int(dr.reinterpret_array(mi.UInt32, mi.ShapePtr(shape))[0])
