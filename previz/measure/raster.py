"""A small z-buffer in numpy: which triangle is seen through each pixel's centre, how far away.

Exact where a renderer is: the same pinhole, the same pixel centres. It knows no light, no
blur and no glass, which is why it answers in a fraction of a second.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from previz.measure.surfaces import Index, Points, Surfaces
from previz.stage.stage import Array, StageCamera

NEAR_M = 0.02
MOST_PIXELS = 3_000_000
"""Pixels filled in one go; keeps memory below some 200 MB."""
ON_EDGE_PX = 1e-6
"""A pixel's centre this near to an edge that two triangles share belongs to both."""

Grid = NDArray[np.int32]
Codes = NDArray[np.uint8]


@dataclass(frozen=True)
class Window:
    """A part of the picture, pixels from the top left; right and bottom are not in it."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows, columns."""
        return max(self.bottom - self.top, 0), max(self.right - self.left, 0)


@dataclass(frozen=True, eq=False)
class Seen:
    """What stands behind each pixel centre of a window.

    things   (rows, columns) number of the thing, 0: none
    depth_m  (rows, columns) metres along the lens axis, inf: none
    """

    window: Window
    things: Grid
    depth_m: Array


@dataclass(frozen=True, eq=False)
class Projected:
    """Triangles before one camera, on a picture one unit wide.

    corners    (m, 3, 2) right of and below the middle of the picture
    inverse    (m, 3) one over the distance along the axis
    low, high  (m, 2) of the box round each
    """

    corners: Array
    inverse: Array
    things: Grid
    low: Array
    high: Array


def project(camera: StageCamera, surfaces: Surfaces, near_m: float = NEAR_M) -> Projected:
    """Triangles of the frame beyond `near_m` along the axis, cut there, on the picture plane."""
    # A little more than the frame, as heights are rounded to whole pixels.
    reach = np.array([0.5, 0.51 / camera.aspect]) * camera.sensor_width_m / camera.focal_length_m
    kept: list[Array] = []
    things: list[Grid] = []
    turn = camera.pose[:3, :3] * (1.0, 1.0, -1.0)
    for part in surfaces.parts:
        box = _outside((part.corners - camera.position_m) @ turn, reach, near_m)
        if np.bitwise_and.reduce(box):
            continue
        local = (part.points - camera.position_m.astype(np.float32)) @ turn.astype(np.float32)
        for corners in _within(local, part.faces, reach, near_m):
            kept.append(corners)
            things.append(np.full(len(corners), part.number, np.int32))
    for hair in surfaces.hair:
        box = _outside((hair.corners - camera.position_m) @ turn, reach, near_m)
        if np.bitwise_and.reduce(box):
            continue
        local = (hair.ends - camera.position_m.astype(np.float32)) @ turn.astype(np.float32)
        corners = _ribbons(local, hair.radius, reach, near_m)
        kept.append(corners)
        things.append(np.full(len(corners), hair.number, np.int32))
    if not kept:
        none = np.zeros((0, 2))
        return Projected(np.zeros((0, 3, 2)), np.zeros((0, 3)), np.zeros(0, np.int32), none, none)
    local = np.concatenate(kept)
    inverse = np.asarray(1.0 / local[:, :, 2], float)
    scale = camera.focal_length_m / camera.sensor_width_m
    corners = local[:, :, :2] * inverse[:, :, None] * (scale, -scale)
    low = np.minimum(np.minimum(corners[:, 0], corners[:, 1]), corners[:, 2])
    high = np.maximum(np.maximum(corners[:, 0], corners[:, 1]), corners[:, 2])
    return Projected(corners, inverse, np.concatenate(things), low, high)


def _outside(local: NDArray[np.floating], reach: NDArray[np.floating], near_m: float) -> Codes:
    """Which sides of the frame's pyramid points (n, 3: right, up, ahead) lie outside of: bits.

    What lies outside of one and the same side with all its points is not in the frame.
    """
    x, y, z = local[:, 0], local[:, 1], local[:, 2]
    wide, tall = z * reach[0], z * reach[1]
    sides = (x < -wide, x > wide, y < -tall, y > tall, z < near_m)
    code = np.zeros(len(local), np.uint8)
    for bit, side in enumerate(sides):
        code |= side.astype(np.uint8) << np.uint8(bit)
    return code


def _within(local: Points, faces: Index, reach: Array, near_m: float) -> Iterator[Array]:
    """Corners (k, 3, 3) of the triangles that may be in the frame, cut at the near plane."""
    code = _outside(local, reach.astype(np.float32), near_m)
    a, b, c = code[faces[:, 0]], code[faces[:, 1]], code[faces[:, 2]]
    inside = (a & b & c) == 0
    faces = faces[inside]
    behind = (a[inside] >> 4) + (b[inside] >> 4) + (c[inside] >> 4)
    yield local[faces[behind == 0]].astype(float)
    for in_front in (1, 2):
        some = faces[behind == 3 - in_front]
        if len(some):
            yield _cut(local[some].astype(float), near_m, in_front)


def _ribbons(local: Points, radius: Points, reach: Array, near_m: float) -> Array:
    """Rods (n, 2, 3) as two triangles each, turned flat to the camera: (k, 3, 3)."""
    code = _outside(local.reshape(-1, 3), reach.astype(np.float32), near_m).reshape(-1, 2)
    inside = ((code[:, 0] & code[:, 1]) == 0) & ((code[:, 0] | code[:, 1]) < 16)
    ends, radius = local[inside].astype(float), radius[inside].astype(float)
    flat = ends[:, :, :2] / ends[:, :, 2:]
    along = flat[:, 1] - flat[:, 0]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-12)
    side = np.zeros_like(ends)
    side[:, :, :2] = across[:, None] * radius[:, :, None]
    left, right = ends - side, ends + side
    first = np.stack([left[:, 0], right[:, 0], right[:, 1]], axis=1)
    second = np.stack([left[:, 0], right[:, 1], left[:, 1]], axis=1)
    return np.concatenate([first, second])


