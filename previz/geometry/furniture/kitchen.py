"""A kitchen's fixtures: units with a worktop and a sink, wall cupboards, fridge, hob, tap."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from previz.geometry.furniture.base import fitted
from previz.geometry.furniture.joinery import bow_handle
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import box, lathe, rod, tube
from previz.geometry.shell import Shell, X, Y, Z, piece, turn

GAP_M = 0.0015
"""Half the joint between two fronts."""
REACH_M = 0.03
"""How far handles stand off their fronts."""
PLINTH_M = 0.1
TOP_M = 0.038


@dataclass(frozen=True, kw_only=True)
class KitchenUnits:
    """Base units in a row on a plinth, with doors or drawers and one worktop over all.

    `drawers` bays from the left have three drawers, the others a door; `sink_bay`, from 1 on the
    left, has a sink let into the worktop (0: none).
    """

    width_m: float = 2.4
    depth_m: float = 0.63
    height_m: float = 0.91
    bays: int = 4
    drawers: int = 1
    sink_bay: int = 3
    front: str = "painted_wood"
    worktop: str = "oak"
    metal: str = "brushed_steel"

    def pieces(self) -> tuple[Piece, ...]:
        """Carcass, plinth, fronts, handles, worktop, sink."""
        w, d, under = self.width_m / 2, self.depth_m / 2, self.height_m - TOP_M
        face = -d + REACH_M
        edges = np.linspace(-w, w, self.bays + 1)
        carcass, fronts, handles = [], [], []
        for bay, (left, right) in enumerate(pairwise(edges)):
            under_it = under - (0.24 if bay + 1 == self.sink_bay else 0.0)
            carcass.append(box((left, face + 0.02, PLINTH_M), (right, d, under_it), 0.001))
            heights = [0.5, 0.25, 0.25] if bay < self.drawers else [1.0]
            low = PLINTH_M
            for share in heights:
                high = low + share * (under - 0.004 - PLINTH_M)
                fronts.append(_front((left, right), (low, high), face))
                wide = float(min(0.16, 0.6 * (right - left)))
                handles += [
                    part.shifted(float(left + right) / 2, face, high - 0.045)
                    for part in bow_handle(wide, REACH_M)
                ]
                low = high
        plinth = box((-w, face + 0.06, 0), (w, d, PLINTH_M), 0.001)
        top, sink = self._top(edges)
        return (
            piece("fronts", fronts, self.front, grain=Z),
            piece("carcass", carcass, self.front, grain=Z),
            piece("plinth", plinth, "plastic_black"),
            piece("handles", handles, self.metal, smooth=True),
            piece("worktop", top, self.worktop, grain=X),
            *([piece("sink", sink, self.metal)] if sink else []),
        )

    def _top(self, edges: Array) -> tuple[list[Shell], list[Shell]]:
        """The worktop, round the sink where there is one, and the sink."""
        w, d, high = self.width_m / 2, self.depth_m / 2, self.height_m
        low, front = high - TOP_M, -d + 0.008
        if not self.sink_bay:
            return [box((-w, front, low), (w, d, high), 0.003)], []
        left, right = edges[self.sink_bay - 1] + 0.05, edges[self.sink_bay] - 0.05
        near, far = front + 0.09, d - 0.12
        top = [
            box((-w, front, low), (left, d, high), 0.003),
            box((right, front, low), (w, d, high), 0.003),
            box((left, front, low), (right, near, high), 0.003),
            box((left, far, low), (right, d, high), 0.003),
        ]
        deep, t, rim = high - 0.2, 0.004, high - 0.004
        sink = [
            box((left, near, deep), (right, far, deep + t), 0.001),
            box((left - t, near - t, deep), (left, far + t, rim), 0.001),
            box((right, near - t, deep), (right + t, far + t, rim), 0.001),
            box((left, near - t, deep), (right, near, rim), 0.001),
            box((left, far, deep), (right, far + t, rim), 0.001),
        ]
        drain = lathe([(0.0, deep + t), (0.04, deep + t), (0.043, deep + t + 0.003), (0.0, deep)])
        sink.append(drain.shifted((left + right) / 2, (near + far) / 2))
        return top, sink


def _front(sides: tuple[float, float], heights: tuple[float, float], face: float) -> Shell:
    """A door or a drawer's front, 19 mm thick, with its joint left open all round."""
    return box(
        (sides[0] + GAP_M, face, heights[0] + GAP_M),
        (sides[1] - GAP_M, face + 0.019, heights[1] - GAP_M),
        0.0015,
    )


@dataclass(frozen=True, kw_only=True)
class WallCupboards:
    """Cupboards hung in a row; `hang_m` is the height of their middle."""

    width_m: float = 1.2
    depth_m: float = 0.37
    height_m: float = 0.7
    hang_m: float = 1.8
    doors: int = 3
    front: str = "painted_wood"
    metal: str = "brushed_steel"

    def pieces(self) -> tuple[Piece, ...]:
        """Doors, carcass, handles."""
        w, d = self.width_m / 2, self.depth_m
        low, high = self.hang_m - self.height_m / 2, self.hang_m + self.height_m / 2
        face, fronts, handles = -d + REACH_M, [], []
        edges = np.linspace(-w, w, self.doors + 1)
        for left, right in pairwise(edges):
            fronts.append(_front((left, right), (low, high), face))
            handles += [
                part.shifted(float(left + right) / 2, face, low + 0.05)
                for part in bow_handle(0.12, REACH_M)
            ]
        carcass = box((-w, face + 0.02, low), (w, 0, high), 0.0015)
        return (
            piece("doors", fronts, self.front, grain=Z),
            piece("carcass", carcass, self.front, grain=Z),
            piece("handles", handles, self.metal, smooth=True),
        )


