"""Hairs as meshes: thin tapering ones, and a stand-in for the hair of a head."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.piece import Piece


def tapered(curves: Array, root_m: float, tip_m: float) -> tuple[Array, Index]:
    """Three-sided tapering hairs along `curves` (n, k, 3): vertices and faces."""
    n, k, _ = curves.shape
    along = np.gradient(curves, axis=1)
    along /= np.maximum(np.linalg.norm(along, axis=2, keepdims=True), 1e-12)
    side = np.cross(along, np.array([0.31, 0.27, 0.91]))
    side /= np.maximum(np.linalg.norm(side, axis=2, keepdims=True), 1e-12)
    other = np.cross(along, side)
    radius = np.linspace(root_m, tip_m, k)[None, :, None]
    rings = []
    for angle in (0.0, 2.0 * np.pi / 3.0, 4.0 * np.pi / 3.0):
        rings.append(curves + radius * (np.cos(angle) * side + np.sin(angle) * other))
    points = np.stack(rings, axis=2).reshape(-1, 3)
    base = (np.arange(n)[:, None] * k + np.arange(k - 1)[None, :]).reshape(-1) * 3
    faces = []
    for a in range(3):
        b = (a + 1) % 3
        faces.append(np.stack([base + a, base + b, base + 3 + a], axis=1))
        faces.append(np.stack([base + b, base + 3 + b, base + 3 + a], axis=1))
    ends = np.arange(n) * k * 3
    faces.append(np.stack([ends + 2, ends + 1, ends], axis=1))
    tips = ends + (k - 1) * 3
    faces.append(np.stack([tips, tips + 1, tips + 2], axis=1))
    return points, np.concatenate(faces)


def hair_mesh(
    strands: Array, cap: Array, cap_faces: Index, hue: Array, random: np.random.Generator
) -> Piece:
    """Hair for a back end without curves: a cap close to the scalp under thick locks.

    strands  (n, k, 3); one in eight becomes a lock
    cap      (v, 3) vertices over the scalp with `cap_faces`
    """
    few = strands[:: max(1, len(strands) // 2200)]
    points, faces = tapered(few, 0.0009, 0.00025)
    shade = random.uniform(0.75, 1.25, len(few))
    colour = np.repeat(shade, strands.shape[1] * 3)[:, None] * hue
    mesh = Mesh(np.concatenate([cap, points]), np.concatenate([cap_faces, faces + len(cap)]))
    colours = np.concatenate([np.tile(0.7 * hue, (len(cap), 1)), colour])
    return Piece("hair", mesh, "hair", smooth=True, colour=colours, closed=False)


class FaceSurface:
    """The front of the face seen along Y: finds where the skin lies under a point (x, z)."""

    def __init__(self, rest: Array, posed: Array, faces: Index, posed_normals: Array) -> None:
        self.rest, self.posed, self.faces, self.normals = rest, posed, faces, posed_normals

    def over(self, xz: Array) -> tuple[Array, Array]:
        """Posed points (n, 3) and normals (n, 3) over `xz` (n, 2) of the face at rest."""
        middle = self.rest[self.faces].mean(axis=1)[:, [0, 2]]
        low, high = xz.min(axis=0) - 0.006, xz.max(axis=0) + 0.006
        faces = self.faces[((middle > low) & (middle < high)).all(axis=1)]
        corner = self.rest[faces][:, :, [0, 2]]
        a, ab, ac = corner[:, 0], corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
        area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
        good = np.abs(area) > 1e-12
        safe = np.where(good, area, 1.0)
        rel = xz[:, None] - a[None]
        u = (rel[..., 0] * ac[:, 1] - rel[..., 1] * ac[:, 0]) / safe
        v = (ab[:, 0] * rel[..., 1] - ab[:, 1] * rel[..., 0]) / safe
        worst = np.minimum(np.minimum(u, v), 1.0 - u - v)
        worst = np.where(good[None], worst, -9.0)
        depth = self.rest[faces][:, :, 1].mean(axis=1)
        # Of the triangles that hold the point, the foremost; else the nearest miss.
        score = np.where(worst > -1e-6, 10.0 - depth[None], worst)
        pick = np.argmax(score, axis=1)
        rows = np.arange(len(xz))
        weights = np.stack(
            [1.0 - u[rows, pick] - v[rows, pick], u[rows, pick], v[rows, pick]], axis=1
        )
        weights = np.clip(weights, 0.0, 1.0)
        weights /= weights.sum(axis=1, keepdims=True)
        corners = faces[pick]
        place = np.einsum("nk,nkc->nc", weights, self.posed[corners])
        normal = np.einsum("nk,nkc->nc", weights, self.normals[corners])
        return place, normal / np.linalg.norm(normal, axis=1, keepdims=True)


def lashes(
    strips: Array,
    faces: Index,
    eyes: Array,
    random: np.random.Generator,
    colour: Array,
    each: int,
) -> Piece:
    """Single lashes over the body's lash strips.

    strips  (V, 3) posed vertices; `faces` (F, 4) quads of the strips, `each` lashes on one
    """
    curves = []
    for quad in faces:
        a, b, c, d = strips[quad]
        eye = eyes[int(np.argmin(np.linalg.norm(eyes - a, axis=1)))]
        sides = [(a, b, d, c), (b, c, a, d), (c, d, b, a), (d, a, c, b)]
        a, b, d, c = min(sides, key=lambda q: float(np.linalg.norm(0.5 * (q[0] + q[1]) - eye)))
        for _ in range(each):
            t = random.uniform(0.0, 1.0)
            curves.append((a + t * (b - a), d + t * (c - d)))
    ends = np.array(curves)
    line = ends[:, :1] + np.linspace(0.0, 1.0, 3)[None, :, None] * (ends[:, 1:] - ends[:, :1])
    points, triangles = tapered(line, 0.00006, 0.000025)
    mesh = Mesh(points, triangles)
    return Piece("lashes", mesh, "hair", smooth=False, colour=colour, closed=True)
