"""Book shelves: an open carcass, books that differ, and the boxes and jars between them."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from previz.geometry.furniture.books import Bindings, fill_row
from previz.geometry.furniture.containers import archive_box, jar
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import box
from previz.geometry.shell import Shell, X, Z, piece, shift

BOARD_M = 0.022
POTTERY = ((0.62, 0.58, 0.5), (0.05, 0.11, 0.17), (0.3, 0.12, 0.06), (0.2, 0.24, 0.19))
CARDS = ((0.32, 0.22, 0.13), (0.08, 0.085, 0.09), (0.5, 0.46, 0.38), (0.1, 0.16, 0.2))


@dataclass
class _Objects:
    """What stands between the books, gathered by material."""

    boxes: list[Shell] = field(default_factory=list)
    labels: list[Shell] = field(default_factory=list)
    jars: list[Shell] = field(default_factory=list)

    def stand(
        self, rng: np.random.Generator, origin: Array, width: float, clear: float, depth: float
    ) -> None:
        """Put boxes and jars into a gap along X from `origin`, on its plane z = 0."""
        x = 0.02
        while True:
            if rng.random() < 0.4:
                size = float(rng.uniform(0.11, 0.26)), float(rng.uniform(0.4, 0.75)) * clear
                if x + size[0] > width:
                    return
                body, label = archive_box(size[0], min(depth - 0.03, 0.27), size[1])
                at = origin @ shift(x, float(rng.uniform(0, 0.012)))
                self.boxes.append(body.moved(at).painted(CARDS[rng.integers(len(CARDS))]))
                self.labels.append(label.moved(at))
            else:
                size = float(rng.uniform(0.07, 0.13)), float(rng.uniform(1.1, 1.7))
                if x + size[0] > width:
                    return
                pot = jar(size[0], min(size[0] * size[1], 0.85 * clear))
                at = origin @ shift(x + size[0] / 2, depth * float(rng.uniform(0.35, 0.5)))
                self.jars.append(pot.moved(at).painted(POTTERY[rng.integers(len(POTTERY))]))
            x += size[0] + float(rng.uniform(0.02, 0.12))

    def pieces(self) -> tuple[Piece, ...]:
        """Boxes, labels, jars; kinds that do not occur are left out."""
        kinds = (
            ("boxes", self.boxes, "cardboard", False),
            ("labels", self.labels, "paper", False),
            ("jars", self.jars, "ceramic_white", True),
        )
        return tuple(piece(n, s, m, smooth=soft) for n, s, m, soft in kinds if s)


@dataclass(frozen=True, kw_only=True)
class Shelves:
    """Open shelves with a back panel and a plinth, filled with books.

    Clear heights of about 0.36 m: common practice, no source. `boards` counts them with the top
    one, `bays` divides the width, `fill` (0..1) is about the share of each board under books,
    `objects` puts boxes and jars into the rest.
    """

    width_m: float = 1.20
    depth_m: float = 0.30
    height_m: float = 2.00
    boards: int = 6
    bays: int = 1
    fill: float = 0.85
    wood: str = "oak"
    objects: bool = True
    seed: int = 1

    def _levels(self) -> Array:
        """Heights of the boards' tops; the last one closes the carcass."""
        return np.linspace(0.082, self.height_m, self.boards)

    def _uprights(self) -> Array:
        """Middles of the upright sides along X."""
        reach = (self.width_m - BOARD_M) / 2
        return np.linspace(-reach, reach, self.bays + 1)

    def _carcass(self) -> tuple[list[Shell], list[Shell], Shell]:
        w, t, h = self.width_m / 2, BOARD_M, self.height_m
        front, rear = -self.depth_m / 2, self.depth_m / 2
        edges = self._uprights()
        sides = [box((x - t / 2, front, 0), (x + t / 2, rear - 0.008, h), 0.002) for x in edges]
        boards = [box((-w + t, front + 0.03, 0), (w - t, front + 0.05, 0.061), 0.002)]
        for a, b in pairwise(edges):
            for z in self._levels():
                low, high = (a + t / 2, front + 0.003, z - t), (b - t / 2, rear - 0.008, z)
                boards.append(box(low, high, 0.0015))
        panel = box((-w + 0.004, rear - 0.009, 0.03), (w - 0.004, rear, h - 0.002), 0.001)
        return sides, boards, panel

    def pieces(self) -> tuple[Piece, ...]:
        """Sides, boards, back panel, then what stands on the boards."""
        sides, boards, panel = self._carcass()
        rng = np.random.default_rng(self.seed)
        books, objects = Bindings(), _Objects()
        levels, edges, t = self._levels(), self._uprights(), BOARD_M
        for low, high in pairwise(levels):
            for left, right in pairwise(edges):
                width, clear = right - left - t - 0.003, high - t - low
                keep = width * max(0.0, 1 - self.fill * float(rng.uniform(0.7, 1.15)))
                depth = self.depth_m - 0.025
                row, reach = fill_row(rng, width, clear, depth, keep)
                origin = shift(left + t / 2 + 0.0015, -self.depth_m / 2 + 0.015, low)
                books.add(row, origin)
                if self.objects:
                    objects.stand(rng, origin @ shift(reach), width - reach, clear, depth)
        return (
            piece("sides", sides, self.wood, grain=Z),
            piece("boards", boards, self.wood, grain=X),
            piece("back panel", panel, self.wood, grain=Z),
            *books.pieces(),
            *objects.pieces(),
        )
