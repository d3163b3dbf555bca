"""Plants in pots: stems, many curved leaves, soil. Leaves are sheets; all else is closed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.furniture.base import one_of
from previz.geometry.furniture.joinery import held
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import lathe, sheet, tube
from previz.geometry.shell import Faces, Shell, Z, cross, piece, unit

GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))
"""Turn from leaf to leaf round a stem (137.5 degrees), as in most spiral growth."""


@dataclass(frozen=True, kw_only=True)
class Blade:
    """Form of a leaf of length 1: half-widths along it, fold along its rib, curl, waviness."""

    widths: tuple[float, ...]
    fold: float
    """How much the halves rise from the midrib, as a share of the half-width."""
    droop: float
    """Angle in radians by which the tip has turned down from the base."""
    wave: float = 0.0
    columns: int = 5
    edge: float = 1.15
    """How much lighter the rim is than the leaf."""


OVAL = Blade(
    widths=(0.02, 0.16, 0.235, 0.26, 0.245, 0.19, 0.1, 0.004), fold=0.28, droop=0.75, wave=0.03
)
STRAP = Blade(
    widths=(0.03, 0.042, 0.047, 0.045, 0.04, 0.03, 0.018, 0.002), fold=0.35, droop=1.7, columns=3
)
SWORD = Blade(
    widths=(0.028, 0.04, 0.05, 0.053, 0.05, 0.042, 0.026, 0.002),
    fold=0.5,
    droop=0.12,
    wave=0.015,
    edge=5.0,
)
LEAFLET = Blade(widths=(0.06, 0.13, 0.005), fold=0.3, droop=0.5, columns=3)
HEART = Blade(
    widths=(0.1, 0.4, 0.46, 0.41, 0.3, 0.17, 0.07, 0.004), fold=0.16, droop=0.9, wave=0.03
)


def leaf(blade: Blade, rng: np.random.Generator) -> tuple[Array, Array, Faces]:
    """Leaf of length 1 from the origin along +Y, upper side to +Z, drooping.

    Gives vertices (n, 3), how much lighter than the leaf's green each is (n,), faces (m, 3).
    """
    rows = len(blade.widths)
    t = np.linspace(0, 1, rows)
    bend = blade.droop * float(rng.uniform(0.75, 1.3)) * t**1.3
    step = 1 / (rows - 1)
    y = np.concatenate([[0], np.cumsum(step * np.cos(bend[:-1]))])
    z = np.concatenate([[0], np.cumsum(-step * np.sin(bend[:-1]))])
    across = np.linspace(-1, 1, blade.columns)
    half = np.array(blade.widths)[:, None] * across
    ripple = blade.wave * np.sin(7 * t + rng.uniform(0, 6))[:, None] * across**2
    lift = np.abs(half) * blade.fold + ripple * np.sin(np.pi * t)[:, None]
    normal = np.column_stack([np.sin(bend), np.cos(bend)])
    grid = np.stack(
        [half, y[:, None] + lift * normal[:, :1], z[:, None] + lift * normal[:, 1:]], axis=-1
    )
    shell = sheet(grid.transpose(1, 0, 2))
    light = np.where(across == 0, 1.9, 1 + (blade.edge - 1) * across**4)
    return shell.vertices, np.repeat(light, rows), shell.faces[:, ::-1]


class Growth:
    """A plant while it grows: its stems, and where each leaf is to go."""

    def __init__(self, blade: Blade, green: ArrayLike, rng: np.random.Generator) -> None:
        self.blade, self.green, self.rng = blade, np.asarray(green, float), rng
        self.stems: list[Shell] = []
        self._at: list[Array] = []
        self._along: list[Array] = []
        self._length: list[float] = []

    def add(self, at: Array, along: Array, length: float) -> None:
        """One leaf: base, direction it leaves in, length in metres."""
        self._at.append(at)
        self._along.append(along)
        self._length.append(length)

    def leaves(self, kinds: int = 9) -> list[Shell]:
        """All leaves as one shell a kind: `kinds` differing forms are dealt out, greens vary."""
        at, along = np.array(self._at), unit(np.array(self._along))
        flat = np.where(np.abs(along[:, 2:]) > 0.9999, np.array([[0.0, 1.0, 0.0]]), Z)
        right = unit(cross(along, flat))
        frames = np.stack([right, along, cross(right, along)], axis=-1)
        frames *= np.array(self._length)[:, None, None]
        shells = []
        for kind in range(kinds):
            mine = np.arange(kind, len(at), kinds)
            if len(mine) == 0:
                continue
            vertices, light, faces = leaf(self.blade, self.rng)
            n = len(vertices)
            points = np.einsum("lij,nj->lni", frames[mine], vertices) + at[mine, None]
            greens = self.green * self.rng.uniform(0.75, 1.3, (len(mine), 1))
            colours = np.clip(greens[:, None] * light[None, :, None], 0, 0.9)
            starts = n * np.arange(len(mine))[:, None, None]
            shells.append(
                Shell(
                    points.reshape(-1, 3), (faces + starts).reshape(-1, 3), colours.reshape(-1, 3)
                )
            )
        return shells


def _polar(azimuth: float, elevation: float) -> Array:
    level = np.cos(elevation)
    return np.array([level * np.cos(azimuth), level * np.sin(azimuth), np.sin(elevation)])


def _stem_path(
    start: Array, end: Array, sway: float, rng: np.random.Generator, count: int = 9
) -> Array:
    s = np.linspace(0, 1, count)[:, None]
    bow = np.append(rng.normal(0, sway, 2), 0)
    return np.asarray(start + s * (end - start) + np.sin(np.pi * s) * bow, float)


def rubber(rng: np.random.Generator, tall: float) -> Growth:
    """Upright stems with large glossy oval leaves in a spiral."""
    grown = Growth(OVAL, (0.022, 0.062, 0.016), rng)
    length = 0.27 * min(1.0, 0.55 + 0.45 * tall)
    for k in range(3):
        lean = _polar(2.1 * k + rng.uniform(0, 1), 0.0)
        high = tall * (0.92, 0.74, 0.58)[k]
        path = _stem_path(0.035 * lean, 0.11 * lean * tall + high * Z, 0.02, rng)
        grown.stems.append(tube(path, np.linspace(0.009, 0.004, 9), 8))
        count = int(high / 0.034)
        for i in range(count):
            share = 0.16 + 0.84 * (i + rng.uniform(0, 0.5)) / count
            at = np.array([np.interp(share * 8, range(9), path[:, c]) for c in range(3)])
            young = (share - 0.16) / 0.84
            azimuth = GOLDEN_ANGLE * i + 2.1 * k
            rise = -0.1 + 1.05 * young**2.2 + rng.normal(0, 0.12)
            along = _polar(azimuth, rise)
            foot = at + 0.035 * _polar(azimuth, rise + 0.25)
            grown.stems.append(tube([at, foot], 0.0022, 5))
            size = length * (1 - 0.45 * young**2) * float(rng.uniform(0.85, 1.12))
            grown.add(foot, along, size)
    return grown


def fern(rng: np.random.Generator, tall: float) -> Growth:
    """Fronds that arch out of the middle, each with two rows of leaflets."""
    grown = Growth(LEAFLET, (0.05, 0.13, 0.026), rng)
    for k in range(34):
        azimuth = GOLDEN_ANGLE * k + rng.normal(0, 0.1)
        inner = k / 34
        rise = 0.9 + 0.6 * inner + rng.normal(0, 0.08)
        long = tall * (1.45 - 0.35 * inner) * float(rng.uniform(0.85, 1.1))
        points, at, angle = [np.append(0.015 * _polar(azimuth, 0)[:2], 0.0)], rise, rise
        steps = 22
        for _ in range(steps):
            points.append(points[-1] + long / steps * _polar(azimuth, at))
            at = angle = angle - (0.078 + 0.03 * float(rng.random()))
        path = np.array(points)
        grown.stems.append(tube(path[::3], np.linspace(0.0022, 0.0009, len(path[::3])), 5))
        for i in range(3, steps):
            share = i / steps
            ahead = unit(path[i + 1] - path[i])
            side = unit(cross(ahead, Z))
            size = 0.24 * tall * np.sin(np.pi * (0.12 + 0.86 * share)) ** 0.8
            for sign in (-1, 1):
                along = unit(sign * side + 0.45 * ahead - 0.1 * Z)
                grown.add(path[i], along, float(size) + 0.012)
    return grown


def tall_strap(rng: np.random.Generator, tall: float) -> Growth:
    """Bare canes, each with a crown of long arching strap leaves."""
    grown = Growth(STRAP, (0.034, 0.095, 0.024), rng)
    for k, share in enumerate((0.62, 0.42, 0.26)):
        lean = _polar(2.1 * k + 0.4, 0.0)
        path = _stem_path(0.045 * lean, 0.07 * lean + share * tall * Z, 0.012, rng)
        grown.stems.append(tube(path, np.linspace(0.017, 0.013, 9), 10))
        count = 34
        for i in range(count):
            young = i / count
            azimuth = GOLDEN_ANGLE * i + k
            along = _polar(azimuth, 0.1 + 1.3 * young + float(rng.normal(0, 0.1)))
            at = path[-1] - 0.07 * (1 - young) * tall * Z * 0.8
            size = 0.42 * tall * float(rng.uniform(0.75, 1.05)) * (1 - 0.3 * young**3)
            grown.add(at + 0.011 * _polar(azimuth, 0), along, min(size, 0.62))
    return grown


def sword(rng: np.random.Generator, tall: float) -> Growth:
    """Stiff upright blades with pale edges."""
    grown = Growth(SWORD, (0.032, 0.075, 0.028), rng)
    for k in range(15):
        azimuth = GOLDEN_ANGLE * k
        out = 0.018 * np.sqrt(k)
        along = _polar(azimuth, 1.5 - 0.05 * np.sqrt(k) + float(rng.normal(0, 0.03)))
        size = tall * float(rng.uniform(0.55, 1.0)) if k else tall
        grown.add(out * _polar(azimuth, 0), along, size)
    return grown


def trailing(rng: np.random.Generator, tall: float) -> Growth:
    """Heart-shaped leaves on stems that rise a little and hang over the pot's rim."""
    grown = Growth(HEART, (0.045, 0.13, 0.02), rng)
    for k in range(12):
        azimuth = GOLDEN_ANGLE * k + rng.normal(0, 0.2)
        path = [np.zeros(3)]
        rise = 1.25 - 0.3 * float(rng.random())
        fall = float(rng.uniform(0.16, 0.26))
        steps = int(rng.integers(8, 14))
        for _ in range(steps):
            azimuth += float(rng.normal(0, 0.12))
            path.append(path[-1] + 0.085 * tall * _polar(azimuth, rise))
            rise = max(-1.1, rise - fall)
        points = np.array(path)
        grown.stems.append(tube(points, 0.0018, 5))
        for i in range(1, steps + 1):
            side = azimuth + (1.0 if i % 2 else -1.0)
            along = _polar(side, float(rng.uniform(-0.5, 0.35)))
            foot = points[i] + 0.1 * tall * _polar(side, 0.4)
            grown.stems.append(tube([points[i], foot], 0.0012, 4))
            size = 0.24 * tall * float(rng.uniform(0.7, 1.15))
            grown.add(foot, along, size)
    return grown


