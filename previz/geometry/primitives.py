"""Shapes that things are built from: boxes with bevels, tubes, lathes, lofts, cushions, sheets.

Everything is a `Shell` until a thing is complete. Closed shells bound a volume and face outward;
only `sheet` is open. Lengths in metres, angles in radians, Z up.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

import mapbox_earcut
import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.geometry.outlines import chamfered, circle, inset, rounded_outline
from previz.geometry.piece import Array
from previz.geometry.shell import Faces, Shell, cross, join, look_along, unit

# Boxes ------------------------------------------------------------------------------------------


def _outward(vertices: Array, faces: Faces) -> Faces:
    """Faces of a solid that is star-shaped about the origin, all turned outward."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    inward = np.einsum("ij,ij->i", cross(b - a, c - a), a + b + c) < 0
    return np.where(inward[:, None], faces[:, ::-1], faces)


@lru_cache(maxsize=1)
def _chamfer_template() -> tuple[Array, Array, Faces]:
    """Signs (24, 3), which coordinate is full-size (24, 3), faces (44, 3) of a chamfered box."""
    corners = list(product((-1, 1), repeat=3))
    index = {(c, a): 3 * i + a for i, c in enumerate(corners) for a in range(3)}
    polygons = [[index[c, a] for a in range(3)] for c in corners]
    for a in range(3):
        b, c = (a + 1) % 3, (a + 2) % 3

        def corner(values: dict[int, int]) -> tuple[int, ...]:
            return tuple(values[axis] for axis in range(3))

        for s, t in product((-1, 1), repeat=2):
            ends = [corner({a: e, b: s, c: t}) for e in (-1, 1)]
            polygons.append([index[ends[0], b], index[ends[1], b]])
            polygons[-1] += [index[ends[1], c], index[ends[0], c]]
        for s in (-1, 1):
            loop = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
            polygons.append([index[corner({a: s, b: u, c: v}), a] for u, v in loop])
    faces = np.array([[p[0], p[k], p[k + 1]] for p in polygons for k in range(1, len(p) - 1)])
    signs = np.repeat(np.array(corners, float), 3, axis=0)
    full = np.tile(np.eye(3), (8, 1))
    return signs, full, _outward(signs * (0.8 + 0.2 * full), faces)


def box(low: ArrayLike, high: ArrayLike, bevel: float = 0.003) -> Shell:
    """Box between two corners with chamfered edges: 44 triangles, exact bounds.

    `bevel` is cut to a third of the shortest side; 0 gives a chamfer of nothing, so it must be > 0.
    """
    least, most = np.asarray(low, float), np.asarray(high, float)
    half = (most - least) / 2
    cut = min(bevel, 2 * float(half.min()) / 3)
    signs, full, faces = _chamfer_template()
    return Shell((least + most) / 2 + signs * (half - cut * (1 - full)), faces)


def block(size: ArrayLike, centre: ArrayLike = (0, 0, 0), bevel: float = 0.003) -> Shell:
    """Chamfered box by size and centre."""
    half = np.asarray(size, float) / 2
    middle = np.asarray(centre, float)
    return box(middle - half, middle + half, bevel)


