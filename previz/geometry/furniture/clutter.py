"""What gathers in a room that is used: a coat on its hook, notes, papers, a cable, a basket."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import Colour, fitted
from previz.geometry.furniture.joinery import rod_x
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import box, lathe, loft, rod, tube
from previz.geometry.shell import Shell, X, Y, Z, join, piece, shift, turn

SHEET_M = (0.210, 0.297)
"""A4, ISO 216."""


@dataclass(frozen=True, kw_only=True)
class CoatRail:
    """Board with hooks on a wall, a coat on one, a bag on another; `hang_m` is the hooks' height.

    Hooks at 1.65 m: common practice, no source.
    """

    width_m: float = 1.00
    depth_m: float = 0.18
    hang_m: float = 1.65
    hooks: int = 5
    wood: str = "oak"
    metal: str = "steel_black"
    coat: Colour = (0.105, 0.098, 0.078)
    bag: Colour = (0.33, 0.26, 0.16)
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Board, hooks, coat, cloth bag."""
        rng = np.random.default_rng(self.seed)
        w, d = self.width_m / 2, self.depth_m
        board = box((-w, -0.02, self.hang_m - 0.045), (w, 0, self.hang_m + 0.045), 0.003)
        xs = np.linspace(-w + 0.08, w - 0.08, self.hooks)
        hooks = []
        for x in xs:
            z = self.hang_m
            bend = [(x, -0.019, z), (x, -0.5 * d, z - 0.015), (x, -0.85 * d, z)]
            hooks += [tube([*bend, (x, -d + 0.014, z + 0.03)], 0.006, 8)]
            hooks.append(rod((x, -d + 0.018, z + 0.034), (x, -d, z + 0.034), 0.009))
        coat, bag = 1, self.hooks - 2
        hung = self._coat(rng).shifted(float(xs[coat]), -0.55 * d, self.hang_m)
        return (
            piece("board", board, self.wood, grain=X),
            piece("hooks", hooks, self.metal, smooth=True),
            piece("coat", hung, "cloth_wool", smooth=True, colour=self.coat),
            piece("bag", self._bag(float(xs[bag])), "cloth_linen", smooth=True, colour=self.bag),
        )

    def _coat(self, rng: np.random.Generator) -> Shell:
        """A coat hung by its loop: collar, shoulders that fall, folds that deepen to the hem."""
        drop = np.array([0.01, -0.03, -0.08, -0.16, -0.30, -0.50, -0.72, -0.92, -0.98, -0.985])
        half = np.array([0.012, 0.045, 0.085, 0.135, 0.165, 0.172, 0.19, 0.215, 0.222, 0.20])
        thick = np.array([0.010, 0.030, 0.045, 0.058, 0.064, 0.064, 0.066, 0.068, 0.068, 0.05])
        around = np.linspace(0, 2 * np.pi, 72, endpoint=False)
        lean = rng.uniform(0, 2 * np.pi, 3)
        rings = []
        for z, w, t in zip(drop, half, thick, strict=True):
            share = float(np.clip(-z / 0.98, 0, 1))
            phase = 0.5 * share
            fold = 0.5 * np.sin(7 * around + lean[0] + phase)
            fold += 0.3 * np.sin(11 * around + lean[1] - phase) + 0.2 * np.sin(4 * around + lean[2])
            deep = 1.0 + (0.05 + 0.16 * share) * fold
            x = w * np.cos(around) * (1.0 + 0.05 * share * fold)
            y = np.clip(t * np.sin(around) * deep, -0.079, 0.079)
            sag = 0.006 * share * np.sin(3 * around + lean[1])
            rings.append(np.column_stack([x, y, z + sag]))
        body = loft(np.array(rings)[::-1])
        return join([body, *(self._sleeve(side, lean[0]) for side in (-1, 1))])

    @staticmethod
    def _sleeve(side: int, lean: float) -> Shell:
        """An empty sleeve, flat and bent a little, in front of the coat's side."""
        t = np.linspace(0, 1, 10)
        x = side * (0.118 + 0.075 * np.sqrt(t) + 0.010 * np.sin(5 * t + lean))
        y = -0.022 - 0.022 * np.sin(np.pi * np.minimum(t * 1.2, 1.0)) - 0.012 * t
        path = np.column_stack([x, y, -0.13 - 0.56 * t])
        around = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        wide = 0.058 - 0.012 * t + 0.004 * np.sin(14 * t + lean)
        rings = [
            point + np.column_stack([w * np.cos(around), 0.026 * np.sin(around), 0 * around])
            for point, w in zip(path, wide, strict=True)
        ]
        return loft(np.array(rings))

    def _bag(self, x: float) -> list[Shell]:
        """A flat cloth bag by its two straps."""
        y, top = -0.6 * self.depth_m, self.hang_m - 0.28
        straps = [
            tube([(x + s * 0.07, y, top), (x + s * 0.02, y, self.hang_m + 0.008)], 0.007, 8)
            for s in (-1, 1)
        ]
        around = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        rings = []
        for share in np.linspace(0, 1, 9):
            bulge = 0.012 + 0.028 * np.sin(np.pi * min(share * 1.1, 1.0)) ** 0.7
            width = 0.135 - 0.012 * share + 0.006 * np.sin(5 * share)
            ring_x = x + width * np.sign(np.cos(around)) * np.abs(np.cos(around)) ** 0.6
            ring_y = y + bulge * np.sin(around) * (1 + 0.15 * np.sin(6 * around + 3 * share))
            rings.append(np.column_stack([ring_x, ring_y, np.full(40, top - 0.38 * share)]))
        return [*straps, loft(np.array(rings)[::-1])]


