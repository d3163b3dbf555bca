"""What stands and hangs about in a kitchen: jars, plates, bottles, ladles, a kettle, fruit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import fitted
from previz.geometry.furniture.containers import beaker, jar
from previz.geometry.furniture.joinery import held, rod_x
from previz.geometry.outlines import rounded_outline
from previz.geometry.piece import Piece
from previz.geometry.primitives import box, extruded, lathe, loft, rod, tube
from previz.geometry.shell import Shell, X, Z, join, piece, shift, turn

Parts = dict[str, list[Shell]]
GLAZES = ((0.72, 0.69, 0.62), (0.05, 0.12, 0.18), (0.34, 0.15, 0.07), (0.22, 0.27, 0.2))
BRACKET_M = 0.12
"""How far a shelf's brackets reach down the wall."""
DRY_GOODS = ((0.62, 0.47, 0.22), (0.25, 0.10, 0.05), (0.70, 0.64, 0.52), (0.10, 0.05, 0.025))


def plate(diameter: float, height: float = 0.02) -> Shell:
    """Plate on z = 0: foot, well, rim."""
    r, h = diameter / 2, height
    outer = [(0.0, 0.0), (0.55 * r, 0.0), (0.62 * r, 0.15 * h), (0.97 * r, 0.86 * h), (r, h)]
    inner = [(0.975 * r, h), (0.66 * r, 0.42 * h), (0.58 * r, 0.3 * h), (0.0, 0.28 * h)]
    return lathe(outer + inner, 40)


def bowl(diameter: float, height: float) -> Shell:
    """Bowl on z = 0, hollow."""
    r, h = diameter / 2, height
    t = np.linspace(0.0, 1.0, 9)
    outer = [(r * (0.42 + 0.58 * s**0.6), h * (0.06 + 0.94 * s**1.6)) for s in t]
    inner = [(x - 0.006, z + 0.004) for x, z in outer[::-1]]
    return lathe(held([(0, 0), (0.42 * r, 0), *outer, *inner, (0.0, 0.1 * h)]), 40)


def _stack(rng: np.random.Generator, make: Callable[[], Shell], count: int, step: float) -> Shell:
    """`count` of the same in one another, `step` apart, none quite over the other."""
    return join(
        make().shifted(float(rng.normal(0, 0.0015)), float(rng.normal(0, 0.0015)), k * step)
        for k in range(count)
    )


def stood(parts: Parts, rng: np.random.Generator, room: tuple[float, float], clear: float) -> float:
    """Add one thing to `parts` whose middle stands at `room` (x, y); its width."""
    glaze = np.array(GLAZES[int(rng.integers(len(GLAZES)))]) * rng.uniform(0.9, 1.05)
    kind = int(rng.integers(6))
    x, y = room
    if kind == 0:
        size = float(rng.uniform(0.17, 0.22))
        pile = _stack(rng, lambda: plate(size), int(rng.integers(3, 8)), 0.009)
        parts["glazed"].append(pile.shifted(x, y).painted(GLAZES[0]))
        return size
    if kind == 1:
        size = float(rng.uniform(0.13, 0.17))
        pile = _stack(rng, lambda: bowl(size, 0.065), int(rng.integers(2, 5)), 0.022)
        parts["glazed"].append(pile.shifted(x, y).painted(glaze))
        return size
    if kind == 2:
        size = float(rng.uniform(0.075, 0.09))
        parts["glazed"].append(beaker(size, 0.09).shifted(x, y).painted(glaze))
        loop = [(x + 0.46 * size, y, 0.02), (x + 0.78 * size, y, 0.03), (x + 0.78 * size, y, 0.065),
                (x + 0.46 * size, y, 0.075)]  # fmt: skip
        parts["glazed"].append(tube(loop, 0.0045, 8).painted(glaze))
        return size * 1.4
    if kind == 3:
        size = float(rng.uniform(0.1, 0.15))
        tall = min(size * 1.4, 0.85 * clear)
        parts["glazed"].append(jar(size, tall).shifted(x, y).painted(glaze))
        return size
    if kind == 4:
        return _bottle(parts, rng, (x, y), min(0.3, 0.9 * clear))
    return _glass_jar(parts, rng, (x, y), min(float(rng.uniform(0.13, 0.24)), 0.85 * clear))