def plank(start: ArrayLike, end: ArrayLike, width: float, thickness: float, bevel: float) -> Shell:
    """Straight board from point to point; `width` lies level, `thickness` is across it."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(b - a))
    return block((width, thickness, length), bevel=bevel).moved(look_along((a + b) / 2, b - a))


@lru_cache(maxsize=16)
def _lattice(rounds: int, flats: int) -> tuple[NDArray[np.int64], Faces]:
    """Nodes (n, 3) on the surface of a cube lattice, and its triangles, outward."""
    k = 2 * rounds + flats
    grid = np.array(list(product(range(k + 1), repeat=3)))
    nodes = grid[np.any((grid == 0) | (grid == k), axis=1)]
    index = np.full((k + 1,) * 3, -1)
    index[tuple(nodes.T)] = np.arange(len(nodes))
    i, j = (a.ravel() for a in np.meshgrid(np.arange(k), np.arange(k), indexing="ij"))
    quads = []
    for axis, side in product(range(3), (0, k)):
        loop = []
        for u, v in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)):
            at = [u, v]
            at.insert(axis, np.full_like(u, side))
            loop.append(index[at[0], at[1], at[2]])
        quads.append(np.column_stack(loop))
    corners = np.concatenate(quads)
    faces = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    return nodes, _outward(nodes - k / 2.0, faces)


def _rounded(half: Array, radius: float, rounds: int, flats: int) -> tuple[Array, Faces]:
    nodes, faces = _lattice(rounds, flats)
    steps = np.linspace(-1, 0, rounds + 1)
    lean = np.concatenate([steps, np.zeros(flats - 1), -steps[::-1]])
    inner = np.concatenate([-np.ones(rounds), np.linspace(-1, 1, flats + 1), np.ones(rounds)])
    direction = unit(np.tan(lean * np.pi / 4)[nodes])
    return inner[nodes] * (half - radius) + radius * direction, faces


def rounded_box(size: ArrayLike, radius: float, rounds: int = 2) -> Shell:
    """Box centred at the origin with round edges: 108 triangles at 1 round, 300 at 2."""
    half = np.asarray(size, float) / 2
    vertices, faces = _rounded(half, min(radius, 0.999 * float(half.min())), rounds, 1)
    return Shell(vertices, faces)


def cushion(
    size: ArrayLike, radius: float, crown: float, piping: float = 0.0
) -> tuple[Shell, Shell | None]:
    """Upholstered box centred at the origin: body and, when `piping` > 0, its two cords.

    The middle of both broad (Z) faces swells by `crown`; the bounds are exactly `size`. Piping
    of that radius runs round the two broad edges and stays inside the bounds while it is under
    0.29 of `radius`.
    """
    half = np.asarray(size, float) / 2
    flat = half - np.array([0, 0, crown])
    radius = min(radius, 0.999 * float(flat.min()))
    vertices, faces = _rounded(flat, radius, 3, 6)

    def swell(points: Array) -> Array:
        dome = np.prod(1 - np.clip(points[:, :2] / half[:2], -1, 1) ** 2, axis=1)
        lift = 1 + crown / flat[2] * dome
        return np.column_stack([points[:, :2], points[:, 2] * lift])

    body = Shell(swell(vertices), faces)
    if piping <= 0:
        return body, None
    edge = radius * np.sqrt(0.5)
    outline = rounded_outline(2 * (flat[0] - radius + edge), 2 * (flat[1] - radius + edge), edge)
    seam = flat[2] - radius + edge
    loops = [np.column_stack([outline, np.full(len(outline), s * seam)]) for s in (1, -1)]
    return body, join(tube(swell(loop), piping, 6, closed=True) for loop in loops)


def pillow(size: ArrayLike, square: float = 5.0, fullness: float = 2.2) -> Shell:
    """Loose cushion: superellipsoid with a squarish outline and a domed thickness (Z).

    The norm ((|x|^s + |y|^s)^(f/s) + |z|^f)^(1/f) is 1 on the surface.
    """
    nodes, faces = _lattice(5, 2)
    lean = (nodes - 6) / 6.0
    spread = np.sign(lean) * np.abs(lean) ** 0.8
    outline = np.sum(np.abs(spread[:, :2]) ** square, axis=1) ** (fullness / square)
    norm = (outline + np.abs(spread[:, 2]) ** fullness) ** (1 / fullness)
    return Shell(spread / norm[:, None] * np.asarray(size, float) / 2, faces)


# Lofts: rings joined into a skin ----------------------------------------------------------------


@lru_cache(maxsize=256)
def _skin(rings: int, points: int, closed: bool) -> Faces:
    """Triangles between neighbouring rings; shared by many lofts, so never to be written to."""
    i, j = np.meshgrid(np.arange(rings if closed else rings - 1), np.arange(points), indexing="ij")
    a, b = i * points + j, i * points + (j + 1) % points
    c, d = (i + 1) % rings * points + (j + 1) % points, (i + 1) % rings * points + j
    quads = np.stack([a, b, c, d], axis=-1).reshape(-1, 4)
    return np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])


@lru_cache(maxsize=256)
def _capped(rings: int, points: int) -> Faces:
    """The skin and, at either end, a fan about one more vertex; likewise shared."""
    j, tip = np.arange(points), np.full(points, rings * points)
    last = (rings - 1) * points + j
    fan_a = np.column_stack([tip, (j + 1) % points, j])
    fan_b = np.column_stack([tip + 1, last, (rings - 1) * points + (j + 1) % points])
    return np.concatenate([_skin(rings, points, False), fan_a, fan_b])


def _outward_by_volume(vertices: Array, faces: Faces) -> Shell:
    a, b, c = (vertices[faces[:, k]] - vertices[0] for k in range(3))
    volume = float(np.einsum("ij,ij->", cross(a, b), c))
    return Shell(vertices, faces if volume > 0 else faces[:, ::-1])


def loft(
    rings: ArrayLike,
    *,
    closed: bool = False,
    first: ArrayLike | None = None,
    last: ArrayLike | None = None,
) -> Shell:
    """Solid through `rings` (k, m, 3), all wound alike.

    The ends are closed by fans about `first` and `last` (default: the middle of the end ring),
    so a ring that sees all of itself from there is wanted. `closed` joins last ring to first.
    """
    array = np.asarray(rings, float)
    k, m, _ = array.shape
    vertices = array.reshape(-1, 3)
    if closed:
        return _outward_by_volume(vertices, _skin(k, m, True))
    tip_a = array[0].mean(axis=0) if first is None else np.asarray(first, float)
    tip_b = array[-1].mean(axis=0) if last is None else np.asarray(last, float)
    return _outward_by_volume(np.concatenate([vertices, [tip_a, tip_b]]), _capped(k, m))


def lathe(profile: ArrayLike, sections: int = 24, *, ring: bool = False) -> Shell:
    """Profile (n, 2) of radius and height revolved round Z.

    An end at radius 0 closes to a point, any other end by a flat lid. With `ring` the profile is
    itself a closed loop away from the axis (a hoop). `sections` of 4 k give exact diameters.
    """
    points = np.asarray(profile, float)
    first = (0, 0, points[0, 1])
    last = (0, 0, points[-1, 1])
    body = points[slice(int(points[0, 0] == 0), len(points) - int(points[-1, 0] == 0))]
    around = circle(1.0, sections)
    rings = np.empty((len(body), sections, 3))
    rings[:, :, :2] = body[:, None, :1] * around
    rings[:, :, 2] = body[:, None, 1]
    return loft(rings, closed=ring, first=first, last=last)


def rod(
    start: ArrayLike,
    end: ArrayLike,
    radius: float,
    end_radius: float | None = None,
    *,
    sections: int = 12,
    bevel: float = 0.001,
) -> Shell:
    """Cylinder or cone from point to point, its rims chamfered."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(b - a))
    other = radius if end_radius is None else end_radius
    cut = min(bevel, length / 6, radius / 2, other / 2)
    # A second ring beside each rim keeps smooth shading of the rim off the length.
    near, far = (radius + (other - radius) * t for t in (2 * cut / length, 1 - 2 * cut / length))
    profile = [(radius - cut, 0), (radius, cut), (near, 2 * cut), (far, length - 2 * cut)]
    profile += [(other, length - cut), (other - cut, length)]
    return lathe(profile, sections).moved(look_along(a, b - a))