@dataclass(frozen=True, kw_only=True)
class PinBoard:
    """Cork board with notes, `hang_m` the height of its middle."""

    width_m: float = 0.80
    depth_m: float = 0.022
    height_m: float = 0.60
    hang_m: float = 1.50
    notes: int = 9
    frame: str = "pine"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Frame, cork, sheets of paper, pins."""
        rng = np.random.default_rng(self.seed)
        w, h, d, rim = self.width_m / 2, self.height_m / 2, self.depth_m, 0.024
        rails = [
            box((-w, -d + 0.004, s * h - rim * (s > 0)), (w, 0, s * h + rim * (s < 0)), 0.002)
            for s in (-1, 1)
        ]
        rails += [
            box(
                (s * w - rim * (s > 0), -d + 0.004, -h + rim),
                (s * w + rim * (s < 0), 0, h - rim),
                0.002,
            )
            for s in (-1, 1)
        ]
        cork = box((-w + rim, -0.012, -h + rim), (w - rim, -0.002, h - rim), 0.001)
        sheets, pins = [], []
        columns = max(1, self.notes // 2)
        for k in range(self.notes):
            column, row = k % columns, k // columns
            across = (column + 0.5) / columns * 2 - 1
            size = np.array([(0.105, 0.148), (0.148, 0.105), (0.09, 0.09)][rng.integers(3)]) / 2
            x = across * (w - 0.1) + float(rng.normal(0, 0.012))
            z = (0.5 - row % 2) * h + float(rng.normal(0, 0.02))
            tilt = turn(Y, float(rng.normal(0, 0.06)))
            level = -0.0125 - 0.0004 * k
            paper = box((-size[0], level - 0.0003, -size[1]), (size[0], level, size[1]), 1e-4)
            tone = np.array([(0.74, 0.70, 0.60), (0.70, 0.62, 0.36), (0.55, 0.62, 0.64)])
            sheets.append(paper.moved(shift(x, 0, z) @ tilt).painted(tone[rng.integers(3)]))
            pin = rod((x, level, z + size[1] - 0.012), (x, -d, z + size[1] - 0.012), 0.0045)
            red = np.array([(0.35, 0.03, 0.02), (0.03, 0.08, 0.25), (0.5, 0.4, 0.05)])
            pins.append(pin.painted(red[rng.integers(3)]))

        def up(shells: list[Shell]) -> list[Shell]:
            return [shell.shifted(z=self.hang_m) for shell in shells]

        return (
            piece("frame", up(rails), self.frame),
            piece("cork", up([cork]), "cardboard", colour=(0.30, 0.17, 0.075)),
            piece("notes", up(sheets), "paper"),
            piece("pins", up(pins), "plastic_white"),
        )


@dataclass(frozen=True, kw_only=True)
class WallSocket:
    """Double socket on its plate, low on the wall; `hang_m` is its middle.

    0.3 m: common practice, no source.
    """

    width_m: float = 0.15
    depth_m: float = 0.012
    hang_m: float = 0.30

    def pieces(self) -> tuple[Piece, ...]:
        """Plate with two round inserts and their holes."""
        w, d, h = self.width_m / 2, self.depth_m, 0.04
        plate = box((-w, -0.75 * d, self.hang_m - h), (w, 0, self.hang_m + h), 0.002)
        rings, holes = [], []
        for x in (-w / 2, w / 2):
            rings.append(rod((x, -0.5 * d, self.hang_m), (x, -d, self.hang_m), 0.022, sections=24))
            holes += [
                rod((x + s, -0.9 * d, self.hang_m), (x + s, -d - 0.0, self.hang_m), 0.0026)
                for s in (-0.0095, 0.0095)
            ]
        return (
            piece("plate", [plate, *rings], "plastic_white"),
            piece("holes", holes, "plastic_black"),
        )


@dataclass(frozen=True, kw_only=True)
class Cable:
    """Cable lying loose on the floor along X, as wide as its bends."""

    width_m: float = 2.40
    depth_m: float = 0.30
    thickness_m: float = 0.008
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """The cable."""
        rng = np.random.default_rng(self.seed)
        t = np.linspace(-1, 1, 160)
        y: Array = np.zeros_like(t)
        for k in range(1, 5):
            y = y + np.sin(np.pi * k * t + rng.uniform(0, 6.3)) / k**1.3
        path = np.column_stack([t * self.width_m / 2, y * self.depth_m / 4, np.zeros_like(t)])
        body = tube(path, self.thickness_m / 2, 8)
        groups = {"cable": [body.shifted(z=-float(body.vertices[:, 2].min()))]}
        fitted(groups, self.width_m, self.depth_m)
        return (piece("cable", groups["cable"], "rubber_black", smooth=True),)


@dataclass(frozen=True, kw_only=True)
class Papers:
    """Loose A4 sheets as somebody left them, and a pencil on top."""

    width_m: float = 0.46
    depth_m: float = 0.36
    sheets: int = 7
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Sheets, pencil."""
        rng = np.random.default_rng(self.seed)
        gap = 0.0008
        sheets: list[Shell] = []
        for k in range(self.sheets):
            w, d = SHEET_M[0] / 2, SHEET_M[1] / 2
            sheet = box((-w, -d, k * gap), (w, d, k * gap + 0.0006), 1e-4)
            place = shift(*(float(v) for v in rng.normal(0, (0.045, 0.02))))
            tone = np.array([0.76, 0.73, 0.66]) * rng.uniform(0.88, 1.06)
            sheets.append(sheet.moved(place @ turn(Z, float(rng.normal(0, 0.22)))).painted(tone))
        top = self.sheets * gap
        pencil = rod_x(0.17, 0.0035, 6)
        low = float(pencil.vertices[:, 2].min())
        pencil = pencil.moved(shift(0.02, -0.01, top - low - 0.0002) @ turn(Z, 0.7))
        groups = {"sheets": sheets, "pencil": [pencil]}
        fitted(groups, self.width_m, self.depth_m)
        return (
            piece("sheets", groups["sheets"], "paper"),
            piece("pencil", groups["pencil"], "painted_wood", colour=(0.45, 0.20, 0.02)),
        )


