"""The posed head as hair meets it: what a strand may not go through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index

AROUND = 72  # columns of the table, one every five degrees
UP = 24  # rows from the middle of the head to its top
ROW_M = 0.004  # height of a row below the middle
DOWN = 110  # rows below it
FAR_M = 0.40  # nothing further out is felt


@dataclass(frozen=True, eq=False)
class HeadForm:
    """How far head, neck and clothes reach from the axis of the head.

    centre, radii   ellipsoid (3,) that fits the scalp, in the head's own axes
    turn            (3, 3) the head's rotation
    reach           (AROUND, DOWN + UP + 1) metres: above the middle out of the centre by direction,
                    below it out of the axis by height
    """

    centre: Array
    radii: Array
    turn: Array
    reach: Array

    def local(self, points: Array) -> Array:
        """World points in the head's own axes, from its centre: +X left, -Y front, +Z up."""
        return np.asarray((points - self.centre) @ self.turn)

    def world(self, local: Array) -> Array:
        """Back from the head's own axes."""
        return np.asarray(local @ self.turn.T + self.centre)

    def over(self, points: Array) -> Array:
        """Height (n,) of local points (n, 3) over what lies under them, metres; inside below 0."""
        column, row, far = _place(points)
        return np.asarray(far - _read(self.reach, column, row))

    def clear(self, points: Array, margin_m: Array | float) -> Array:
        """Local points (n, 3), those less than `margin_m` outside moved out to it."""
        out = points
        for _ in range(2):
            column, row, far = _place(out)
            here = _read(self.reach, column, row)
            lacking = np.clip(here + margin_m - far, 0.0, None)
            # On a shoulder the way out is up, on a neck it is sideways.
            steep = (_read(self.reach, column, row + 1.0) - here) / ROW_M
            steep = np.where(out[:, 2] < 0.0, np.clip(steep, -4.0, 4.0), 0.0)
            step = lacking / (1.0 + steep**2)
            ray = out.copy()
            ray[:, 2] = np.where(out[:, 2] < 0.0, 0.0, out[:, 2])
            ray /= np.maximum(np.linalg.norm(ray, axis=1, keepdims=True), 1e-9)
            out = out + step[:, None] * ray
            out[:, 2] -= step * steep
        return np.asarray(out)


def head_form(scalp: Array, around: list[tuple[Array, Index]], turn: Array) -> HeadForm:
    """The form of a posed head.

    scalp   (n, 3) points where hair grows, which the ellipsoid is fitted to
    around  meshes (vertices, faces) of skin and clothes
    turn    (3, 3) the head's rotation
    """
    own = scalp @ turn
    low, high = own.min(axis=0), own.max(axis=0)
    half = 0.5 * (high - low)
    # The scalp is open below: its width and depth are right, its height is from the top down.
    radii = np.array([half[0], half[1], 0.5 * (half[0] + half[1])])
    middle = 0.5 * (low + high)
    middle[2] = high[2] - radii[2]
    centre = turn @ middle
    points = np.concatenate([_sampled(v, f) for v, f in around])
    points = (points - centre) @ turn
    near = np.linalg.norm(points, axis=1) < FAR_M
    return HeadForm(centre, radii, turn, _table(points[near]))


def _sampled(vertices: Array, faces: Index) -> Array:
    """Corners, middles of sides and of triangles."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return np.concatenate([vertices, 0.5 * (a + b), 0.5 * (b + c), (a + b + c) / 3.0])


def _place(points: Array) -> tuple[Array, Array, Array]:
    """Column, row and distance of local points, as the table counts them."""
    x, y, z = points.T
    side = np.hypot(x, y)
    column = np.arctan2(x, -y) * (AROUND / (2.0 * np.pi))
    up = np.arctan2(z, np.maximum(side, 1e-9)) * (UP / (0.5 * np.pi))
    row = DOWN + np.where(z < 0.0, np.maximum(z / ROW_M, -float(DOWN)), up)
    return column, row, np.where(z < 0.0, side, np.hypot(side, z))


def _read(reach: Array, column: Array, row: Array) -> Array:
    """The table between its entries."""
    row = np.clip(row, 0.0, DOWN + UP - 1e-6)
    c, r = np.floor(column).astype(int), np.floor(row).astype(int)
    u, v = column - c, row - r
    c0, c1 = c % AROUND, (c + 1) % AROUND
    low = reach[c0, r] * (1.0 - u) + reach[c1, r] * u
    high = reach[c0, r + 1] * (1.0 - u) + reach[c1, r + 1] * u
    return np.asarray(low * (1.0 - v) + high * v)


def _table(points: Array) -> Array:
    """Furthest point in every column and row; gaps are filled from beside them."""
    column, row, far = _place(points)
    c = np.round(column).astype(int) % AROUND
    r = np.clip(np.round(row).astype(int), 0, DOWN + UP)
    reach = np.zeros((AROUND, DOWN + UP + 1))
    np.maximum.at(reach, (c, r), far)
    reach[:, -1] = reach[:, -1].max()
    rows = np.arange(DOWN + UP + 1)
    for line in reach:
        there = line > 0.0
        line[~there] = np.interp(rows[~there], rows[there], line[there])
    # A little inwards of a corner everywhere is better than a spike.
    padded = np.concatenate([reach[-1:], reach, reach[:1]])
    return np.asarray(0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:])
