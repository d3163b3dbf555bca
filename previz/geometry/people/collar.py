"""Collars: a profile swept along the neckline of a garment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.meshing import Net
from previz.geometry.people.skeleton import unit
from previz.geometry.piece import Piece

STATIONS = 121


@dataclass(frozen=True)
class Cut:
    """Measures of a collar, metres.

    stand     height of the band round the neck
    back, front   length of the leaf that folds over, behind and at its points
    gap       between the two ends in front
    spread    how far the points stand off the chest
    slant     how far the points stand apart
    ease      how far the fold stands off the neck
    """

    stand: float
    back: float
    front: float
    gap: float
    spread: float
    slant: float = 0.022
    ease: float = 0.004


SHIRT = Cut(stand=0.026, back=0.037, front=0.056, gap=0.003, spread=0.014, ease=0.003)
JACKET = Cut(stand=0.020, back=0.046, front=0.020, gap=0.200, spread=0.002, ease=0.004)


def neck_loop(vertices: Array, faces: Index, near: Array) -> Array:
    """The open edge nearest to the point `near`, as points in order, starting in front."""
    net = Net(faces, len(vertices))
    loops = [loop for loop in net.loops() if len(loop) > 20]
    loop = min(loops, key=lambda k: float(np.linalg.norm(vertices[k].mean(axis=0) - near)))
    points = vertices[loop]
    start = int(np.argmin(points[:, 1] + 2.0 * np.abs(points[:, 0] - points[:, 0].mean())))
    points = np.roll(points, -start, axis=0)
    # Always to the person's left first.
    if points[len(points) // 4, 0] < points[3 * len(points) // 4, 0]:
        points = np.roll(points[::-1], 1, axis=0)
    return np.asarray(points)


def _stations(loop: Array, gap_m: float) -> tuple[Array, Array]:
    """Evenly spaced points (STATIONS, 3) along a loop, open in front; and 0 front to 1 back."""
    closed = np.concatenate([loop, loop[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    where = np.linspace(0.5 * gap_m, run[-1] - 0.5 * gap_m, STATIONS)
    points = np.stack([np.interp(where, run, closed[:, k]) for k in range(3)], axis=1)
    for _ in range(6):
        points[1:-1] = 0.5 * points[1:-1] + 0.25 * (points[:-2] + points[2:])
    return points, 1.0 - np.abs(2.0 * where / run[-1] - 1.0)


def sweep(name: str, loop: Array, cut: Cut, material: str, colour: Array) -> Piece:
    """A collar along `loop` (n, 3), as a closed piece of cloth 1.6 mm thick."""
    points, back = _stations(loop, cut.gap)
    centre = loop.mean(axis=0)
    up = _upright(loop)
    out = points - centre
    out = unit(out - (out @ up)[:, None] * up)
    front = np.clip(1.0 - back / 0.55, 0.0, 1.0)[:, None]
    length = cut.back + (cut.front - cut.back) * front**2.5
    # Up the neck, over the fold, down outside; the points reach forward and apart.
    lean = cut.ease
    stand = cut.stand * (1.0 - 0.12 * front)
    fall = length
    apart = cut.spread * front
    path = [
        (0.000 * fall - 0.0015, 0.0 * stand - 0.006),
        (0.000 * fall - 0.0005, 0.35 * stand),
        (0.000 * fall + 0.2 * lean, 0.75 * stand),
        (0.000 * fall + 0.5 * lean, stand),
        (0.000 * fall + 1.1 * lean + 0.001, stand + 0.003),
        (0.000 * fall + 1.9 * lean + 0.002, stand + 0.001),
        (0.10 * fall + 2.0 * lean + 0.15 * apart, stand - 0.25 * fall),
        (0.20 * fall + 2.0 * lean + 0.50 * apart, stand - 0.55 * fall),
        (0.28 * fall + 2.0 * lean + 1.00 * apart, stand - 0.85 * fall),
    ]
    rows = np.stack([points + a * out + b * up for a, b in path], axis=1)
    # The front edges run down and apart, from where the ends meet to the points.
    along = unit(np.gradient(points, axis=0))
    side = np.where(np.arange(STATIONS) < STATIONS // 2, 1.0, -1.0)[:, None]
    share = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.3, 0.65, 1.0])
    slant = cut.slant * np.clip(1.0 - back / 0.35, 0.0, 1.0)[:, None] ** 1.3 * side * along
    rows = rows + share[None, :, None] * slant[:, None]
    return _cloth(name, rows, 0.0016, material, colour)


def around(loop: Array, out_m: float, up_m: float) -> Array:
    """A loop moved outwards and up by so much, for the next garment over the first."""
    up = _upright(loop)
    out = loop - loop.mean(axis=0)
    return np.asarray(loop + out_m * unit(out - (out @ up)[:, None] * up) + up_m * up)


def _upright(loop: Array) -> Array:
    """Normal of the plane that fits a loop, upward."""
    _, _, axes = np.linalg.svd(loop - loop.mean(axis=0), full_matrices=False)
    return np.asarray(axes[2] * np.sign(axes[2, 2]))


def _cloth(name: str, rows: Array, thick_m: float, material: str, colour: Array) -> Piece:
    """A closed sheet of a thickness over a grid of points (n, k, 3)."""
    n, k, _ = rows.shape
    along = np.gradient(rows, axis=0)
    across = np.gradient(rows, axis=1)
    normal = unit(np.cross(across, along))
    top, under = rows + 0.5 * thick_m * normal, rows - 0.5 * thick_m * normal
    index = np.arange(n * k).reshape(n, k)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    quads = np.stack([a, d, c, b], axis=-1).reshape(-1, 4)
    over = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    below = over[:, ::-1] + n * k
    rim = np.concatenate([index[:, 0], index[-1, 1:], index[-2::-1, -1], index[0, -2:0:-1]])
    nxt = np.roll(rim, -1)
    side = np.concatenate(
        [
            np.stack([rim, nxt, rim + n * k], axis=1),
            np.stack([nxt, nxt + n * k, rim + n * k], axis=1),
        ]
    )
    faces = np.concatenate([over, below, side[:, ::-1]])
    points = np.concatenate([top.reshape(-1, 3), under.reshape(-1, 3)])
    mesh = trimesh.Trimesh(points, faces, process=False)
    if mesh.volume < 0.0:
        mesh.invert()
    return Piece(name, mesh, material, smooth=True, colour=colour)


def sheet(name: str, rows: Array, thick_m: float, material: str, colour: Array) -> Piece:
    """A closed sheet over a grid of points (n, k, 3): plackets, lapels."""
    return _cloth(name, rows, thick_m, material, colour)
