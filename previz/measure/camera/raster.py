"""A small z-buffer in numpy: which triangle is seen through each pixel's centre, how far away.

Exact where a renderer is: the same pinhole, the same pixel centres. It knows no light, no
blur and no glass, which is why it answers in a fraction of a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from previz.measure.camera.pyramid import PixelWindow, Pyramid, whole_pyramid
from previz.measure.camera.surfaces import Index, Occluders, Points
from previz.stage.stage import Array, StageCamera

NEAR_M = 0.02
MOST_PIXELS = 3_000_000
"""Pixels filled in one go; keeps memory below some 200 MB."""
ON_EDGE_PX = 1e-6
"""A pixel's centre this near to an edge that two triangles share belongs to both."""
Grid = NDArray[np.int32]
Codes = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Seen:
    """What stands behind each pixel centre of a window.

    things   (rows, columns) number of the thing, 0: none
    depth_m  (rows, columns) metres along the lens axis, inf: none
    """

    window: PixelWindow
    things: Grid
    depth_m: Array


@dataclass(frozen=True, eq=False)
class Projected:
    """Triangles before one camera, on a picture one unit wide.

    x, y       (3, m) of the corners, right of and below the middle of the picture
    inverse    (3, m) one over the distance along the axis
    things     (m,) numbers
    low, high  (2, m) of the box round each
    """

    x: Array
    y: Array
    inverse: Array
    things: Grid
    low: Array
    high: Array


def project(
    camera: StageCamera,
    surfaces: Occluders,
    near_m: float = NEAR_M,
    pyramid: Pyramid | None = None,
) -> Projected:
    """Triangles of the frame beyond `near_m` along the axis, cut there, on the picture plane.

    Those alone that may reach into a `pyramid`, if one is given.
    """
    reach = pyramid or whole_pyramid(camera)
    kept: list[Array] = []
    things: list[Grid] = []
    turn = camera.pose[:3, :3] * (1.0, 1.0, -1.0)
    for part in surfaces.parts:
        if _apart(part.corners, camera, turn, reach, near_m):
            continue
        for corners in _within(_local(part.points, camera, turn), part.faces, reach, near_m):
            kept.append(corners)
            things.append(np.full(corners.shape[2], part.number, np.int32))
    for hair in surfaces.hair:
        if _apart(hair.corners, camera, turn, reach, near_m):
            continue
        first, second = (_local(end, camera, turn) for end in hair.ends)
        corners = _ribbons(first, second, hair.radius, reach, near_m)
        kept.append(corners)
        things.append(np.full(corners.shape[2], hair.number, np.int32))
    if not kept:
        kept, things = [np.zeros((3, 3, 0))], [np.zeros(0, np.int32)]
    local = np.concatenate(kept, axis=2)
    inverse = 1.0 / local[2]
    scale = camera.focal_length_m / camera.sensor_width_m
    x, y = local[0] * inverse * scale, local[1] * inverse * -scale
    low, high = np.empty((2, x.shape[1])), np.empty((2, x.shape[1]))
    for axis, v in enumerate((x, y)):
        np.minimum(np.minimum(v[0], v[1]), v[2], out=low[axis])
        np.maximum(np.maximum(v[0], v[1]), v[2], out=high[axis])
    return Projected(x, y, inverse, np.concatenate(things), low, high)


@dataclass(frozen=True)
class Reach:
    """Columns and rows of a picture that surfaces might reach to, and how far from the lens.

    The last of each is not in it; farthest_m is metres along the axis.
    """

    across: tuple[int, int]
    down: tuple[int, int]
    farthest_m: float


def reach_of(camera: StageCamera, surfaces: Occluders, size: tuple[int, int]) -> Reach:
    """Reach of surfaces; the whole picture where a point is not well before the lens."""
    turn = camera.pose[:3, :3] * (1.0, 1.0, -1.0)
    scale = float(camera.focal_length_m / camera.sensor_width_m * size[0])
    lows, highs, nearest_m, farthest_m = [], [], np.inf, 0.0
    clouds = [(part.points, 0.0) for part in surfaces.parts]
    clouds += [(end, float(h.radius.max(initial=0.0))) for h in surfaces.hair for end in h.ends]
    for points, radius in clouds:
        x, y, z = _local(points, camera, turn)
        nearest_m = min(nearest_m, float(z.min(initial=np.inf)))
        farthest_m = max(farthest_m, float(z.max(initial=0.0)))
        if nearest_m < NEAR_M:
            continue
        at = np.stack([x / z, -y / z]) * scale
        beside = radius / nearest_m * scale
        lows.append(at.min(axis=1, initial=np.inf) - beside)
        highs.append(at.max(axis=1, initial=-np.inf) + beside)
    # More than the rounding of single precision anywhere in a room.
    farthest_m += 1e-3
    if nearest_m < NEAR_M:
        return Reach((0, size[0]), (0, size[1]), farthest_m)
    middle = 0.5 * np.asarray(size)
    low = np.clip(np.floor(np.min(lows, axis=0) + middle) - 1, 0, size)
    high = np.clip(np.ceil(np.max(highs, axis=0) + middle) + 1, 0, size)
    return Reach((int(low[0]), int(high[0])), (int(low[1]), int(high[1])), farthest_m)