def _bottle(parts: Parts, rng: np.random.Generator, at: tuple[float, float], tall: float) -> float:
    r = float(rng.uniform(0.032, 0.04))
    outline = [(0, 0), (r, 0), (r, 0.6 * tall), (0.9 * r, 0.68 * tall), (0.38 * r, 0.8 * tall)]
    body = lathe(held([*outline, (0.36 * r, 0.96 * tall), (0.0, 0.96 * tall)]), 28)
    cap = lathe([(0, 0.95 * tall), (0.42 * r, 0.95 * tall), (0.42 * r, tall), (0, tall)], 20)
    tone = ((0.02, 0.05, 0.02), (0.12, 0.05, 0.01), (0.3, 0.24, 0.06))[int(rng.integers(3))]
    parts["bottles"].append(body.shifted(*at).painted(tone))
    parts["lids"].append(cap.shifted(*at))
    return 2.2 * r


def _glass_jar(
    parts: Parts, rng: np.random.Generator, at: tuple[float, float], tall: float
) -> float:
    """A jar of clear glass, filled for the most part with something dry, under a wooden lid."""
    r = float(rng.uniform(0.045, 0.06))
    full = float(rng.uniform(0.35, 0.85)) * (tall - 0.02)
    glass = lathe(held([(0, 0), (r, 0), (r, tall - 0.018), (0.0, tall - 0.018)]), 32)
    goods = lathe(held([(0, 0.004), (r - 0.004, 0.004), (r - 0.004, full), (0, full + 0.006)]), 24)
    lid = rod((0, 0, tall - 0.018), (0, 0, tall), r + 0.001, sections=32, bevel=0.002)
    parts["glass"].append(glass.shifted(*at))
    tone = np.array(DRY_GOODS[int(rng.integers(len(DRY_GOODS)))])
    parts["goods"].append(goods.shifted(*at).painted(tone))
    parts["lids"].append(lid.shifted(*at))
    return 2.15 * r


def _named(parts: Parts) -> tuple[Piece, ...]:
    kinds = (
        ("crockery", "glazed", "ceramic_white", True),
        ("bottles", "bottles", "ceramic_white", True),
        ("glass", "glass", "glass_clear", True),
        ("dry goods", "goods", "soil", True),
        ("lids", "lids", "beech", True),
    )
    return tuple(piece(n, parts[k], m, smooth=s) for n, k, m, s in kinds if parts[k])