def _transported(path: Array, closed: bool, up: ArrayLike | None) -> tuple[Array, Array]:
    """Directions of a path's segments and, for each, a normal carried along without twisting."""
    ahead = np.roll(path, -1, axis=0) - path
    directions = unit(ahead if closed else ahead[:-1])
    hint = np.asarray(up, float) if up is not None else np.eye(3)[np.abs(directions[0]).argmin()]
    normals = []
    normal = unit(hint - directions[0] * (hint @ directions[0]))
    before = directions[0]
    for direction in directions:
        normal = normal - (normal @ direction) / (1 + before @ direction) * (before + direction)
        before = direction
        normals.append(normal)
    return directions, np.array(normals)


def sweep(
    path: ArrayLike,
    outline: ArrayLike,
    *,
    closed: bool = False,
    up: ArrayLike | None = None,
    scale: ArrayLike | None = None,
) -> Shell:
    """Outline (m, 2) carried along `path` (n, 3) with mitred corners.

    The outline's second axis starts as near to `up` as it can; `scale` (n,) widens it along the
    way. A closed path should be flat, or the seam shows the twist. Hairpins (turns near 180
    degrees) break the mitre.
    """
    points, shape = np.asarray(path, float), np.asarray(outline, float)
    directions, normals = _transported(points, closed, up)
    count = len(points)
    sizes = np.ones(count) if scale is None else np.asarray(scale, float)
    rings = np.empty((count, len(shape), 3))
    for i in range(count):
        k = i if closed or i < count - 1 else i - 1
        before = directions[i - 1] if closed or i > 0 else directions[0]
        along, mitre = directions[k], unit(before + directions[k])
        side = cross(normals[k], along)
        offsets = sizes[i] * (shape[:, :1] * side + shape[:, 1:] * normals[k])
        slide = (offsets @ mitre) / (along @ mitre)
        rings[i] = points[i] + offsets - slide[:, None] * along
    return loft(rings, closed=closed)


