"""Studio backgrounds on stands: paper swept from a cross bar to the floor, a drape.

Each stands with its back to +Y and its picture side to -Y. Bars and stands are part of it, each
stand with a bag on its leg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry import curtain
from previz.geometry.gear.stands import StandShape, build_stand
from previz.geometry.piece import Array, Piece, bounds, moved
from previz.geometry.primitives import rod, sheet
from previz.geometry.shell import Z, piece, shift, turn

FOOT_M = 0.42
"""Radius of a background stand's legs: an estimate."""
BAR_RADIUS_M = 0.0175


def _carried(width_m: float, bar_z: float) -> tuple[Piece, ...]:
    """A cross bar `width_m` long between two stands whose legs end in its outer edges."""
    x = width_m / 2 - FOOT_M
    bar = rod((-x - 0.03, 0, bar_z), (x + 0.03, 0, bar_z), BAR_RADIUS_M, sections=20)
    stands: list[Piece] = []
    for side in (-1, 1):
        # One leg straight out to the side, where nobody sees or walks into it.
        shape = StandShape(footprint_m=FOOT_M, turn_rad=0.0 if side > 0 else np.pi, sandbag=True)
        stands += build_stand((side * x, 0.0), bar_z - BAR_RADIUS_M, shape)
    return (piece("cross bar", bar, "aluminium", smooth=True), *stands)


def _fall(high_m: float, deep_m: float, radius_m: float) -> Array:
    """Side view (n, 2) of y and z: straight down, round a quarter circle, out along the floor."""
    turn_rad = np.linspace(0.0, np.pi / 2, 25)
    bend = np.column_stack([-radius_m * (1 - np.cos(turn_rad)), radius_m * (1 - np.sin(turn_rad))])
    down = np.column_stack([np.zeros(6), np.linspace(high_m, radius_m, 7)[:-1]])
    out = np.column_stack([np.linspace(-radius_m, -deep_m, 5)[1:], np.zeros(4)])
    return np.concatenate([down, bend, out])


@dataclass(frozen=True, kw_only=True)
class PaperSweep:
    """A roll of background paper on a cross bar, swept to the floor and out under the subject.

    `width_m` is over the stands; the paper is 1.2 m narrower. Rolls of 2.72 m (107 in) and 1.35 m
    (53 in) are common practice, no source.
    """

    width_m: float = 3.92
    depth_m: float = 3.2
    height_m: float = 2.7
    radius_m: float = 0.6
    paper: str = "backdrop_white"

    def pieces(self) -> tuple[Piece, ...]:
        """Paper, roll, bar, stands, bags."""
        half = (self.width_m - 1.2) / 2
        roll_r = 0.045
        bar_z, front = self.height_m - roll_r, -self.depth_m / 2
        carried = _carried(self.width_m, bar_z)
        back = self.depth_m / 2 - float(bounds(carried)[1, 1])
        fall = _fall(bar_z, back - roll_r - front, self.radius_m)
        x = np.linspace(-half, half, 13)
        # Paper never lies quite flat: its free edge lifts a few millimetres.
        lift = 0.004 * np.sin(np.linspace(0, 9, 13)) ** 2
        grid = np.stack(
            [
                np.column_stack([x, np.full(13, back - roll_r + y), z + 0.001 + lift * (k >= 33)])
                for k, (y, z) in enumerate(fall)
            ]
        )
        roll = rod((-half, back, bar_z), (half, back, bar_z), roll_r, sections=32)
        return (
            piece("paper", sheet(grid), self.paper, smooth=True, closed=False),
            piece("roll", roll, self.paper, smooth=True),
            *moved(carried, shift(y=back)),
        )


@dataclass(frozen=True, kw_only=True)
class Drape:
    """A cloth hung in folds from a cross bar between two stands, down to the floor."""

    width_m: float = 3.6
    height_m: float = 2.6
    fullness: float = 1.8
    cloth: str = "drape_black"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Cloth, bar, stands, bags."""
        bar_z = self.height_m - BAR_RADIUS_M
        wide = self.width_m - 2 * FOOT_M
        cloth, _ = curtain.curtain(
            wide, bar_z - 0.01, self.fullness, 0.14, self.seed, material=self.cloth
        )
        hung = moved([cloth], shift(y=-0.06, z=0.01) @ turn(Z, np.pi))
        return (*hung, *_carried(self.width_m, bar_z))
