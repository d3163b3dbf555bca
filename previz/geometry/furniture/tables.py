"""Tables, desk and workbench."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from previz.geometry.furniture.joinery import bow_handle, frame_rails, held
from previz.geometry.piece import Piece
from previz.geometry.primitives import box, extruded, lathe, leg, rod
from previz.geometry.shell import Shell, X, Y, Z, piece, turn


def boarded_top(
    width: float, depth: float, top: float, thickness: float, boards: int
) -> list[Shell]:
    """Table top of `boards` planks along X with hairline joints, its face at height `top`."""
    edges = np.linspace(-depth / 2, depth / 2, boards + 1)
    gap = 0.0006 if boards > 1 else 0.0
    lows = edges[:-1] + gap * (np.arange(boards) > 0)
    highs = edges[1:] - gap * (np.arange(boards) < boards - 1)
    return [
        box((-width / 2, low, top - thickness), (width / 2, high, top), 0.003)
        for low, high in zip(lows, highs, strict=True)
    ]


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rectangular table with four tapered legs. Height 0.74 m: common practice, no source."""

    width_m: float = 1.60
    depth_m: float = 0.85
    height_m: float = 0.74
    top_thickness_m: float = 0.028
    wood: str = "oak"

    def pieces(self) -> tuple[Piece, ...]:
        """Top, legs, aprons along X, aprons along Y."""
        under = self.height_m - self.top_thickness_m
        x, y = self.width_m / 2 - 0.06, self.depth_m / 2 - 0.06
        corners = [(sx, sy) for sx in (-1, 1) for sy in (-1, 1)]
        legs = [
            leg(
                (sx * (x + 0.012), sy * (y + 0.012), 0),
                (sx * x, sy * y, under),
                (0.036, 0.036),
                (0.062, 0.062),
                0.004,
            )
            for sx, sy in corners
        ]
        along_x, along_y = frame_rails((x, y), under - 0.085, under, 0.02)
        top = boarded_top(self.width_m, self.depth_m, self.height_m, self.top_thickness_m, 1)
        return (
            piece("top", top, self.wood, grain=X),
            piece("legs", legs, self.wood, grain=Z),
            piece("aprons", along_x, self.wood, grain=X),
            piece("side aprons", along_y, self.wood, grain=Y),
        )


@dataclass(frozen=True, kw_only=True)
class RoundTable:
    """Round table on a turned column with three curved feet, or a side table when small."""

    width_m: float = 1.10
    height_m: float = 0.74
    wood: str = "walnut"

    def pieces(self) -> tuple[Piece, ...]:
        """Top, column, feet."""
        r, h = self.width_m / 2, self.height_m
        k = min(1.0, self.width_m / 0.8)
        top = [(r - 0.03, h - 0.028), (r - 0.008, h - 0.016), (r, h - 0.009), (r, h - 0.004)]
        top += [(r - 0.0015, h - 0.001), (r - 0.004, h)]
        column = [(0.05, 0.09), (0.058, 0.1), (0.058, 0.2), (0.046, 0.225), (0.036, 0.26)]
        column += [(0.03, h * 0.55), (0.034, h - 0.16), (0.042, h - 0.13), (0.042, h - 0.115)]
        column += [(0.034, h - 0.1), (0.05, h - 0.06), (0.11, h - 0.042), (0.11, h - 0.027)]
        turned = [(radius * k, z) for radius, z in column]
        feet = [self._foot(r * 0.78).moved(turn(Z, np.radians(a))) for a in (-90, 30, 150)]
        return (
            piece("top", lathe(top, 64), self.wood, grain=X),
            piece("column", lathe(held(turned), 32), self.wood, smooth=True, grain=Z),
            piece("feet", feet, self.wood),
        )

    @staticmethod
    def _foot(reach: float) -> Shell:
        """One foot along +X, drawn as a side view with its underside arched off the floor."""
        upper = [(reach, 0.012), (reach * 0.93, 0.032), (reach * 0.7, 0.062)]
        upper += [(reach * 0.4, 0.12), (0.03, 0.19)]
        lower = [(0.03, 0.105), (reach * 0.35, 0.062), (reach * 0.65, 0.022)]
        lower += [(reach * 0.88, 0.0), (reach * 0.99, 0.0)]
        flat = extruded(upper + lower, 0.034, 0.003)
        upright = np.array([[1, 0, 0, 0], [0, 0, -1, 0.017], [0, 1, 0, 0], [0, 0, 0, 1]], float)
        return flat.moved(upright)


