"""Spectacles: rims, bridge, temples and clear lenses, fitted to eyes and ears.

Sizes are those of an ordinary frame: lens 50 mm, bridge 18 mm, 13 mm before the cornea, tilted
8 degrees (common practice, no source).
"""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.skeleton import about_axis, unit
from previz.geometry.piece import Piece

HALF_WIDTH_M = 0.0255
HALF_HEIGHT_M = 0.0195
TUBE_M = 0.0014
TILT_DEG = 8.0
FRAME = np.array([0.025, 0.020, 0.018])


def spectacles(eyes: Array, ears: Array, radius_m: float, turn: Array) -> tuple[Piece, ...]:
    """Frame and glass.

    eyes, ears  (2, 3) left and right: eyeball centres, outermost points of the ears
    radius_m    of the eyeballs; `turn` (3, 3) the head's rotation
    """
    own_eyes, own_ears = eyes @ turn, ears @ turn
    centre = own_eyes.mean(axis=0)
    apart = 0.5 * float(own_eyes[0, 0] - own_eyes[1, 0]) + 0.001
    depth = radius_m * 1.09 + 0.013
    tilt = about_axis(np.array([1.0, 0.0, 0.0]), np.radians(TILT_DEG))
    rims, lenses = [], []
    for sign in (1.0, -1.0):
        outline = _outline(sign)
        bowed = _bow(outline) @ tilt.T
        rims.append(bowed + np.array([sign * apart, -depth, -0.003]))
        lenses.append(_lens(outline, tilt, np.array([sign * apart, -depth, -0.003])))
    tubes = [tube(rim, TUBE_M, True) for rim in rims]
    # Bridge: from rim to rim, arched over the nose.
    inner = [
        rim[np.argmin(sign * rim[:, 0] - 0.5 * rim[:, 2])]
        for rim, sign in zip(rims, (1, -1), strict=True)
    ]
    t = np.linspace(0.0, 1.0, 13)[:, None]
    arch = np.array([0.0, -0.0025, 0.004]) * np.sin(np.pi * t)
    tubes.append(tube(inner[0] + t * (inner[1] - inner[0]) + arch, TUBE_M, False))
    for rim, ear, sign in zip(rims, own_ears - centre, (1.0, -1.0), strict=True):
        tubes.append(tube(_temple(rim, ear, sign), TUBE_M * 0.95, False))
    place = [(points + centre) @ turn.T for points, _ in tubes]
    frame = _joined(place, [faces for _, faces in tubes])
    glass = _joined([(p + centre) @ turn.T for p, _ in lenses], [f for _, f in lenses])
    return (
        Piece("spectacle_frame", frame, "spectacle_frame", smooth=True, colour=FRAME),
        Piece("spectacle_glass", glass, "spectacle_glass", smooth=True, closed=False),
    )


def _outline(sign: float) -> Array:
    """Rounded outline of a lens in its plane, (72, 3), about its middle."""
    a = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)
    x = np.sign(np.cos(a)) * np.abs(np.cos(a)) ** 0.72 * HALF_WIDTH_M
    z = np.sign(np.sin(a)) * np.abs(np.sin(a)) ** 0.78 * HALF_HEIGHT_M
    # Lower inside than outside, as a nose asks.
    z = z + 0.03 * sign * x
    return np.stack([sign * x, np.zeros_like(x), z], axis=1)


def _bow(points: Array) -> Array:
    """Points of the lens plane on its curve of 130 mm radius."""
    out = points.copy()
    out[:, 1] += (points[:, 0] ** 2 + points[:, 2] ** 2) / (2.0 * 0.130)
    return out


def _lens(outline: Array, tilt: Array, at: Array) -> tuple[Array, Index]:
    shares = np.array([1.0, 0.75, 0.5, 0.25])
    rings = np.concatenate([outline * s for s in shares] + [np.zeros((1, 3))])
    points = _bow(rings) @ tilt.T + at
    n = len(outline)
    i = np.arange(n)
    j = (i + 1) % n
    faces = []
    for ring in range(len(shares) - 1):
        a, b = ring * n, (ring + 1) * n
        faces += [np.stack([a + i, a + j, b + i], axis=1), np.stack([a + j, b + j, b + i], axis=1)]
    last = (len(shares) - 1) * n
    faces.append(np.stack([last + i, last + j, np.full(n, len(points) - 1)], axis=1))
    triangles = np.concatenate(faces)
    normal = np.cross(
        points[triangles[0, 1]] - points[triangles[0, 0]],
        points[triangles[0, 2]] - points[triangles[0, 0]],
    )
    return points, triangles if normal[1] < 0.0 else triangles[:, ::-1]


def _temple(rim: Array, ear: Array, sign: float) -> Array:
    """From the outer corner of a rim over the ear and down behind it."""
    hinge = rim[np.argmax(sign * rim[:, 0] + 0.35 * rim[:, 2])]
    over = np.array([ear[0] - sign * 0.016, ear[1] - 0.004, ear[2] + 0.030])
    over[2] = max(over[2], hinge[2] - 0.006)
    corner = np.array([sign * (abs(hinge[0]) + 0.006), hinge[1] + 0.006, hinge[2]])
    behind = over + np.array([sign * -0.004, 0.016, -0.006])
    end = over + np.array([sign * -0.008, 0.030, -0.034])
    knots = np.array([hinge, corner, 0.5 * (corner + over), over, behind, end])
    for _ in range(3):
        middle = np.empty((2 * len(knots), 3))
        middle[0], middle[-1] = knots[0], knots[-1]
        middle[1:-1:2] = 0.75 * knots[:-1] + 0.25 * knots[1:]
        middle[2:-1:2] = 0.25 * knots[:-1] + 0.75 * knots[1:]
        knots = middle
    return knots


def tube(line: Array, radius_m: float, closed: bool) -> tuple[Array, Index]:
    """A tube of eight sides along `line` (n, 3): vertices, and faces that bound a volume."""
    n, sides = len(line), 8
    if closed:
        along = unit(np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0))
    else:
        along = unit(np.gradient(line, axis=0))
    side = unit(np.cross(along, np.array([0.13, 0.97, 0.21])))
    other = np.cross(along, side)
    angle = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    ring = (
        np.cos(angle)[None, :, None] * side[:, None] + np.sin(angle)[None, :, None] * other[:, None]
    )
    points = (line[:, None] + radius_m * ring).reshape(-1, 3)
    last = n if closed else n - 1
    i = np.repeat(np.arange(last), sides)
    j = np.tile(np.arange(sides), last)
    a, b = i * sides + j, i * sides + (j + 1) % sides
    c, d = ((i + 1) % n) * sides + j, ((i + 1) % n) * sides + (j + 1) % sides
    faces = np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])
    if not closed:
        k = np.arange(1, sides - 1)
        end = (n - 1) * sides
        faces = np.concatenate(
            [
                faces,
                np.stack([np.zeros_like(k), k + 1, k], axis=1),
                np.stack([np.full_like(k, end), end + k, end + k + 1], axis=1),
            ]
        )
    return points, faces


def _joined(points: list[Array], faces: list[Index]) -> Mesh:
    starts = np.cumsum([0, *[len(p) for p in points[:-1]]])
    return Mesh(
        np.concatenate(points), np.concatenate([f + s for f, s in zip(faces, starts, strict=True)])
    )