def nearer_than(projected: Projected, far_m: float) -> Projected:
    """Those triangles of which something is nearer: no others hide what is nearer still."""
    some = projected.inverse.max(axis=0, initial=0.0) > 1.0 / far_m
    return Projected(
        projected.x[:, some],
        projected.y[:, some],
        projected.inverse[:, some],
        projected.things[some],
        projected.low[:, some],
        projected.high[:, some],
    )


def _local(points: Points, camera: StageCamera, turn: Array) -> Points:
    """Points (3, n) as seen by a camera: right, up and ahead."""
    away = points - camera.position_m.astype(np.float32)[:, None]
    return np.asarray(turn.astype(np.float32).T @ away)


def in_frame(surfaces: Occluders, camera: StageCamera) -> Occluders:
    """Of all surfaces those that may be in a frame, by their boxes: it rests on no others."""
    turn, reach = camera.pose[:3, :3] * (1.0, 1.0, -1.0), whole_pyramid(camera)
    return Occluders(
        tuple(p for p in surfaces.parts if not _apart(p.corners, camera, turn, reach, NEAR_M)),
        tuple(h for h in surfaces.hair if not _apart(h.corners, camera, turn, reach, NEAR_M)),
    )


def _apart(box: Array, camera: StageCamera, turn: Array, reach: Pyramid, near_m: float) -> bool:
    """Whether the corners (8, 3) of a box lie outside the frame on one side of it."""
    code = _outside(((box - camera.position_m) @ turn).T, reach, near_m)
    return bool(np.bitwise_and.reduce(code))


def _outside(local: NDArray[np.floating], reach: Pyramid, near_m: float) -> Codes:
    """Which sides of the frame's pyramid points (3, n: right, up, ahead) lie outside of: bits.

    What lies outside of one and the same side with all its points is not in the frame.
    """
    x, y, z = local
    sides = (
        x < z * reach.left, x > z * reach.right, y < z * reach.low, y > z * reach.high, z < near_m,
    )  # fmt: skip
    code = np.zeros(len(z), np.uint8)
    for bit, side in enumerate(sides):
        code |= side.view(np.uint8) << np.uint8(bit)
    return code


def _within(local: Points, sides: Index, reach: Pyramid, near_m: float) -> Iterator[Array]:
    """Corners (axis, corner, k) of what may be in the frame, cut at the near plane."""
    code = _outside(local, reach, near_m)
    a, b, c = code[sides]
    inside = np.flatnonzero((a & b & c) == 0)
    sides = sides[:, inside]
    behind = (a[inside] >> 4) + (b[inside] >> 4) + (c[inside] >> 4)
    yield local[:, sides[:, behind == 0]].astype(float)
    for in_front in (1, 2):
        some = sides[:, behind == 3 - in_front]
        if some.size:
            yield _cut(local[:, some].astype(float), near_m, in_front)


def _ribbons(first: Points, second: Points, radius: Points, reach: Pyramid, near_m: float) -> Array:
    """Rods between ends (3, n) as two triangles each, turned flat to the camera: (3, 3, 2 n)."""
    one, other = (_outside(end, reach, near_m) for end in (first, second))
    inside = np.flatnonzero(((one & other) == 0) & ((one | other) < 16))
    start, end = first[:, inside].astype(float), second[:, inside].astype(float)
    along = end[:2] / end[2] - start[:2] / start[2]
    length = np.maximum(np.sqrt(along[0] * along[0] + along[1] * along[1]), 1e-12)
    across = np.stack([-along[1] / length, along[0] / length])
    corners = np.empty((4, 3, len(inside)))
    for k, (middle, thick) in enumerate(zip((start, end), radius[:, inside], strict=True)):
        side = across * thick
        corners[k, :2], corners[2 + k, :2] = middle[:2] - side, middle[:2] + side
        corners[k, 2] = corners[2 + k, 2] = middle[2]
    # Left and right of the start are 0 and 2, of the end 1 and 3.
    halves = [corners[[0, 2, 3]], corners[[0, 3, 1]]]
    return np.concatenate(halves, axis=2).transpose(1, 0, 2)


