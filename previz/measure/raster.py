"""A small z-buffer in numpy: which triangle is seen through each pixel's centre, how far away.

Exact where a renderer is: the same pinhole, the same pixel centres. It knows no light, no
blur and no glass, which is why it answers in a fraction of a second.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.measure.surfaces import Surfaces
from previz.stage.stage import Array, StageCamera

NEAR_M = 0.02
MOST_CELLS = 3_000_000
"""Pixels looked at in one go; keeps memory below some 300 MB."""

Grid = NDArray[np.int32]


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

    corners  (m, 3, 2) right of and below the middle of the picture
    inverse  (m, 3) one over the distance along the axis
    """

    corners: Array
    inverse: Array
    things: Grid


def project(camera: StageCamera, surfaces: Surfaces, near_m: float = NEAR_M) -> Projected:
    """Triangles in front of `near_m` along the axis, cut there, on the picture plane."""
    local = (surfaces.points - camera.position_m) @ camera.pose[:3, :3]
    ahead = -local[:, 2]
    in_front = (ahead[surfaces.faces] >= near_m).sum(axis=1)
    whole = in_front == 3
    corners, things = local[surfaces.faces[whole]], surfaces.things[whole]
    for count in (1, 2):
        some = in_front == count
        cut = _cut(local[surfaces.faces[some]], near_m, count)
        corners = np.concatenate([corners, cut])
        things = np.concatenate([things, np.tile(surfaces.things[some], count)])
    inverse = -1.0 / corners[:, :, 2]
    scale = camera.focal_length_m / camera.sensor_width_m
    projected = corners[:, :, :2] * inverse[:, :, None] * (scale, -scale)
    edge = (0.5, 0.51 / camera.aspect)  # a little more, as heights are rounded to whole pixels
    hit = (projected.max(axis=1) > np.negative(edge)).all(axis=1)
    hit &= (projected.min(axis=1) < edge).all(axis=1)
    return Projected(projected[hit], inverse[hit], things[hit])


def _cut(corners: Array, near_m: float, in_front: int) -> Array:
    """What is left of triangles that reach behind the near plane: one or two for each."""
    front = -corners[:, :, 2] >= near_m
    odd = front.argmax(axis=1) if in_front == 1 else (~front).argmax(axis=1)
    rows = np.arange(len(corners))
    a, b, c = (corners[rows, (odd + k) % 3] for k in range(3))
    ab, ac = _at_near(a, b, near_m), _at_near(a, c, near_m)
    if in_front == 1:
        return np.stack([a, ab, ac], axis=1)
    return np.concatenate([np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)])


def _at_near(here: Array, there: Array, near_m: float) -> Array:
    share = (-near_m - here[:, 2]) / (there[:, 2] - here[:, 2])
    return np.asarray(here + share[:, None] * (there - here))


def rasterize(
    projected: Projected, width_px: int, height_px: int, window: Window | None = None
) -> Seen:
    """Nearest triangle through the pixel centres of a picture, or of a `window` of it."""
    window = window or Window(0, 0, width_px, height_px)
    rows, columns = window.shape
    canvas = _Canvas(columns, np.zeros(rows * columns), np.zeros(rows * columns, np.int32))
    middle = (0.5 * width_px - window.left - 0.5, 0.5 * height_px - window.top - 0.5)
    corners = projected.corners * width_px + middle
    first = np.maximum(np.ceil(corners.min(axis=1)), 0).astype(np.int64)
    last = np.minimum(np.floor(corners.max(axis=1)), (columns - 1, rows - 1)).astype(np.int64)
    span = last - first + 1
    cells = np.where((span > 0).all(axis=1), span[:, 0] * span[:, 1], 0)
    some = np.flatnonzero(cells)
    for batch in _batches(some, cells[some]):
        canvas.fill(batch, corners, projected, _Cells(first[batch], span[batch]))
    with np.errstate(divide="ignore"):
        depth = 1.0 / canvas.inverse
    return Seen(window, canvas.things.reshape(rows, columns), depth.reshape(rows, columns))


def _batches(triangles: NDArray[np.int64], cells: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    if not len(triangles):
        return []
    number = np.cumsum(cells) // MOST_CELLS
    starts = np.flatnonzero(np.diff(number)) + 1
    return np.split(triangles, starts)


@dataclass(frozen=True, eq=False)
class _Cells:
    """First pixel (n, 2) of the boxes round some triangles, and how many across and down."""

    first: NDArray[np.int64]
    span: NDArray[np.int64]

    def spread(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
        """Every pixel of every box: which box, x, y."""
        cells = self.span[:, 0] * self.span[:, 1]
        owner = np.repeat(np.arange(len(cells)), cells)
        step = np.arange(len(owner)) - np.repeat(np.cumsum(cells) - cells, cells)
        row, column = np.divmod(step, self.span[owner, 0])
        return owner, column + self.first[owner, 0], row + self.first[owner, 1]


@dataclass(frozen=True, eq=False)
class _Canvas:
    """A picture in the making: one over the nearest distance so far, and whose it is."""

    columns: int
    inverse: Array
    things: Grid

    def fill(
        self, batch: NDArray[np.int64], corners: Array, projected: Projected, cells: _Cells
    ) -> None:
        """Take in the pixels of some triangles where they are nearest."""
        owner, x, y = cells.spread()
        weights = _weights(corners[batch], owner, x, y)
        inside = (weights >= 0.0).all(axis=0)
        owner, pixel = batch[owner[inside]], (y * self.columns + x)[inside]
        inverse = np.einsum("kn,nk->n", weights[:, inside], projected.inverse[owner])
        np.maximum.at(self.inverse, pixel, inverse)
        nearest = inverse == self.inverse[pixel]
        self.things[pixel[nearest]] = projected.things[owner[nearest]]


def _weights(
    corners: Array, owner: NDArray[np.int64], x: NDArray[np.int64], y: NDArray[np.int64]
) -> Array:
    """Barycentric weights (3, n) of pixel centres in their triangles; nan in a flat one."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        per_area = 1.0 / area
        found = []
        for here, there in ((b, c), (c, a)):
            dx, dy = (there[:, 1] - here[:, 1]) * -per_area, (there[:, 0] - here[:, 0]) * per_area
            constant = -(here[:, 0] * dx + here[:, 1] * dy)
            found.append(dx[owner] * x + dy[owner] * y + constant[owner])
        return np.stack([found[0], found[1], 1.0 - found[0] - found[1]])
