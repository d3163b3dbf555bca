"""Stacks of paper, open books, radiator."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.books import Bindings, any_book
from previz.geometry.piece import Piece
from previz.geometry.primitives import box, rod, rounded_box, sweep, tube
from previz.geometry.shell import Shell, Y, Z, piece, shift, turn


@dataclass(frozen=True, kw_only=True)
class PaperStack:
    """Sheaves of paper, each a little askew; the lowest fills the footprint."""

    width_m: float = 0.30
    depth_m: float = 0.22
    height_m: float = 0.06
    sheaves: int = 9
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """The sheaves, in slightly different whites."""
        rng = np.random.default_rng(self.seed)
        levels = np.sort(rng.uniform(0.1, 0.95, self.sheaves - 1)) * self.height_m
        edges = np.concatenate([[0], levels, [self.height_m]])
        sheaves = []
        for k in range(self.sheaves):
            low, high = float(edges[k]), float(edges[k + 1])
            shrink = 1.0 if k == 0 else float(rng.uniform(0.9, 0.95))
            w, d = self.width_m / 2 * shrink, self.depth_m / 2 * shrink
            sheaf = box((-w, -d, low), (w, d, high), 0.0006)
            if k:
                sheaf = sheaf.moved(turn(Z, float(np.clip(rng.normal(0, 0.012), -0.02, 0.02))))
            sheaves.append(sheaf.painted(np.array([0.74, 0.7, 0.6]) * rng.uniform(0.85, 1.1)))
        return (piece("paper", sheaves, "paper"),)


@dataclass(frozen=True, kw_only=True)
class BookPile:
    """Books lying on one another, the largest below; `width_m` is the spine's length of that."""

    width_m: float = 0.30
    books: int = 5
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Covers and pages."""
        rng = np.random.default_rng(self.seed)
        pile, z = Bindings(), 0.0
        chosen = [any_book(rng, self.width_m * 0.9, 0.3) for _ in range(self.books)]
        chosen.sort(key=lambda book: -book.height_m * book.depth_m)
        for k, book in enumerate(chosen):
            grow = self.width_m / book.height_m if k == 0 else 1.0
            flat = turn(Y, np.pi / 2)
            middle = shift(-book.height_m / 2, -book.depth_m / 2, book.thickness_m)
            stretch = np.diag([grow, 1.0, 1.0, 1.0])
            askew = turn(Z, float(np.clip(rng.normal(0, 0.09), -0.15, 0.15)) if k else 0.0)
            pile.add(book.shells(), shift(z=z) @ askew @ stretch @ middle @ flat)
            z += book.thickness_m
        return pile.pieces()


@dataclass(frozen=True, kw_only=True)
class OpenBook:
    """Book lying open, its reader on the -Y side; pages curve into the gutter."""

    width_m: float = 0.42
    depth_m: float = 0.28
    height_m: float = 0.032
    leather: bool = True

    def pieces(self) -> tuple[Piece, ...]:
        """Two boards with the spine, and the two page blocks."""
        w, d, h = self.width_m / 2, self.depth_m / 2, self.height_m
        right = box((0.006, -d, 0), (w, d, 0.003), 0.001)
        cover = [right, right.mirrored_x()]
        cover.append(box((-0.01, -d, 0.0), (0.01, d, 0.0025), 0.001))
        t = np.linspace(0, 1, 12)
        swell = 0.45 * h + (h - 0.45 * h - 0.003) * np.sin(np.pi * np.clip(t * 1.25, 0, 1)) ** 0.6
        fall = np.where(t > 0.4, 1 - 0.5 * ((t - 0.4) / 0.6) ** 2, 1.0)
        top = 0.003 + np.maximum(swell, 0.35 * h) * fall
        top *= h / top.max()
        top[0] = 0.45 * h
        x = 0.001 + t * (w - 0.01)
        outline = np.concatenate([np.column_stack([x, top]), [(x[-1], 0.0028), (x[0], 0.0028)]])
        block = sweep([(0, -d + 0.005, 0), (0, d - 0.005, 0)], outline, up=Z)
        pages = [block, block.mirrored_x()]
        material = "leather_brown" if self.leather else "cloth_book"
        return (
            piece("cover", cover, material, grain=Y),
            piece("pages", pages, "paper", colour=(0.68, 0.62, 0.5)),
        )


@dataclass(frozen=True, kw_only=True)
class Radiator:
    """Column radiator under a window: sections of four tubes, on feet, with pipe and valve.

    Stands on the floor, its front to -Y; fixed to the wall behind by its depth.
    """

    width_m: float = 1.00
    depth_m: float = 0.14
    height_m: float = 0.60
    colour: tuple[float, float, float] = (0.68, 0.66, 0.6)

    def pieces(self) -> tuple[Piece, ...]:
        """Columns with their headers, valve and pipe."""
        h, d = self.height_m, self.depth_m / 2
        pitch = 0.048
        body = self.width_m - 0.09
        count = max(3, int(body / pitch))
        left = -self.width_m / 2
        xs = left + 0.5 * body / count + np.arange(count) * body / count
        columns: list[Shell] = []
        head = rounded_box((body / count, 2 * d, 0.05), 0.018, 1)
        for x in xs:
            columns += [head.shifted(float(x), 0, z) for z in (h - 0.025, 0.105)]
            for y in np.linspace(-d + 0.018, d - 0.018, 3):
                columns.append(rod((x, y, 0.1), (x, y, h - 0.02), 0.0145, sections=10))
        for x in (xs[0], xs[-1]):
            columns += [
                box((x - 0.015, y - 0.014, 0), (x + 0.015, y + 0.014, 0.1), 0.004)
                for y in (-d + 0.018, d - 0.018)
            ]
        right = self.width_m / 2
        pipe = tube(
            [(right - 0.09, 0, 0.105), (right - 0.03, 0, 0.105), (right - 0.03, 0, 0.0)], 0.011, 12
        )
        valve = [
            rod((right - 0.03, 0, 0.105), (right - 0.03, 0, 0.165), 0.019, 0.017, sections=18),
            rod((right - 0.06, 0, 0.105), (right, 0, 0.105), 0.014),
        ]
        return (
            piece("columns", columns, "painted_wood", smooth=True, colour=self.colour, grain=Z),
            piece("pipe", pipe, "painted_wood", smooth=True, colour=self.colour),
            piece("valve", valve, "plastic_white", smooth=True),
        )
