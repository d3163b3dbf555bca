"""How a piece is shaded: normals that keep sharp edges, and places in its pattern."""

from __future__ import annotations

import zlib

import numpy as np
import shapely
from numpy.typing import NDArray

from previz.geometry.piece import Piece

F64 = NDArray[np.float64]

CREASE_DEG = 50.0
"""Faces that meet at more than this keep an edge between them, smooth though the piece is."""


def smooth_normals(vertices: F64, faces: NDArray[np.int64]) -> F64:
    """Unit normals at the vertices (n, 3), each face by its area; up where there is no face.

    By numpy alone: the mesh library's own needs scipy, which nothing else here does.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    by_area = np.cross(b - a, c - a)
    corners = faces.reshape(-1)
    spread = np.repeat(by_area, 3, axis=0)
    total = np.stack(
        [np.bincount(corners, spread[:, k], minlength=len(vertices)) for k in range(3)], axis=1
    )
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return np.where(length > 0.0, total / np.maximum(length, 1e-300), [0.0, 0.0, 1.0])


def creases(vertices: F64, faces: NDArray[np.int64], smooth: F64) -> tuple[NDArray[np.int64], F64]:
    """Corners of faces at sharp edges (k,), counted face by face, and their own normals (k, 3).

    A corner's own normal is the mean over those faces round its vertex that lie within
    `CREASE_DEG` of its own face; without it the shading of a lid's edge runs all over the lid.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    by_area = np.cross(b - a, c - a)
    facing = by_area / np.maximum(np.linalg.norm(by_area, axis=1, keepdims=True), 1e-300)
    corners = faces.reshape(-1)
    face = np.arange(len(corners)) // 3
    off = np.einsum("ij,ij->i", facing[face], smooth[corners]) < np.cos(np.radians(CREASE_DEG / 2))
    at_crease = np.zeros(len(vertices), bool)
    at_crease[corners[off]] = True
    sharp = np.flatnonzero(at_crease[corners])
    sharp = sharp[np.argsort(corners[sharp], kind="stable")]
    if not len(sharp):
        return sharp, smooth[:0]

    # Pair every such corner with all corners of its vertex, itself among them.
    _, first, count = np.unique(corners[sharp], return_index=True, return_counts=True)
    runs = np.repeat(count, count)
    one = np.repeat(np.arange(len(sharp)), runs)
    step = np.arange(len(one)) - np.repeat(np.cumsum(runs) - runs, runs)
    other = np.repeat(np.repeat(first, count), runs) + step
    mine, theirs = face[sharp[one]], face[sharp[other]]
    alike = np.einsum("ij,ij->i", facing[mine], facing[theirs]) > np.cos(np.radians(CREASE_DEG))
    weight = by_area[theirs] * alike[:, None]
    own = np.stack([np.bincount(one, weight[:, k], len(sharp)) for k in range(3)], axis=1)
    length = np.linalg.norm(own, axis=1, keepdims=True)
    return sharp, np.where(length > 0.0, own / np.maximum(length, 1e-300), smooth[corners[sharp]])


def shaded(
    piece: Piece, patterned: bool, creased: bool
) -> tuple[F64, F64, NDArray[np.int64], NDArray[np.int64] | None]:
    """Vertices, normals and faces as they are shaded, and which old vertex each new one was."""
    mesh = piece.mesh
    faces = np.asarray(mesh.faces)
    vertices = np.asarray(mesh.vertices, float)
    corners = faces.reshape(-1)
    if piece.smooth:
        smooth = smooth_normals(vertices, faces)
        sharp, own = creases(vertices, faces, smooth) if creased else (corners[:0], smooth[:0])
        if not patterned:
            if not len(sharp):
                return vertices, smooth, faces, None
            kept = np.concatenate([np.arange(len(vertices)), corners[sharp]])
            split = corners.copy()
            split[sharp] = len(vertices) + np.arange(len(sharp))
            return vertices[kept], np.concatenate([smooth, own]), split.reshape(-1, 3), kept
        normals = smooth[corners]
        normals[sharp] = own
    else:
        normals = np.repeat(np.asarray(mesh.face_normals, float), 3, axis=0)
    return vertices[corners], normals, np.arange(len(corners)).reshape(-1, 3), corners


def box_map(piece: Piece, corners: F64) -> F64:
    """Texture coordinates in metres, u along the grain: a box projection in its own axes."""
    frame = _frame(piece)
    dominant = np.repeat(np.abs(np.asarray(piece.mesh.face_normals) @ frame.T).argmax(axis=1), 3)
    local = corners @ frame.T
    u = np.where(dominant == 0, local[:, 1], local[:, 0])
    v = np.where(dominant == 2, local[:, 1], local[:, 2])
    offset = np.array(divmod(zlib.crc32(piece.name.encode()) % 4096, 64)) / 17.0
    return np.stack([u, v], axis=1) + offset


def _frame(piece: Piece) -> F64:
    """Axes (rows): along the grain, across it, and out of the largest face."""
    mesh = piece.mesh
    normals, areas = np.asarray(mesh.face_normals), np.asarray(mesh.area_faces)
    rounded = np.round(np.abs(normals) @ np.array([1.0, 1.7, 2.9]), 2)
    values, index = np.unique(rounded, return_inverse=True)
    largest = np.bincount(index, weights=areas, minlength=len(values)).argmax()
    out = normals[int(np.flatnonzero(index == largest)[0])]
    along = piece.grain if piece.grain is not None else _longest_side(piece, out)
    along = along - out * (along @ out)
    if np.linalg.norm(along) < 1e-6:
        along = np.cross(out, [0.0, 0.0, 1.0] if abs(out[2]) < 0.9 else [0.0, 1.0, 0.0])
    along = along / np.linalg.norm(along)
    return np.stack([along, np.cross(out, along), out])


def _longest_side(piece: Piece, out: F64) -> F64:
    if abs(out[2]) < 0.7:
        return np.cross([0.0, 0.0, 1.0], out)
    # The longer side of the smallest rectangle round its plan, whichever way it is turned.
    box = shapely.minimum_rotated_rectangle(shapely.multipoints(piece.mesh.vertices[:, :2]))
    corners = shapely.get_coordinates(box)
    if len(corners) < 4:
        return np.array([1.0, 0.0, 0.0])
    spans = np.diff(corners[:3], axis=0)
    longest = spans[np.linalg.norm(spans, axis=1).argmax()]
    return np.array([longest[0], longest[1], 0.0])