@dataclass(frozen=True, kw_only=True)
class Basket:
    """Round woven basket with rolls of paper standing in it; `height_m` is that of the rolls."""

    width_m: float = 0.34
    height_m: float = 0.62
    rolls: int = 5
    colour: Colour = (0.34, 0.22, 0.10)
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Basket, rolls."""
        rng = np.random.default_rng(self.seed)
        r, rim = self.width_m / 2, 0.52 * self.height_m
        wall = [(0.0, 0.0), (0.8 * r, 0.0), (0.84 * r, 0.012)]
        wall += [(r * (0.84 + 0.16 * s), 0.012 + s * (rim - 0.03)) for s in (0.33, 0.66, 1.0)]
        wall += [(r, rim - 0.008), (r - 0.004, rim), (r - 0.014, rim), (r - 0.018, rim - 0.02)]
        wall += [(0.8 * r - 0.01, 0.02), (0.0, 0.02)]
        rolls = []
        for k in range(self.rolls):
            angle = 2 * np.pi * k / self.rolls + float(rng.uniform(-0.2, 0.2))
            side = np.array([np.cos(angle), np.sin(angle)])
            radius = float(rng.uniform(0.016, 0.026))
            long = self.height_m if k == 0 else self.height_m * float(rng.uniform(0.72, 0.97))
            foot, top = 0.30 * r * side, 0.74 * r * side
            tone = np.array([0.74, 0.70, 0.60]) * float(rng.uniform(0.7, 1.05))
            roll = rod((*foot, 0.024), (*top, long), radius, sections=20)
            rolls.append(roll.painted(tone))
        highest = max(float(roll.vertices[:, 2].max()) for roll in rolls)
        fit = np.diag([1.0, 1.0, (self.height_m - 0.021) / (highest - 0.021), 1.0])
        fit[2, 3] = 0.021 * (1.0 - fit[2, 2])
        return (
            piece("basket", lathe(wall, 48), "rope", smooth=True, colour=self.colour),
            piece("rolls", [roll.moved(fit) for roll in rolls], "paper", smooth=True),
        )