@dataclass(frozen=True, kw_only=True)
class TrestleTable:
    """Boarded top on two splayed trestles joined by a beam."""

    width_m: float = 1.80
    depth_m: float = 0.80
    height_m: float = 0.74
    boards: int = 4
    wood: str = "pine"

    def pieces(self) -> tuple[Piece, ...]:
        """Top, trestle legs, cross bars, beam."""
        under = self.height_m - 0.03
        x, spread = self.width_m / 2 - 0.3, self.depth_m / 2 - 0.07
        legs, bars = [], []
        for side in (-1, 1):
            bars.append(
                box((side * x - 0.045, -spread, under - 0.06), (side * x + 0.045, spread, under))
            )
            for sy in (-1, 1):
                for sx in (-1, 1):
                    foot = (side * x + sx * 0.15, sy * (spread - 0.02), 0)
                    head = (side * x + sx * 0.02, sy * (spread - 0.09), under - 0.03)
                    legs.append(leg(foot, head, (0.03, 0.045), (0.03, 0.045)))
            for sx in (-1, 1):
                at = side * x + sx * 0.108
                bars.append(
                    box((at - 0.011, -spread + 0.015, 0.2), (at + 0.011, spread - 0.015, 0.245))
                )
        beam = box((-x - 0.11, -0.02, 0.245), (x + 0.11, 0.02, 0.315))
        return (
            piece(
                "top",
                boarded_top(self.width_m, self.depth_m, self.height_m, 0.03, self.boards),
                self.wood,
                grain=X,
            ),
            piece("trestle legs", legs, self.wood, grain=Z),
            piece("cross bars", bars, self.wood, grain=Y),
            piece("beam", beam, self.wood, grain=X),
        )


@dataclass(frozen=True, kw_only=True)
class Desk:
    """Writing desk: sitter on the -Y side, three drawers on +X, a set-back modesty panel.

    Height 0.74 m: the fixed height EN 527-1 gives for desks is 0.74 m (from memory).
    """

    width_m: float = 1.50
    depth_m: float = 0.72
    height_m: float = 0.74
    wood: str = "walnut"
    metal: str = "brass"

    def pieces(self) -> tuple[Piece, ...]:
        """Top, carcass, fronts, handles, legs, panel."""
        under, w, d = self.height_m - 0.026, self.width_m / 2, self.depth_m / 2
        x0, x1, front, rear = w - 0.45, w - 0.04, -d + 0.035, d - 0.04
        low = 0.14
        carcass = box((x0, front + 0.02, low), (x1, rear, under), 0.002)
        fronts, handles = [], []
        levels = np.linspace(low, under - 0.004, 4)
        for bottom, top in pairwise(levels):
            fronts.append(
                box(
                    (x0 + 0.002, front, bottom + 0.0015),
                    (x1 - 0.002, front + 0.021, top - 0.0015),
                    0.002,
                )
            )
            z = (bottom + top) / 2 + 0.02
            handles += [h.shifted((x0 + x1) / 2, front, z) for h in bow_handle(0.13, 0.026)]
        spots = [(-w + 0.065, under), (x1 - 0.03, low + 0.004), (x0 + 0.03, low + 0.004)]
        legs = [
            leg((x, y, 0), (x, y, z), (0.026, 0.026), (0.032, 0.032))
            for y in (front + 0.05, rear - 0.04)
            for x, z in spots
        ]
        rails = [
            box((-w + 0.07, y - 0.01, under - 0.06), (x0, y + 0.01, under), 0.002)
            for y in (front + 0.05, rear - 0.04)
        ]
        side = box((-w + 0.055, front + 0.05, under - 0.06), (-w + 0.075, rear - 0.04, under))
        panel = box((-w + 0.07, rear - 0.049, under - 0.36), (x0, rear - 0.031, under), 0.002)
        top = boarded_top(self.width_m, self.depth_m, self.height_m, 0.026, 1)
        return (
            piece("top", top, self.wood, grain=X),
            piece("carcass", carcass, self.wood, grain=Z),
            piece("drawer fronts", fronts, self.wood, grain=X),
            piece("handles", handles, self.metal, smooth=True),
            piece("legs", legs, self.wood, grain=Z),
            piece("rails", [*rails, panel], self.wood, grain=X),
            piece("side rail", side, self.wood, grain=Y),
        )