@dataclass(frozen=True, kw_only=True)
class WallShelf:
    """Boards on brackets with jars, plates, bowls, bottles; `hang_m` is the middle's height."""

    width_m: float = 1.2
    depth_m: float = 0.25
    height_m: float = 0.76
    hang_m: float = 1.75
    boards: int = 2
    wood: str = "oak"
    metal: str = "steel_black"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Boards, brackets, and what stands on them."""
        rng = np.random.default_rng(self.seed)
        w, d, low = self.width_m / 2, self.depth_m, self.hang_m - self.height_m / 2 + BRACKET_M
        step = (self.height_m - BRACKET_M) / self.boards
        boards, brackets = [], []
        parts: Parts = {k: [] for k in ("glazed", "bottles", "glass", "goods", "lids")}
        for row in range(self.boards):
            z = low + row * step
            boards.append(box((-w, -d, z), (w, 0, z + 0.026), 0.003))
            for s in (-1, 1):
                x = s * (w - 0.16)
                brackets.append(box((x - 0.015, -0.8 * d, z - 0.004), (x + 0.015, 0, z), 0.001))
                brackets.append(box((x - 0.015, -0.005, z - BRACKET_M), (x + 0.015, 0, z), 0.001))
            self._fill(parts, rng, z + 0.026, step - 0.05)
        return (
            piece("boards", boards, self.wood, grain=X),
            piece("brackets", brackets, self.metal),
            *_named(parts),
        )

    def _fill(self, into: Parts, rng: np.random.Generator, z: float, clear: float) -> None:
        x = -self.width_m / 2 + 0.13
        while x < self.width_m / 2 - 0.13:
            own: Parts = {k: [] for k in into}
            wide = stood(own, rng, (0.0, -self.depth_m / 2), clear)
            middle = x + max(0.0, wide / 2 - 0.05)
            if middle + wide / 2 > self.width_m / 2:
                return
            aside = float(rng.uniform(-0.012, 0.012))
            for kind, shells in own.items():
                into[kind] += [s.shifted(middle, aside, z) for s in shells]
            x = middle + wide / 2 + float(rng.uniform(0.05, 0.11))


@dataclass(frozen=True, kw_only=True)
class UtensilRail:
    """Rail on a wall with ladles, a turner, a whisk, a pan and a towel; `hang_m` is its height."""

    width_m: float = 0.9
    depth_m: float = 0.09
    hang_m: float = 1.42
    metal: str = "brushed_steel"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Rail, utensils, their handles, towel."""
        rng = np.random.default_rng(self.seed)
        w, y, z = self.width_m / 2, -0.042, self.hang_m
        metal = [rod_x(self.width_m, 0.006, 12).shifted(y=y, z=z)]
        for s in (-1, 1):
            metal.append(rod((s * (w - 0.06), 0, z), (s * (w - 0.06), y, z), 0.006))
        wood: list[Shell] = []
        makers = (_ladle, _turner, _whisk, _spoon, _ladle)
        for k, x in enumerate(np.linspace(-w + 0.12, w - 0.36, 5)):
            steel, grip = makers[k](float(rng.uniform(0.27, 0.32)))
            sway = turn((0, 1, 0), float(rng.normal(0, 0.025)))
            place = shift(float(x), y - 0.004, z - 0.012) @ sway
            hook = tube([(0, 0.004, 0.019), (0, 0.013, 0.012), (0, 0.004, 0.003)], 0.0018, 6)
            metal += [s.moved(place) for s in (*steel, hook)]
            wood += [s.moved(place) for s in grip]
        towel = self._towel(w - 0.15, y, z)
        low = min(float(s.vertices[:, 1].min()) for s in metal)
        squeeze = np.diag([1.0, self.depth_m / -low, 1.0, 1.0])
        return (
            piece("rail and steel", [s.moved(squeeze) for s in metal], self.metal, smooth=True),
            piece("handles", [s.moved(squeeze) for s in wood], "beech", smooth=True, grain=Z),
            piece("towel", towel, "cloth_linen", smooth=True, grain=Z),
        )

    @staticmethod
    def _towel(x: float, y: float, z: float) -> Shell:
        """A towel folded over the rail: flat above, in soft folds at its foot."""
        t = np.linspace(-0.11, 0.11, 33)
        rings = []
        for drop in np.linspace(0.0, 1.0, 14):
            wave = 0.006 * (0.25 + drop) * np.sin(2 * np.pi * t / 0.075 + 1.7 * drop)
            half = 0.009 - 0.003 * drop
            front = np.column_stack([x + t * (1 - 0.05 * drop), y - half + wave, 0 * t])
            back = np.column_stack([x + t * (1 - 0.05 * drop), y + half + wave, 0 * t])
            ring = np.concatenate([front, back[::-1]])
            ring[:, 2] = z + 0.008 - 0.45 * drop
            rings.append(ring)
        return loft(np.array(rings))


def _stem(long: float) -> tuple[list[Shell], list[Shell]]:
    """Steel stem and the wooden handle above it, hung from the origin down."""
    return (
        [rod((0, 0, -0.13), (0, 0, -long + 0.03), 0.0035)],
        [rod((0, 0, 0), (0, 0, -0.14), 0.008, 0.0095, sections=12, bevel=0.003)],
    )


def _ladle(long: float) -> tuple[list[Shell], list[Shell]]:
    steel, grip = _stem(long)
    dish = bowl(0.085, 0.04).moved(turn(X, np.pi / 2.6)).shifted(y=0.004, z=-long - 0.015)
    return [*steel, dish], grip


def _turner(long: float) -> tuple[list[Shell], list[Shell]]:
    steel, grip = _stem(long)
    blade = extruded(rounded_outline(0.08, 0.095, 0.014), 0.002, 0.0005).moved(turn(X, np.pi / 2))
    return [*steel, blade.shifted(y=0.001, z=-long - 0.01)], grip


def _spoon(long: float) -> tuple[list[Shell], list[Shell]]:
    bowl_end = lathe([(0, -0.035), (0.02, -0.025), (0.026, 0), (0.02, 0.025), (0, 0.035)], 16)
    flat = bowl_end.moved(np.diag([1.0, 0.35, 1.0, 1.0])).shifted(z=-long)
    return [], [rod((0, 0, 0), (0, 0, -long + 0.02), 0.006, 0.005, sections=10), flat]


