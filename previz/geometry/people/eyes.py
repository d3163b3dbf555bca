"""Eyeballs: white, iris, pupil and a clear cornea, turned to where the person looks.

Proportions of an adult eye (radius of the ball 12 mm, of the cornea's curve 7.8 mm, of its rim
5.9 mm) are those of Le Grand's schematic eye, from memory; all scale with the ball, which is
fitted to the eyelids of the body.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.skeleton import shortest, unit
from previz.geometry.piece import Piece

LIMBUS = 5.9 / 12.0
CORNEA = 7.8 / 12.0
PUPIL = 1.75 / 12.0
IRIS_DEPTH = 0.45 / 12.0
WHITE = np.array([0.56, 0.50, 0.46])
IRISES = {
    "brown": ((0.085, 0.040, 0.016), (0.190, 0.095, 0.040)),
    "hazel": ((0.075, 0.050, 0.022), (0.150, 0.095, 0.035)),
    "green": ((0.050, 0.058, 0.036), (0.115, 0.125, 0.075)),
    "blue": ((0.046, 0.062, 0.085), (0.125, 0.155, 0.190)),
    "grey": ((0.060, 0.068, 0.076), (0.140, 0.152, 0.162)),
}


@dataclass(frozen=True, eq=False)
class Socket:
    """Where an eyeball sits: centre (3,) and radius, metres."""

    centre: Array
    radius_m: float


def socket(data: BodyData, vertices: Array, side: str) -> Socket:
    """The ball that fits the body's own eye, whose front bulges a little."""
    points = vertices[data.part(f"eye_{side}")]
    front = points[:, 1].min()
    ball = points[points[:, 1] > front + 0.35 * np.ptp(points[:, 1])]
    # Sphere by least squares: |p|^2 = 2 p.c + (r^2 - |c|^2).
    rows = np.concatenate([2.0 * ball, np.ones((len(ball), 1))], axis=1)
    x = np.linalg.lstsq(rows, (ball**2).sum(axis=1), rcond=None)[0]
    return Socket(x[:3], float(np.sqrt(x[3] + x[:3] @ x[:3])))


def eye_pieces(
    name: str, centre: Array, radius_m: float, axis: Array, colour: str, seed: int
) -> tuple[Piece, ...]:
    """White, iris with pupil, and cornea of one eye looking along `axis`."""
    turn = shortest(np.array([0.0, 0.0, 1.0]), unit(axis))
    parts = (
        ("white", "eye_white", *_white()),
        ("iris", "iris", *_iris(colour, seed)),
        ("cornea", "cornea", *_cornea(), None),
    )
    pieces = []
    for part, material, points, faces, paint in parts:
        vertices = points * radius_m @ turn.T + centre
        mesh = Mesh(vertices, faces)
        pieces.append(
            Piece(f"{name}_{part}", mesh, material, smooth=True, colour=paint, closed=False)
        )
    return tuple(pieces)


def _rings(polar: Array, radius: Array, count: int, close: bool) -> tuple[Array, Index]:
    """Surface of revolution about Z: rings at heights `polar`, from the front backwards."""
    around = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    points = np.stack(
        [
            np.outer(radius, np.cos(around)),
            np.outer(radius, np.sin(around)),
            np.repeat(polar[:, None], count, axis=1),
        ],
        axis=-1,
    ).reshape(-1, 3)
    i = np.arange(len(polar) - 1)[:, None] * count
    j = np.arange(count)[None, :]
    a, b = (i + j).reshape(-1), (i + (j + 1) % count).reshape(-1)
    faces = np.concatenate(
        [np.stack([a, a + count, b], axis=1), np.stack([b, a + count, b + count], axis=1)]
    )
    if close:
        last = (len(polar) - 1) * count
        points = np.concatenate([points, [[0.0, 0.0, float(polar[-1])]]])
        tip = len(points) - 1
        k = np.arange(count)
        faces = np.concatenate(
            [faces, np.stack([last + k, np.full(count, tip), last + (k + 1) % count], axis=1)]
        )
    return points, faces


def _white() -> tuple[Array, Index, Array]:
    start = np.arcsin(LIMBUS * 0.985)
    angle = np.concatenate([np.linspace(start, 1.45, 16), np.linspace(1.6, 2.9, 7)])
    points, faces = _rings(np.cos(angle), np.sin(angle), 48, close=True)
    # A little red towards the corners, a soft grey ring where the iris begins.
    from_axis = np.arccos(np.clip(points[:, 2] / np.linalg.norm(points, axis=1), -1, 1))
    red = np.clip((from_axis - 0.75) / 0.8, 0.0, 1.0)[:, None]
    rim = np.clip(1.0 - (from_axis - start) / 0.09, 0.0, 1.0)[:, None]
    paint = WHITE * (1.0 - red * np.array([0.10, 0.34, 0.36])) * (1.0 - 0.55 * rim)
    return points, faces, paint


def _iris(colour: str, seed: int) -> tuple[Array, Index, Array]:
    deep, bright = (np.array(c) for c in IRISES[colour])
    rim_z = np.cos(np.arcsin(LIMBUS)) - IRIS_DEPTH
    radius = (
        np.array([1.0, 0.97, 0.93, 0.86, 0.78, 0.7, 0.62, 0.54, 0.46, 0.40, 0.36, 0.335]) * LIMBUS
    )
    radius = np.concatenate([radius, [PUPIL, PUPIL * 0.97, PUPIL * 0.5]])
    height = rim_z - 0.02 * (1.0 - radius / LIMBUS)
    height[-2:] -= 0.02
    points, faces = _rings(height, radius, 96, close=True)
    share = np.hypot(points[:, 0], points[:, 1]) / LIMBUS
    angle = np.arctan2(points[:, 1], points[:, 0])
    random = np.random.default_rng(seed)
    fibres = np.zeros_like(angle)
    for wave in (11, 17, 23, 31, 41):
        fibres += np.sin(wave * angle + random.uniform(0, 6.28) + 2.0 * share) / 5.0
    mix = np.clip(0.55 + 0.6 * fibres - 0.55 * np.abs(share - 0.5), 0.0, 1.0)[:, None]
    paint = deep + mix * (bright - deep)
    paint = paint * np.clip((1.02 - share) / 0.16, 0.12, 1.0)[:, None]
    paint[share < (PUPIL / LIMBUS) * 1.01] = 0.002
    # The rings run inwards here, so the winding is turned round to face out of the eye.
    return points, faces[:, ::-1], paint


def _cornea() -> tuple[Array, Index]:
    rim = np.arcsin(LIMBUS * 1.03 / CORNEA)
    angle = np.linspace(rim, 0.03, 14)[::-1]
    base = np.cos(np.arcsin(LIMBUS)) - CORNEA * np.cos(rim)
    points, faces = _rings(CORNEA * np.cos(angle) + base, CORNEA * np.sin(angle), 48, close=False)
    tip = len(points)
    points = np.concatenate([points, [[0.0, 0.0, CORNEA + base]]])
    k = np.arange(48)
    faces = np.concatenate([faces, np.stack([np.full(48, tip), k, (k + 1) % 48], axis=1)])
    return points, faces