@dataclass(frozen=True, kw_only=True)
class Workbench:
    """Heavy bench with a thick boarded top, a shelf below and a front vise on -X.

    Height 0.88 m: common practice, no source. The vise reaches to the front of the footprint.
    """

    width_m: float = 1.70
    depth_m: float = 0.75
    height_m: float = 0.88
    wood: str = "beech"
    metal: str = "cast_iron"

    def pieces(self) -> tuple[Piece, ...]:
        """Top, legs, rails, shelf, vise jaw, screw and bar."""
        w, d, h, thick = self.width_m / 2, self.depth_m, self.height_m, 0.07
        under, front, rear = h - thick, -d / 2 + 0.12, d / 2
        middle, deep = (front + rear) / 2, rear - front
        top = [s.shifted(y=middle) for s in boarded_top(2 * w, deep, h, thick, 5)]
        x, y = w - 0.16, deep / 2 - 0.06
        legs = [
            box(
                (sx * x - 0.045, middle + sy * y - 0.045, 0),
                (sx * x + 0.045, middle + sy * y + 0.045, under),
                0.004,
            )
            for sx in (-1, 1)
            for sy in (-1, 1)
        ]
        low_x, low_y = frame_rails((x, y), 0.13, 0.22, 0.035)
        high_x, high_y = frame_rails((x, y), under - 0.11, under, 0.035)
        slats = np.linspace(-y + 0.03, y - 0.03, 6)
        shelf = [
            box((-x, middle + a + 0.002, 0.22), (x, middle + b - 0.002, 0.24))
            for a, b in pairwise(slats)
        ]
        at = -w + 0.36
        jaw = box(
            (at - 0.2, front - 0.075, under - 0.1), (at + 0.2, front - 0.03, h - 0.002), 0.005
        )
        screw_z = under - 0.055
        screw = [rod((at, front, screw_z), (at, front - 0.105, screw_z), 0.014)]
        for x in (at - 0.13, at + 0.13):
            screw.append(rod((x, front, screw_z), (x, front - 0.076, screw_z), 0.009))
        screw.append(rod((at, front - 0.092, screw_z), (at, front - 0.12, screw_z), 0.021, 0.018))
        foot = np.array([at - 0.02, front - 0.106, screw_z - 0.16])
        bar = rod(foot, foot + np.array([0.02, 0, 0.2]), 0.008)
        move_x = [s.shifted(y=middle) for s in low_x + high_x]
        move_y = [s.shifted(y=middle) for s in low_y + high_y]
        return (
            piece("top", top, self.wood, grain=X),
            piece("legs", legs, self.wood, grain=Z),
            piece("rails", move_x, self.wood, grain=X),
            piece("side rails", move_y, self.wood, grain=Y),
            piece("shelf", shelf, "pine", grain=X),
            piece("vise jaw", jaw, self.wood, grain=X),
            piece("vise screw", screw, self.metal, smooth=True),
            piece("vise bar", bar, "steel", smooth=True),
        )
