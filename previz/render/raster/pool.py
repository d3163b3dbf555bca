"""Meshes of one kind in the memory of the graphics library. Import after a context is open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811

from previz.render.drawn import DrawnMesh
from previz.render.raster.chunks import Chunk, chunks_of, in_view
from previz.render.raster.figures import Figure
from previz.render.raster.view import View

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

POSITION, ALBEDO, LIGHT, NORMAL, THING, PLACE, SECOND = range(7)
"""Places of the attributes in all shaders."""
FACES = -1


@dataclass(frozen=True)
class Run:
    """Triangles that lie one after another and are drawn alike: the first, and how many."""

    figure: int
    one_side: bool
    first: int
    count: int

    @property
    def alike(self) -> tuple[int, bool]:
        """What it must share with others to be drawn in one go."""
        return self.figure, self.one_side


@dataclass(frozen=True, eq=False)
class Picked:
    """Triangles that were picked: runs in a list of faces, 0 for the list of all."""

    runs: list[Run]
    faces: int


class Pool:
    """Meshes that share what their vertices carry, in one set of buffers.

    What is clear has a pool of its own, for it is drawn last; what is patterned carries more.
    """

    def __init__(self) -> None:
        self.meshes: tuple[DrawnMesh, ...] = ()
        self._figures: tuple[Figure, ...] = ()
        self._array = gl.glGenVertexArrays(1)
        self._buffers: dict[int, int] = {}
        self._cut: dict[int, tuple[DrawnMesh, list[Chunk]]] = {}
        self._bounds: F32 = np.zeros((0, 2, 3), np.float32)
        self._chunks: list[Chunk] = []
        self.faces: NDArray[np.uint32] = np.zeros((0, 3), np.uint32)
        self._firsts: NDArray[np.int64] = np.zeros(1, np.int64)

    def load(self, meshes: Sequence[DrawnMesh], figures: Sequence[Figure]) -> bool:
        """Take `meshes` in, and say whether they are others than before.

        The same objects again cost nothing; else all is uploaded.

        figures  those that the meshes' patterns name
        """
        # Meshes and figures are equal only to themselves.
        if (tuple(meshes), tuple(figures)) == (self.meshes, self._figures):
            return False
        self.meshes, self._figures = tuple(meshes), tuple(figures)
        self._cut = {
            id(mesh): self._cut.get(id(mesh)) or (mesh, chunks_of(mesh)) for mesh in meshes
        }
        gl.glBindVertexArray(self._array)
        self._upload_faces()
        if not meshes:
            return True
        self._upload(POSITION, _joined(mesh.positions for mesh in meshes))
        self._upload(ALBEDO, _halves(mesh.albedo for mesh in meshes))
        self._upload(LIGHT, np.zeros((sum(len(m.positions) for m in meshes), 3), np.float32))
        self._upload(NORMAL, np.concatenate([_normal_and_thing(mesh) for mesh in meshes]))
        if meshes[0].pattern is not None:
            self._upload(PLACE, np.concatenate([_places(mesh, figures) for mesh in meshes]))
            self._upload(SECOND, _halves(m.pattern.second for m in meshes if m.pattern))
        return True

    def _upload_faces(self) -> None:
        """All chunks' triangles, sorted by what they are drawn with."""
        starts = np.cumsum([0, *(len(mesh.positions) for mesh in self.meshes)])
        placed = [
            (chunk, start)
            for mesh, start in zip(self.meshes, starts[:-1], strict=True)
            for chunk in self._cut[id(mesh)][1]
        ]
        placed.sort(key=lambda pair: pair[0].drawn_with)
        self._chunks = [chunk for chunk, _ in placed]
        self._firsts = np.cumsum([0, *(len(chunk.faces) for chunk in self._chunks)])
        self._bounds = np.array([c.bounds for c in self._chunks], np.float32).reshape(-1, 2, 3)
        faces = [chunk.faces + np.uint32(start) for chunk, start in placed]
        joined = np.concatenate([np.zeros((0, 3), np.uint32), *faces]).astype(np.uint32)
        buffer = self._buffer(FACES)
        gl.glBindBuffer(gl.GL_ELEMENT_ARRAY_BUFFER, buffer)
        gl.glBufferData(gl.GL_ELEMENT_ARRAY_BUFFER, joined.nbytes, joined, gl.GL_STATIC_DRAW)
        self.faces = joined

    def _upload(self, attribute: int, values: NDArray[Any]) -> None:
        # Arrays that were cut from others may lie column by column.
        values = np.ascontiguousarray(values)
        gl.glBindBuffer(gl.GL_ARRAY_BUFFER, self._buffer(attribute))
        use = gl.GL_DYNAMIC_DRAW if attribute == LIGHT else gl.GL_STATIC_DRAW
        gl.glBufferData(gl.GL_ARRAY_BUFFER, values.nbytes, values, use)
        gl.glEnableVertexAttribArray(attribute)
        if attribute == NORMAL:
            gl.glVertexAttribPointer(NORMAL, 3, gl.GL_SHORT, True, 8, gl.GLvoidp(0))
            gl.glEnableVertexAttribArray(THING)
            gl.glVertexAttribIPointer(THING, 1, gl.GL_UNSIGNED_SHORT, 8, gl.GLvoidp(6))
            return
        kind = gl.GL_HALF_FLOAT if values.dtype == np.float16 else gl.GL_FLOAT
        count, stride = min(values.shape[1], 3), values.strides[0]
        gl.glVertexAttribPointer(attribute, count, kind, False, stride, gl.GLvoidp(0))

    def _buffer(self, attribute: int) -> int:
        if attribute not in self._buffers:
            self._buffers[attribute] = gl.glGenBuffers(1)
        return self._buffers[attribute]

    def shine(self, light: Sequence[F32]) -> None:
        """Irradiance over pi at the vertices of each mesh, (v, 3), in the order of `meshes`."""
        if not self.meshes:
            return
        gl.glBindBuffer(gl.GL_ARRAY_BUFFER, self._buffer(LIGHT))
        start = 0
        for values, mesh in zip(light, self.meshes, strict=True):
            if values.shape != mesh.positions.shape:
                raise ValueError(f"light {values.shape} for vertices {mesh.positions.shape}")
            data = np.ascontiguousarray(values, np.float32)
            gl.glBufferSubData(gl.GL_ARRAY_BUFFER, start, data.nbytes, data)
            start += data.nbytes

    def in_view(self, view: View, name: str) -> Picked:
        """What a camera of this name may see."""
        if not self._chunks:
            return Picked([], 0)
        seen = in_view(self._bounds, view.to_clip)
        runs: list[Run] = []
        for number in np.flatnonzero(seen):
            chunk = self._chunks[number]
            if not chunk.owner or chunk.owner != name:
                _append(runs, Run(*chunk.drawn_with, int(self._firsts[number]), len(chunk.faces)))
        return Picked(runs, 0)

    def pick(self, wanted: NDArray[np.bool_]) -> Picked:
        """Some of all triangles (f,), in the same order, as a list of their own."""
        some = self.faces[wanted]
        buffer = int(gl.glGenBuffers(1))
        gl.glBindVertexArray(self._array)
        gl.glBindBuffer(gl.GL_ELEMENT_ARRAY_BUFFER, buffer)
        gl.glBufferData(gl.GL_ELEMENT_ARRAY_BUFFER, some.nbytes, some, gl.GL_STATIC_DRAW)
        counts = np.concatenate([[0], np.cumsum(wanted)])[self._firsts]
        runs: list[Run] = []
        for chunk, first, end in zip(self._chunks, counts[:-1], counts[1:], strict=True):
            if end > first:
                _append(runs, Run(*chunk.drawn_with, int(first), int(end - first)))
        return Picked(runs, buffer)

    def beside(self, wanted: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Those triangles (f,), and all that share a vertex with one of them."""
        if not len(self.faces):
            return wanted
        touched: NDArray[np.bool_] = np.zeros(int(self.faces.max()) + 1, bool)
        touched[self.faces[wanted].reshape(-1)] = True
        return np.asarray(touched[self.faces].any(axis=1))

    def draw(self, runs: Sequence[Run], faces: int = 0) -> None:
        """Draw triangles, all of one kind, with the program and the textures that are set.

        faces  list that they are from, if not from that of all
        """
        gl.glBindVertexArray(self._array)
        gl.glBindBuffer(gl.GL_ELEMENT_ARRAY_BUFFER, faces or self._buffer(FACES))
        (gl.glEnable if runs[0].one_side else gl.glDisable)(gl.GL_CULL_FACE)
        counts = np.array([3 * run.count for run in runs], np.int32)
        # Where each begins, as an address.
        firsts = np.array([12 * run.first for run in runs], np.uintp)
        gl.glMultiDrawElements(gl.GL_TRIANGLES, counts, gl.GL_UNSIGNED_INT, firsts, len(runs))


def _append(runs: list[Run], run: Run) -> None:
    """Add a run, to the last one where it goes on from there."""
    if runs:
        last = runs[-1]
        if last.alike == run.alike and last.first + last.count == run.first:
            runs[-1] = Run(*last.alike, last.first, last.count + run.count)
            return
    runs.append(run)


def alike(runs: Sequence[Run]) -> list[list[Run]]:
    """Runs in groups that are drawn alike."""
    return [list(group) for _, group in groupby(runs, key=lambda run: run.alike)]


def _joined(arrays: Any) -> F32:
    return np.concatenate(list(arrays)).astype(np.float32, copy=False)


def _halves(arrays: Any) -> NDArray[np.float16]:
    """(v, 3) as half floats, in fours for alignment."""
    values = _joined(arrays)
    halves = np.zeros((len(values), 4), np.float16)
    halves[:, :3] = values
    return halves


def _normal_and_thing(mesh: DrawnMesh) -> NDArray[np.uint16]:
    """Four whole numbers a vertex: the normal over 1/32767, and the thing."""
    packed = np.empty((len(mesh.normals), 4), np.uint16)
    packed[:, :3] = np.rint(np.clip(mesh.normals, -1, 1) * 32767).astype(np.int16).view(np.uint16)
    packed[:, 3] = mesh.thing
    return packed


def _places(mesh: DrawnMesh, figures: Sequence[Figure]) -> F32:
    """Place in the texture of the figure, (v, 2), from 0 to 1 over each of its sides."""
    assert mesh.pattern is not None
    sizes = np.array([figure.size_m for figure in figures], np.float32)
    halves = np.array([figure.half_texel for figure in figures], np.float32)
    number = mesh.pattern.number
    return np.asarray(mesh.pattern.uv / sizes[number, None] + halves[number, None], np.float32)