def _cut(corners: Array, near_m: float, in_front: int) -> Array:
    """What is left of triangles that reach behind the near plane: one or two for each."""
    front = corners[2] >= near_m
    odd = front.argmax(axis=0) if in_front == 1 else (~front).argmax(axis=0)
    columns = np.arange(corners.shape[2])
    a, b, c = (corners[:, (odd + k) % 3, columns] for k in range(3))
    ab, ac = _at_near(a, b, near_m), _at_near(a, c, near_m)
    if in_front == 1:
        return np.stack([a, ab, ac], axis=1)
    return np.concatenate([np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)], axis=2)


def _at_near(here: Array, there: Array, near_m: float) -> Array:
    share = (near_m - here[2]) / (there[2] - here[2])
    return np.asarray(here + share * (there - here))


def rasterize(
    layers: Iterable[Projected], width_px: int, height_px: int, window: PixelWindow | None = None
) -> Seen:
    """Nearest triangle through the pixel centres of a picture, or of a `window` of it."""
    window = window or PixelWindow(0, 0, width_px, height_px)
    rows, columns = window.shape
    nearest = np.zeros(rows * columns)
    things = np.zeros(rows * columns, np.int32)
    for projected in layers:
        _fill(nearest, things, projected, (width_px, height_px), window)
    with np.errstate(divide="ignore"):
        depth = 1.0 / nearest
    return Seen(window, things.reshape(rows, columns), depth.reshape(rows, columns))


def _fill(
    nearest: Array, things: Grid, projected: Projected, size: tuple[int, int], window: PixelWindow
) -> None:
    """Draw triangles into the pixels of a window, where they are nearer than what is there."""
    width_px, height_px = size
    rows, columns = window.shape
    middle = (0.5 * width_px - window.left - 0.5, 0.5 * height_px - window.top - 0.5)
    some, (left_most, right_most), (top, bottom) = _touching(
        projected, width_px, middle, (columns, rows)
    )
    x, y = projected.x[:, some] * width_px + middle[0], projected.y[:, some] * width_px + middle[1]
    planes = _planes(x, y, projected.inverse[:, some])
    owner, row_y = _counted(top, bottom)
    left, right = _row_ends(planes, owner, row_y, left_most, right_most)
    slope, rest = planes.inverse[0][owner], planes.inverse[1][owner] * row_y
    rest += planes.inverse[2][owner]
    of_row = projected.things[some][owner]
    start = row_y * columns
    for lot in _lots(right - left + 1):
        row, across = _counted(left[lot], right[lot])
        row += lot.start
        inverse = rest[row]
        inverse += slope[row] * across
        pixel = start[row] + across
        np.maximum.at(nearest, pixel, inverse)
        seen = inverse == nearest[pixel]
        things[pixel[seen]] = of_row[row[seen]]


def _touching(
    projected: Projected, width_px: int, middle: tuple[float, float], size: tuple[int, int]
) -> tuple[Index, tuple[Array, Array], tuple[Array, Array]]:
    """Triangles whose boxes hold a pixel's centre of a window, and those boxes in pixels."""
    some = np.arange(len(projected.things))
    ends: list[tuple[Array, Array]] = []
    for axis in (1, 0):  # fewer are left after the rows
        low = np.ceil(projected.low[axis][some] * width_px + middle[axis])
        high = np.floor(projected.high[axis][some] * width_px + middle[axis])
        low, high = np.maximum(low, 0.0), np.minimum(high, size[axis] - 1)
        here = np.flatnonzero(low <= high)
        some = some[here]
        ends = [(first[here], last[here]) for first, last in (*ends, (low, high))]
    return some, ends[1], ends[0]


@dataclass(frozen=True, eq=False)
class _Planes:
    """What runs straight across each triangle, as a x + b y + c: (3, n) of a, b, c.

    weights  of the three corners, all 0 or more inside
    inverse  one over the distance
    """

    weights: tuple[Array, Array, Array]
    inverse: Array


def _planes(x: Array, y: Array, inverse: Array) -> _Planes:
    """Of triangles (3, n) with the values (3, n) at their corners; a flat one has none."""
    area = (x[1] - x[0]) * (y[2] - y[0]) - (y[1] - y[0]) * (x[2] - x[0])
    with np.errstate(divide="ignore", invalid="ignore"):
        per_area = 1.0 / area
        weights = []
        for here, there in ((1, 2), (2, 0)):
            dx, dy = (y[here] - y[there]) * per_area, (x[there] - x[here]) * per_area
            weights.append(np.stack([dx, dy, -(x[here] * dx + y[here] * dy)]))
        weights.append(np.array([[0.0], [0.0], [1.0]]) - weights[0] - weights[1])
        value = sum(inverse[k] * weights[k] for k in range(3))
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
            slope = plane[0][owner]
            rest = plane[1][owner] * y + plane[2][owner]
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