def _whisk(long: float) -> tuple[list[Shell], list[Shell]]:
    steel, grip = _stem(long - 0.06)
    t = np.linspace(0, 2 * np.pi, 21)[:-1]
    wires = []
    for k in range(4):
        loop = np.column_stack([0.03 * np.sin(t), 0 * t, -long + 0.055 * np.cos(t)])
        wires.append(tube(loop, 0.0012, 6, closed=True).moved(turn(Z, k * np.pi / 4)))
    return [*steel, *wires], grip


@dataclass(frozen=True, kw_only=True)
class Kettle:
    """Kettle with a spout towards +X and a handle over it."""

    width_m: float = 0.25
    depth_m: float = 0.19
    height_m: float = 0.23
    metal: str = "brushed_steel"

    def pieces(self) -> tuple[Piece, ...]:
        """Body with its spout, handle and knob."""
        outline = [(0, 0), (0.09, 0), (0.095, 0.012), (0.088, 0.07), (0.062, 0.12), (0.03, 0.137)]
        body = lathe(held([*outline, (0.0, 0.139)]), 40)
        spout = rod((0.06, 0, 0.06), (0.135, 0, 0.125), 0.022, 0.012, sections=16)
        bend = np.linspace(0.0, np.pi, 15)
        arc = np.column_stack([0.075 * np.cos(bend), 0 * bend, 0.125 + 0.1 * np.sin(bend) ** 0.7])
        knob = lathe([(0, 0.137), (0.012, 0.139), (0.014, 0.15), (0.009, 0.158), (0, 0.159)], 16)
        groups = {"steel": [body, spout], "black": [tube(arc, 0.008, 12), knob]}
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return (
            piece("body", groups["steel"], self.metal, smooth=True),
            piece("handle", groups["black"], "plastic_black", smooth=True),
        )


@dataclass(frozen=True, kw_only=True)
class FruitBowl:
    """Bowl heaped with apples and lemons."""

    width_m: float = 0.3
    depth_m: float = 0.3
    height_m: float = 0.16
    ceramic: str = "ceramic_white"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Bowl, fruit."""
        rng = np.random.default_rng(self.seed)
        t = np.linspace(-np.pi / 2, np.pi / 2, 13)
        round_fruit = np.column_stack([np.maximum(np.cos(t), 0.0), np.sin(t)])
        round_fruit[[0, -1], 0] = 0.0
        fruit = []
        for k in range(8):
            ring, a = (0.085, k * np.pi / 3) if k < 6 else (0.035, k * np.pi)
            r = float(rng.uniform(0.034, 0.04))
            long = 1.25 if k % 3 == 1 else 0.95
            tone = (
                (0.62, 0.42, 0.03) if k % 3 == 1 else ((0.33, 0.05, 0.03), (0.3, 0.34, 0.06))[k % 2]
            )
            shell = lathe(round_fruit * [r, r * long], 20)
            shell = shell.moved(turn(X, float(rng.uniform(0, 1.5)))).painted(tone)
            z = 0.072 if k < 6 else 0.122
            fruit.append(shell.shifted(ring * np.cos(a), ring * np.sin(a), z))
        groups = {"bowl": [bowl(0.3, 0.09)], "fruit": fruit}
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return (
            piece("bowl", groups["bowl"], self.ceramic, smooth=True),
            piece("fruit", groups["fruit"], "fruit_skin", smooth=True),
        )


@dataclass(frozen=True, kw_only=True)
class ChoppingBoards:
    """Two boards that lean against the wall behind a worktop, one before the other."""

    width_m: float = 0.42
    depth_m: float = 0.12
    height_m: float = 0.36
    wood: str = "beech"

    def pieces(self) -> tuple[Piece, ...]:
        """The boards."""
        boards = []
        for x, size, y in ((0.0, (0.34, 0.36), 0.0), (0.07, (0.26, 0.29), -0.026)):
            flat = extruded(rounded_outline(*size, 0.03), 0.02, 0.004)
            upright = flat.moved(turn(X, np.pi / 2 - 0.2)).shifted(x, y)
            boards.append(upright.shifted(z=-float(upright.vertices[:, 2].min())))
        groups = {"boards": boards}
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return (piece("boards", groups["boards"], self.wood, grain=Z),)