@dataclass(frozen=True, kw_only=True)
class Fridge:
    """Fridge with a freezer below, a note or two held to its door by magnets."""

    width_m: float = 0.6
    depth_m: float = 0.66
    height_m: float = 1.78
    notes: int = 4
    front: str = "painted_metal"
    metal: str = "brushed_steel"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Body, doors, handles, feet, notes, magnets."""
        rng = np.random.default_rng(self.seed)
        w, d, h = self.width_m / 2, self.depth_m / 2, self.height_m
        split = 0.35 * h
        face = -d + 0.04
        body = box((-w, face + 0.064, 0.03), (w, d, h), 0.012)
        spans = ((0.05, split - 0.004), (split + 0.004, h - 0.004))
        doors = [box((-w, face, low), (w, face + 0.058, high), 0.014) for low, high in spans]
        turned = turn(Y, np.pi / 2)
        handles = [
            part.moved(turned).shifted(w - 0.045, face, z)
            for z in (0.68 * split, split + 0.15 * h)
            for part in bow_handle(0.18 * h, 0.04, 0.007)
        ]
        foot = box((-w + 0.02, face + 0.09, 0), (w - 0.02, d - 0.02, 0.04), 0.004)
        sheets, magnets = [], []
        for k in range(self.notes):
            wide, tall = ((0.1, 0.14), (0.13, 0.09), (0.075, 0.075))[int(rng.integers(3))]
            x = -0.55 * w + 0.8 * w * (k % 2) + float(rng.normal(0, 0.02))
            z = split + 0.24 * h + 0.11 * h * (k // 2) + float(rng.normal(0, 0.02))
            sheet = box((-wide / 2, -0.0012, -tall / 2), (wide / 2, -0.0004, tall / 2), 1e-4)
            tilt = turn(Y, float(rng.normal(0, 0.05)))
            tone = np.array([0.72, 0.68, 0.60]) * rng.uniform(0.75, 1.05, 3)
            sheets.append(sheet.moved(tilt).shifted(x, face, z).painted(tone))
            held = z + tall / 2 - 0.015
            magnet = rod((x, face - 0.001, held), (x, face - 0.006, held), 0.009, sections=16)
            magnets.append(magnet.painted(rng.uniform(0.02, 0.5, 3)))
        held_there: tuple[Piece, ...] = ()
        if sheets:
            held_there = (
                piece("notes", sheets, "paper"),
                piece("magnets", magnets, "plastic_white", smooth=True),
            )
        return (
            piece("doors", doors, self.front),
            piece("body", body, self.front),
            piece("handles", handles, self.metal, smooth=True),
            piece("foot", foot, "plastic_black"),
            *held_there,
        )


@dataclass(frozen=True, kw_only=True)
class Hob:
    """Glass hob for a worktop, with four rings drawn on it."""

    width_m: float = 0.58
    depth_m: float = 0.51
    height_m: float = 0.008

    def pieces(self) -> tuple[Piece, ...]:
        """Plate, rings."""
        w, d, h = self.width_m / 2, self.depth_m / 2, self.height_m
        plate = box((-w, -d, 0), (w, d, h - 0.0002), 0.002)
        rings = []
        for x, y, r in (
            (-0.5, 0.42, 0.09),
            (0.5, 0.42, 0.075),
            (-0.5, -0.4, 0.075),
            (0.5, -0.4, 0.105),
        ):
            loop = [(r - 0.0012, h - 0.001), (r, h - 0.001), (r, h), (r - 0.0012, h)]
            rings.append(lathe(loop, 48, ring=True).shifted(x * w, y * d))
        return (piece("plate", plate, "glass_black"), piece("rings", rings, "plastic_white"))


@dataclass(frozen=True, kw_only=True)
class Tap:
    """Mixer tap with a high arc over its sink, which lies before it."""

    width_m: float = 0.11
    depth_m: float = 0.24
    height_m: float = 0.33
    metal: str = "brushed_steel"

    def pieces(self) -> tuple[Piece, ...]:
        """Column, arc and lever as one body of metal."""
        bend = np.linspace(0, np.pi, 17)
        arc = np.column_stack([0 * bend, -0.09 * (1 - np.cos(bend)), 0.22 + 0.09 * np.sin(bend)])
        spout = tube([(0, 0, 0.04), *arc, (0, -0.18, 0.17)], 0.011, 16)
        body = rod((0, 0, 0.004), (0, 0, 0.075), 0.022, sections=24)
        plate = rod((0, 0, 0), (0, 0, 0.006), 0.03, sections=32)
        lever = [
            rod((0, 0, 0.055), (0.03, 0, 0.055), 0.014),
            rod((0.026, 0, 0.055), (0.08, 0, 0.085), 0.005),
        ]
        groups = {"tap": [spout, body, plate, *lever]}
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return (piece("tap", groups["tap"], self.metal, smooth=True),)


@dataclass(frozen=True, kw_only=True)
class WallPanel:
    """A flat facing on a wall, such as tiles behind a worktop; `hang_m` is its middle's height."""

    width_m: float = 2.4
    depth_m: float = 0.01
    height_m: float = 0.55
    hang_m: float = 1.185
    surface: str = "tiles_white"

    def pieces(self) -> tuple[Piece, ...]:
        """The facing."""
        w, h = self.width_m / 2, self.height_m / 2
        body = box((-w, -self.depth_m, self.hang_m - h), (w, 0, self.hang_m + h), 0.001)
        return (piece("facing", body, self.surface, grain=X),)