def _cut(corners: Array, near_m: float, in_front: int) -> Array:
    """What is left of triangles that reach behind the near plane: one or two for each."""
    front = corners[:, :, 2] >= near_m
    odd = front.argmax(axis=1) if in_front == 1 else (~front).argmax(axis=1)
    rows = np.arange(len(corners))
    a, b, c = (corners[rows, (odd + k) % 3] for k in range(3))
    ab, ac = _at_near(a, b, near_m), _at_near(a, c, near_m)
    if in_front == 1:
        return np.stack([a, ab, ac], axis=1)
    return np.concatenate([np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)])


def _at_near(here: Array, there: Array, near_m: float) -> Array:
    share = (near_m - here[:, 2]) / (there[:, 2] - here[:, 2])
    return np.asarray(here + share[:, None] * (there - here))


def rasterize(
    projected: Projected, width_px: int, height_px: int, window: Window | None = None
) -> Seen:
    """Nearest triangle through the pixel centres of a picture, or of a `window` of it."""
    window = window or Window(0, 0, width_px, height_px)
    rows, columns = window.shape
    nearest = np.zeros(rows * columns)
    things = np.zeros(rows * columns, np.int32)
    middle = np.array([0.5 * width_px - window.left, 0.5 * height_px - window.top]) - 0.5
    low = np.ceil(projected.low * width_px + middle)
    high = np.floor(projected.high * width_px + middle)
    low, high = np.maximum(low, 0.0), np.minimum(high, (columns - 1, rows - 1))
    some = np.flatnonzero((low[:, 0] <= high[:, 0]) & (low[:, 1] <= high[:, 1]))
    corners = projected.corners[some] * width_px + middle
    planes = _planes(corners, projected.inverse[some])
    owner, y = _counted(low[some, 1], high[some, 1])
    left, right = _row_ends(planes, owner, y, low[some, 0], high[some, 0])
    for lot in _lots(right - left + 1):
        row, x = _counted(left[lot], right[lot])
        row += lot.start
        inverse = (planes.inverse[owner, 1] * y + planes.inverse[owner, 2])[row]
        inverse += planes.inverse[owner, 0][row] * x
        pixel = y[row] * columns + x
        np.maximum.at(nearest, pixel, inverse)
        seen = inverse == nearest[pixel]
        things[pixel[seen]] = projected.things[some[owner[row[seen]]]]
    with np.errstate(divide="ignore"):
        depth = 1.0 / nearest
    return Seen(window, things.reshape(rows, columns), depth.reshape(rows, columns))


@dataclass(frozen=True, eq=False)
class _Planes:
    """What runs straight across each triangle, as a x + b y + c: (n, 3) of a, b, c.

    weights  of the three corners, all 0 or more inside
    inverse  one over the distance
    """

    weights: tuple[Array, Array, Array]
    inverse: Array


def _planes(corners: Array, inverse: Array) -> _Planes:
    """Of triangles (n, 3, 2) with the values (n, 3) at their corners; a flat one has none."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        per_area = 1.0 / area
        weights = []
        for here, there in ((b, c), (c, a)):
            dx, dy = (here[:, 1] - there[:, 1]) * per_area, (there[:, 0] - here[:, 0]) * per_area
            weights.append(np.stack([dx, dy, -(here[:, 0] * dx + here[:, 1] * dy)], axis=1))
        weights.append(np.array([0.0, 0.0, 1.0]) - weights[0] - weights[1])
        value = sum(inverse[:, k, None] * weights[k] for k in range(3))
    return _Planes((weights[0], weights[1], weights[2]), np.asarray(value))


def _counted(first: Array | Index, last: Array | Index) -> tuple[Index, Index]:
    """Every whole number from first to last of each: whose it is, and the number."""
    count = np.maximum(np.asarray(last - first, np.int64) + 1, 0)
    owner = np.repeat(np.arange(len(count)), count)
    start = np.asarray(first, np.int64) - (np.cumsum(count) - count)
    return owner, np.arange(len(owner)) + start[owner]


def _row_ends(
    planes: _Planes, owner: Index, y: Index, left: Array, right: Array
) -> tuple[Index, Index]:
    """First and last pixel of each row of each triangle that lie inside it."""
    low, high = left[owner], right[owner]
    with np.errstate(divide="ignore", invalid="ignore"):
        for plane in planes.weights:
            slope = plane[owner, 0]
            rest = plane[owner, 1] * y + plane[owner, 2]
            edge = -rest / slope
            rising = slope > 0.0
            np.maximum(low, np.where(rising, edge - ON_EDGE_PX, -np.inf), out=low)
            # Where the weight does not change along the row, the row is in or out as a whole.
            level = np.where(rest >= 0.0, np.inf, -np.inf)
            falls = np.where(slope < 0.0, edge + ON_EDGE_PX, np.where(rising, np.inf, level))
            np.minimum(high, falls, out=high)
    low, high = np.ceil(low), np.floor(high)
    # A flat triangle has no inside: its planes are nan.
    good = high >= low
    return np.where(good, low, 0.0).astype(np.int64), np.where(good, high, -1.0).astype(np.int64)


def _lots(pixels: Index) -> Iterator[slice]:
    """Rows in lots of at most so many pixels, give or take one row."""
    ends = np.flatnonzero(np.diff(np.cumsum(np.maximum(pixels, 0)) // MOST_PIXELS)) + 1
    starts = [0, *ends.tolist(), len(pixels)]
    for start, end in pairwise(starts):
        yield slice(start, end)
