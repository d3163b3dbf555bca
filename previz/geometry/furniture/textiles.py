"""Rug and rolls of cloth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import Colour
from previz.geometry.furniture.joinery import rod_x
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import bounds_of, slab, sweep, tube
from previz.geometry.shell import Shell, X, piece


@dataclass(frozen=True, kw_only=True)
class Rug:
    """Woven rug: borders and lozenges in three colours, edges bound, fringes at the -X and +X ends.

    `width_m` is over the fringes, `height_m` the thickness.
    """

    width_m: float = 2.40
    depth_m: float = 1.60
    height_m: float = 0.010
    ground: Colour = (0.24, 0.045, 0.03)
    border: Colour = (0.03, 0.045, 0.08)
    figure: Colour = (0.5, 0.38, 0.22)
    fringe_m: float = 0.06
    seed: int = 1

    def _pattern(self, x: Array, y: Array) -> Array:
        """Colours at points of the rug, (rows, columns, 3)."""
        half = np.array([self.width_m / 2 - self.fringe_m, self.depth_m / 2])
        edge = np.minimum(half[0] - np.abs(x), half[1] - np.abs(y))
        ground, border, figure = (np.array(c) for c in (self.ground, self.border, self.figure))
        cell = 0.2
        # The offset keeps knots off the lozenges' very edges.
        u, v = (x + 0.5 * cell) / cell + 0.013, (y + 0.5 * cell) / cell + 0.009
        lozenge = np.abs(u % 1 - 0.5) + np.abs(v % 1 - 0.5)
        step = np.round(lozenge * 10) / 10
        colour = np.where((step < 0.35)[..., None], figure, ground)
        colour = np.where((step < 0.16)[..., None], border, colour)
        band = (edge < 0.24)[..., None]
        teeth = np.abs(((x + y) / 0.08 + 0.06) % 1 - 0.5) < 0.25
        colour = np.where(band, border, colour)
        inner = ((edge > 0.1) & (edge < 0.18) & teeth)[..., None]
        colour = np.where(inner, ground * 1.1, colour)
        lines = ((np.abs(edge - 0.22) < 0.012) | (np.abs(edge - 0.06) < 0.012))[..., None]
        return np.asarray(np.where(lines, figure, colour), float)

    def pieces(self) -> tuple[Piece, ...]:
        """The rug, its fringes."""
        rng = np.random.default_rng(self.seed)
        w, d, h = self.width_m / 2 - self.fringe_m, self.depth_m / 2, self.height_m
        columns, rows = (int(np.clip(round(span / 0.02), 20, 170)) + 1 for span in (2 * w, 2 * d))
        xs, ys = np.linspace(-w, w, columns), np.linspace(-d, d, rows)
        x, y = np.meshgrid(xs, ys, indexing="ij")
        # The bound edge is lower than the pile.
        edge = np.minimum(w - np.abs(x), d - np.abs(y))
        z = h * (0.55 + 0.45 * np.clip(edge / 0.02, 0, 1))
        body = slab(np.stack([x, y, z], axis=-1), 0.0)
        worn = 1 + 0.08 * rng.standard_normal((columns, rows, 1))
        colours = np.clip(self._pattern(x, y) * worn, 0.005, 0.9).reshape(-1, 3)
        below = np.tile(self.border, (len(body.vertices) - len(colours), 1))
        rug = Shell(body.vertices, body.faces, np.concatenate([colours, below]))
        return (
            piece("rug", rug, "rug_wool", smooth=True, grain=X),
            piece("fringes", self._fringes(rng), "rope", colour=(0.55, 0.47, 0.34)),
        )

    def _fringes(self, rng: np.random.Generator) -> list[Shell]:
        r, root = 0.0025, self.width_m / 2 - self.fringe_m - 0.004
        thread = tube([(0, 0, r), (1, 0, r)], r, 4)
        ys = np.arange(-self.depth_m / 2 + 0.01, self.depth_m / 2 - 0.0095, 0.016)
        threads = []
        for side in (-1, 1):
            for k, y in enumerate(ys):
                share = 1.0 if k == 0 else float(rng.uniform(0.85, 1))
                slant = 0.0 if k == 0 else float(np.clip(rng.normal(0, 0.003), -0.006, 0.006))
                place = np.eye(4)
                place[0, 0], place[1, 0] = side * (self.fringe_m * share + 0.004), slant
                place[:2, 3] = side * root, y
                threads.append(thread.moved(place))
        return threads


@dataclass(frozen=True, kw_only=True)
class ClothRolls:
    """Rolls of book cloth lying along X in a pyramid; each shows its spiral end and core."""

    width_m: float = 0.90
    depth_m: float = 0.34
    height_m: float = 0.30
    rolls: int = 6
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Cloth, cores."""
        rng = np.random.default_rng(self.seed)
        below = 3
        r = self.depth_m / (2 * below)
        rise = (self.height_m - 2 * r) / 2
        spots = [(k - 1, 0) for k in range(3)] + [(-0.5, 1), (0.5, 1), (0.0, 2)]
        dyes = [
            (0.3, 0.05, 0.04),
            (0.04, 0.07, 0.14),
            (0.42, 0.34, 0.2),
            (0.05, 0.11, 0.07),
            (0.36, 0.36, 0.34),
            (0.22, 0.1, 0.03),
        ]
        cloth, cores = [], []
        for k, (column, row) in enumerate(spots[: self.rolls]):
            long = self.width_m if k == 0 else self.width_m * float(rng.uniform(0.86, 0.98))
            y, z = 2 * r * column, r + row * rise
            roll = self._roll(r, long).shifted(y=y, z=z).painted(dyes[k % len(dyes)])
            cloth.append(roll)
            cores.append(rod_x(long - 0.004, 0.014).shifted(y=y, z=z))
        # A wound strip is a little less than round: stretch the heap to its exact size.
        low, high = bounds_of(cloth)
        fit = np.diag([1.0, self.depth_m / (high[1] - low[1]), self.height_m / high[2], 1.0])
        fit[1, 3] = -fit[1, 1] * (low[1] + high[1]) / 2
        cloth, cores = ([s.moved(fit) for s in shells] for shells in (cloth, cores))
        return (
            piece("rolls", cloth, "cloth_book", smooth=False, grain=X),
            piece("cores", cores, "cardboard"),
        )

    @staticmethod
    def _roll(radius: float, length: float) -> Shell:
        """A wound strip: its section spirals in over four turns."""
        turns, per = 4, 28
        angle = np.linspace(0, 2 * np.pi * turns, turns * per + 1)
        outer = radius - (radius - 0.016) * angle / angle[-1]
        outer[: per + 1] = radius - 0.0015 * angle[: per + 1] / (2 * np.pi)
        pitch = 0.4 * (radius - 0.016) / turns
        inner = outer - pitch
        strip = np.concatenate(
            [
                np.column_stack([outer * np.sin(angle), -outer * np.cos(angle)]),
                np.column_stack([inner * np.sin(angle), -inner * np.cos(angle)])[::-1],
            ]
        )
        path = [(-length / 2, 0, 0), (length / 2, 0, 0)]
        return sweep(path, strip, up=(0, 0, 1))