def tube(
    path: ArrayLike, radius: float | ArrayLike, sections: int = 8, *, closed: bool = False
) -> Shell:
    """Round tube along `path` (n, 3); `radius` one for all or (n,)."""
    radii = np.broadcast_to(np.asarray(radius, float), (len(np.asarray(path)),))
    return sweep(path, circle(1.0, sections), closed=closed, scale=radii)


def leg(
    foot: ArrayLike,
    top: ArrayLike,
    foot_size: tuple[float, float],
    top_size: tuple[float, float],
    bevel: float = 0.003,
) -> Shell:
    """Rectangular post whose ends are cut level however it leans: `foot` and `top` are points."""
    a, b = np.asarray(foot, float), np.asarray(top, float)
    cut = bevel / abs(float(b[2] - a[2]))
    rings = []
    for t, shrink in ((0.0, bevel), (cut, 0.0), (1 - cut, 0.0), (1.0, bevel)):
        middle = a + t * (b - a)
        width, depth = (
            (1 - t) * f + t * g - 2 * shrink for f, g in zip(foot_size, top_size, strict=True)
        )
        flat = chamfered(width, depth, bevel)
        rings.append(np.column_stack([flat + middle[:2], np.full(8, middle[2])]))
    return loft(rings)


# Polygons and sheets ----------------------------------------------------------------------------


def extruded(polygon: ArrayLike, height: float, bevel: float = 0.003) -> Shell:
    """Counter-clockwise polygon (n, 2), convex or not, raised from z = 0 to `height`, bevelled."""
    outline = np.asarray(polygon, float)
    inner = inset(outline, bevel)
    levels = [(inner, 0.0), (outline, bevel), (outline, height - bevel), (inner, height)]
    rings = np.array([np.column_stack([flat, np.full(len(flat), z)]) for flat, z in levels])
    m = len(outline)
    ends = np.array([m], dtype=np.uint32)
    lid = mapbox_earcut.triangulate_float64(inner, ends).reshape(-1, 3).astype(np.int64)
    a, b, c = (inner[lid[:, k]] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    lid = np.where((area < 0)[:, None], lid[:, ::-1], lid)
    faces = np.concatenate([_skin(4, m, False), lid[:, ::-1], lid + 3 * m])
    return Shell(rings.reshape(-1, 3), faces)


def sheet(grid: ArrayLike) -> Shell:
    """Open surface through a grid of points (rows, columns, 3), facing rows x columns."""
    points = np.asarray(grid, float)
    rows, columns, _ = points.shape
    i, j = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    a = (i * columns + j).ravel()
    faces = np.concatenate(
        [
            np.column_stack([a, a + columns, a + columns + 1]),
            np.column_stack([a, a + columns + 1, a + 1]),
        ]
    )
    return Shell(points.reshape(-1, 3), faces)


def slab(grid: ArrayLike, base_z: float) -> Shell:
    """Closed body under a height field: `grid` (rows, columns, 3) is its top, flat below.

    Rows x columns must face up. The outline, seen from above, must be convex.
    """
    points = np.asarray(grid, float)
    top = sheet(points)
    rows, columns, _ = points.shape
    index = np.arange(rows * columns).reshape(rows, columns)
    rim = np.concatenate([index[:, 0], index[-1, 1:], index[-2::-1, -1], index[0, -2:0:-1]])
    low = points.reshape(-1, 3)[rim] * [1, 1, 0] + [0, 0, base_z]
    a, b = rim, np.roll(rim, -1)
    c = rows * columns + np.arange(len(rim))
    d, middle = np.roll(c, -1), np.full(len(rim), rows * columns + len(rim))
    under = [np.column_stack(three) for three in ((a, c, b), (b, c, d), (d, c, middle))]
    vertices = np.concatenate([top.vertices, low, low.mean(axis=0, keepdims=True)])
    return Shell(vertices, np.concatenate([top.faces, *under]))


def bounds_of(shells: Sequence[Shell]) -> Array:
    """Least and greatest corner round `shells`, (2, 3)."""
    points = np.concatenate([shell.vertices for shell in shells])
    return np.array([points.min(axis=0), points.max(axis=0)])
