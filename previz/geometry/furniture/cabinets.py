"""Cabinets: a chest of drawers, a plan chest, a cupboard base, by rows and columns of drawers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import one_of
from previz.geometry.furniture.joinery import bow_handle, knob
from previz.geometry.piece import Piece
from previz.geometry.primitives import box, leg
from previz.geometry.shell import Shell, X, Z, piece

GAP_M = 0.0025


@dataclass(frozen=True, kw_only=True)
class Cabinet:
    """Chest with `rows` by `columns` of inset drawers on short legs, or on a plinth.

    `pulls` is "knob" or "bar". Wide chests get two pulls on each drawer.
    """

    width_m: float = 0.90
    depth_m: float = 0.45
    height_m: float = 0.85
    rows: int = 4
    columns: int = 1
    legs_m: float = 0.12
    pulls: str = "knob"
    wood: str = "oak"
    metal: str = "brass"

    def pieces(self) -> tuple[Piece, ...]:
        """Carcass, top, drawer fronts, pulls, legs or plinth."""
        w, d, h, t = self.width_m / 2, self.depth_m / 2, self.height_m, 0.02
        reach = 0.024
        front = -d + reach
        low = max(self.legs_m, 0.06)
        sides = [
            box(
                (s * w - (t if s > 0 else 0), front, low),
                (s * w + (t if s < 0 else 0), d, h - t + 0.001),
                0.002,
            )
            for s in (-1, 1)
        ]
        flat = [box((-w, front - 0.004, h - t), (w, d, h), 0.003)]
        flat.append(box((-w + t, front, low), (w - t, d, low + t), 0.002))
        back = box((-w + t, d - 0.01, low), (w - t, d - 0.002, h - t), 0.001)
        fronts, pulls = self._drawers(front, low + t, h - t)
        base: list[Shell]
        if self.legs_m > 0.07:
            x, y = w - 0.045, d - 0.045
            base = [
                leg(
                    (sx * x, (y if sy > 0 else front + 0.045), 0),
                    (sx * x, (y if sy > 0 else front + 0.045), low + 0.004),
                    (0.026, 0.026),
                    (0.04, 0.04),
                )
                for sx in (-1, 1)
                for sy in (-1, 1)
            ]
        else:
            base = [box((-w + 0.02, front + 0.03, 0), (w - 0.02, d - 0.02, low + 0.002), 0.002)]
        return (
            piece("sides", sides, self.wood, grain=Z),
            piece("top and bottom", flat, self.wood, grain=X),
            piece("back", back, "plywood", grain=Z),
            piece("drawer fronts", fronts, self.wood, grain=X),
            piece("pulls", pulls, self.metal, smooth=True),
            piece("base", base, self.wood, grain=Z),
        )

    def _drawers(self, front: float, low: float, high: float) -> tuple[list[Shell], list[Shell]]:
        """Fronts between the carcass's edges, and their pulls reaching to the footprint's front."""
        inner = self.width_m / 2 - 0.02
        xs = np.linspace(-inner, inner, self.columns + 1)
        zs = np.linspace(low, high, self.rows + 1)
        wide, tall = float(xs[1] - xs[0]), float(zs[1] - zs[0])
        face, depth = front + 0.0015, self.depth_m - 0.06
        fronts, pulls = [], []
        for x in xs[:-1]:
            for z in zs[:-1]:
                a, b = (
                    (x + GAP_M, face, z + GAP_M),
                    (x + wide - GAP_M, face + depth, z + tall - GAP_M),
                )
                fronts.append(box(a, b, 0.002))
                middle = float(x) + wide / 2
                places = (-0.25 * wide, 0.25 * wide) if wide > 0.55 else (0.0,)
                for off in places:
                    pulls += [
                        p.shifted(middle + off, face, float(z) + tall / 2)
                        for p in self._pull(face + self.depth_m / 2, wide)
                    ]
        return fronts, pulls

    def _pull(self, reach: float, wide: float) -> list[Shell]:
        if one_of("pull", self.pulls, ("knob", "bar")) == "knob":
            return [knob(0.014, reach)]
        return bow_handle(min(0.12, 0.6 * wide), reach)
