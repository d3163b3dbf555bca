"""A joiner's wall: clamps on their rail, boards leaning, offcuts stacked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import fitted
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import block, box, rod
from previz.geometry.shell import Shell, X, Z, piece, turn

WOODS = ("oak", "beech", "walnut", "pine")


def _sawn(groups: dict[str, list[Shell]], grain: Array) -> tuple[Piece, ...]:
    """Timber by its kind; kinds that do not occur are left out."""
    return tuple(piece(wood, groups[wood], wood, grain=grain) for wood in WOODS if groups[wood])


@dataclass(frozen=True, kw_only=True)
class ClampRack:
    """Sliding clamps of several lengths on a wooden rail; `hang_m` is the rail's height."""

    width_m: float = 0.8
    depth_m: float = 0.13
    hang_m: float = 1.75
    clamps: int = 7
    wood: str = "beech"
    metal: str = "steel"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Rail, bars, jaws, handles."""
        rng = np.random.default_rng(self.seed)
        w, z = self.width_m / 2, self.hang_m
        rail = [box((-w, -0.022, z - 0.05), (w, 0, z + 0.05), 0.003)]
        rail.append(box((-w + 0.02, -0.06, z - 0.012), (w - 0.02, -0.02, z + 0.012), 0.002))
        bars, jaws, grips = [], [], []
        lengths = np.sort(rng.uniform(0.35, 0.85, self.clamps))
        for place, long in zip(np.linspace(-w + 0.08, w - 0.08, self.clamps), lengths, strict=True):
            x, y = float(place) + float(rng.normal(0, 0.004)), -0.046
            top = z + 0.055
            bars.append(block((0.008, 0.022, long), (x, y, top - long / 2), 0.001))
            slid = top - float(rng.uniform(0.25, 0.8)) * long
            for level in (top - 0.014, slid):
                jaws.append(block((0.016, 0.085, 0.028), (x, y - 0.03, level), 0.004))
            jaws.append(rod((x, y - 0.06, slid - 0.03), (x, y - 0.06, slid + 0.05), 0.006))
            grips.append(rod((x, y - 0.06, slid - 0.14), (x, y - 0.06, slid - 0.03), 0.013, 0.011))
        groups = {"rail": rail, "bars": bars, "jaws": jaws, "grips": grips}
        deepest = min(float(s.vertices[:, 1].min()) for s in (*jaws, *grips))
        squeeze = np.diag([1.0, self.depth_m / -deepest, 1.0, 1.0])
        groups = {name: [s.moved(squeeze) for s in group] for name, group in groups.items()}
        return (
            piece("rail", groups["rail"], self.wood, grain=X),
            piece("bars", groups["bars"], self.metal, grain=Z),
            piece("jaws", groups["jaws"], "cast_iron"),
            piece("grips", groups["grips"], self.wood, smooth=True, grain=Z),
        )


@dataclass(frozen=True, kw_only=True)
class LeaningBoards:
    """Planks of different woods that lean with their heads against a wall."""

    width_m: float = 0.8
    depth_m: float = 0.45
    height_m: float = 2.1
    boards: int = 6
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """The planks."""
        rng = np.random.default_rng(self.seed)
        groups: dict[str, list[Shell]] = {wood: [] for wood in WOODS}
        tall = float(np.hypot(self.height_m, self.depth_m))
        for k in range(self.boards):
            wide, thick = float(rng.uniform(0.1, 0.2)), float(rng.uniform(0.02, 0.04))
            long = tall if k == 0 else tall * float(rng.uniform(0.5, 0.95))
            x = (k + 0.5) / self.boards * self.width_m + float(rng.normal(0, 0.03))
            plank = block((wide, thick, long), (0, 0, long / 2), 0.002)
            lean = float(np.arctan2(self.depth_m, self.height_m)) * float(rng.uniform(0.8, 1.0))
            leant = plank.moved(turn((0, 1, 0), float(rng.normal(0, 0.02))) @ turn(X, -lean))
            foot = float(leant.vertices[:, 2].min())
            head = float(leant.vertices[:, 1].max())
            wood = WOODS[int(rng.integers(len(WOODS)))]
            groups[wood].append(leant.shifted(x, -head - 0.012 * (k % 3), -foot))
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return _sawn(groups, Z)


@dataclass(frozen=True, kw_only=True)
class WoodStack:
    """Sawn timber stacked on bearers, ends to the side, no two pieces of one length."""

    width_m: float = 1.2
    depth_m: float = 0.5
    height_m: float = 0.55
    layers: int = 8
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Bearers, timber, the sticks between its layers."""
        rng = np.random.default_rng(self.seed)
        groups: dict[str, list[Shell]] = {name: [] for name in (*WOODS, "sticks")}
        sticks, step = groups["sticks"], 0.06
        for x in (-0.38, 0.38):
            sticks.append(box((x - 0.04, -0.25, 0), (x + 0.04, 0.25, 0.08), 0.004))
        for layer in range(self.layers):
            z, y = 0.08 + layer * step, -0.25
            while y < 0.2:
                deep = float(rng.uniform(0.07, 0.16))
                if y + deep > 0.25 or (layer == self.layers - 1 and rng.random() < 0.4):
                    y += deep
                    continue
                half = 0.6 * float(rng.uniform(0.72, 1.0))
                off = float(rng.uniform(-1, 1)) * (0.6 - half)
                low, high = (off - half, y, z), (off + half, y + deep - 0.004, z + step - 0.012)
                groups[WOODS[int(rng.integers(len(WOODS)))]].append(box(low, high, 0.002))
                y += deep
            if layer < self.layers - 1:
                for x in (-0.38, 0.38):
                    low, high = (x - 0.012, -0.25, z + step - 0.012), (x + 0.012, 0.25, z + step)
                    sticks.append(box(low, high, 0.001))
        fitted(groups, self.width_m, self.depth_m, self.height_m)
        return (*_sawn(groups, X), piece("sticks", groups["sticks"], "pine"))