HABITS: dict[str, Callable[[np.random.Generator, float], Growth]] = {
    "rubber": rubber,
    "fern": fern,
    "tall": tall_strap,
    "sword": sword,
    "trailing": trailing,
}


def pot(diameter: float, height: float) -> tuple[Shell, Shell]:
    """Flower pot with a rolled rim, and the soil in it."""
    r, h = diameter / 2, height
    outer = [(0, 0), (0.66, 0), (0.7, 0.015), (0.92, 0.8), (0.99, 0.81), (1.0, 0.83), (1.0, 0.97)]
    inner = [(0.985, 1.0), (0.93, 1.0), (0.915, 0.98), (0.88, 0.86), (0, 0.86)]
    body = lathe(held(np.array(outer + inner) * [r, h]), 40)
    ripple = np.array([(0.895, 0.84), (0.885, 0.885), (0.6, 0.9), (0.3, 0.895), (0, 0.905)])
    return body, lathe(ripple * [r, h], 24)


@dataclass(frozen=True, kw_only=True)
class Plant:
    """Potted plant of a `habit`: rubber, fern, tall, sword or trailing.

    `height_m` is over all; the leaves reach no further than `width_m` from side to side, measured
    round the pot's axis. Below its pot's rim only a trailing plant and a fern hang.
    """

    habit: str = "rubber"
    width_m: float = 0.75
    height_m: float = 1.25
    pot_diameter_m: float = 0.30
    pot_height_m: float = 0.28
    pot_material: str = "terracotta"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Pot, soil, stems, leaves."""
        rng = np.random.default_rng(self.seed)
        body, soil = pot(self.pot_diameter_m, self.pot_height_m)
        level = 0.88 * self.pot_height_m
        grown = HABITS[one_of("habit", self.habit, HABITS)](rng, self.height_m - level)
        foliage = grown.leaves()
        cloud = np.concatenate([shell.vertices for shell in foliage])
        reach = 2 * float(np.hypot(cloud[:, 0], cloud[:, 1]).max())
        fit = np.diag(
            [*[self.width_m / reach] * 2, (self.height_m - level) / float(cloud[:, 2].max()), 1.0]
        )
        fit[2, 3] = level
        # Nothing hangs through the floor.
        hang = fit[2, 2] * float(cloud[:, 2].min()) + level
        leaves = [shell.moved(fit) for shell in foliage]
        if hang < 0.01:
            squeeze = (level - 0.01) / (level - hang)
            leaves = [self._lifted(shell, level, squeeze) for shell in leaves]
        stems = [shell.moved(fit) for shell in grown.stems]
        if hang < 0.01:
            stems = [self._lifted(shell, level, squeeze) for shell in stems]
        grown_stems = [piece("stems", stems, "stem", smooth=True)] if stems else []
        return (
            piece("pot", body, self.pot_material, smooth=True),
            piece("soil", soil, "soil"),
            *grown_stems,
            piece("leaves", leaves, "leaf", smooth=True, closed=False),
        )

    @staticmethod
    def _lifted(shell: Shell, level: float, squeeze: float) -> Shell:
        """What hangs under `level` drawn up by a factor."""
        points = shell.vertices.copy()
        under = points[:, 2] < level
        points[under, 2] = level - (level - points[under, 2]) * squeeze
        return Shell(points, shell.faces, shell.colour)
