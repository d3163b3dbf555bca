"""Things that hang on a wall: pictures, a clock, a rack of tools. Backs in the plane y = 0."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import one_of
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import box, lathe, rod, sheet, sweep
from previz.geometry.shell import Shell, Z, piece
from previz.geometry.smooth import smooth
from previz.physics.colour import srgb_decode

TO_FRONT = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
"""Turns a thing drawn lying (face to +Z, top to +Y) upright, face to -Y."""


def _noise(rng: np.random.Generator, shape: tuple[int, int], octaves: int) -> Array:
    """Smooth random field in about -1..1, (rows, columns), of bilinearly enlarged lattices."""
    total: Array = np.zeros(shape)
    v, u = (np.linspace(0, 1, n) for n in shape)
    for k in range(octaves):
        cells = 2 ** (k + 1)
        lattice = rng.uniform(-1, 1, (cells + 1, cells + 1))
        i = np.minimum((v * cells).astype(int), cells - 1)
        j = np.minimum((u * cells).astype(int), cells - 1)
        a, b = smooth(v * cells - i)[:, None], smooth(u * cells - j)[None, :]
        top = lattice[np.ix_(i, j)] * (1 - b) + lattice[np.ix_(i, j + 1)] * b
        low = lattice[np.ix_(i + 1, j)] * (1 - b) + lattice[np.ix_(i + 1, j + 1)] * b
        total += 0.5**k * (top * (1 - a) + low * a)
    return total


def landscape(rng: np.random.Generator, rows: int, columns: int) -> Array:
    """Hills in haze under a graded sky, (rows, columns, 3) linear, first row at the bottom."""
    warm = float(rng.uniform(0, 1))
    high = np.array([0.35, 0.5, 0.68]) * (1 - 0.3 * warm)
    low = np.array([0.86, 0.76 - 0.12 * warm, 0.62 - 0.2 * warm])
    y = np.linspace(0, 1, rows)[:, None, None]
    image = low + (high - low) * np.clip((y - 0.35) / 0.65, 0, 1) ** 0.8
    image = image + 0.05 * _noise(rng, (rows, columns), 4)[:, :, None]
    x = np.linspace(0, 1, columns)
    near = np.array([0.1, 0.16, 0.1]) + 0.06 * rng.uniform(-1, 1, 3)
    for layer in range(5):
        ridge: Array = np.full(columns, 0.56 - 0.105 * layer)
        for k in range(1, 6):
            swing = 0.05 / k * (1 + 0.3 * layer)
            ridge = ridge + swing * np.sin(x * 4.3 * k + rng.uniform(0, 6.3))
        share = (layer + 1) / 5
        tone = low * 0.8 * (1 - share) + near * share
        cover = np.clip((ridge[None, :] - y[:, :, 0]) * rows / 2 + 0.5, 0, 1)[:, :, None]
        shade = 1 + 0.22 * _noise(rng, (rows, columns), 5)[:, :, None]
        image = image * (1 - cover) + tone * shade * cover
    return srgb_decode(np.clip(image, 0.02, 0.94))


def abstract(rng: np.random.Generator, rows: int, columns: int) -> Array:
    """Overlapping fields of colour with soft edges, (rows, columns, 3) linear."""
    palettes = [
        [(0.85, 0.8, 0.7), (0.72, 0.3, 0.16), (0.13, 0.2, 0.27), (0.83, 0.6, 0.25)],
        [(0.88, 0.85, 0.79), (0.25, 0.36, 0.33), (0.1, 0.12, 0.13), (0.76, 0.5, 0.38)],
        [(0.8, 0.79, 0.74), (0.2, 0.29, 0.42), (0.55, 0.62, 0.63), (0.75, 0.66, 0.5)],
    ]
    palette = np.array(palettes[rng.integers(len(palettes))])
    y, x = np.mgrid[0 : 1 : rows * 1j, 0 : 1 : columns * 1j]
    image = np.tile(palette[0], (rows, columns, 1))
    warp = 0.05 * _noise(rng, (rows, columns), 4)
    for k in range(7):
        tone = palette[1 + k % 3] * rng.uniform(0.85, 1.1)
        cx, cy, w, h = rng.uniform(0.1, 0.9, 4) * [1, 1, 0.4, 0.35]
        if k % 3 == 0:
            inside = 0.55 * min(w, h) + 0.1 - np.hypot(x - cx, (y - cy) * rows / columns) + warp
        else:
            inside = np.minimum(w - abs(x - cx), 0.6 * h - abs(y - cy)) + warp
        cover = np.clip(inside * columns / 2 + 0.5, 0, 1)[:, :, None]
        image = image * (1 - 0.92 * cover) + 0.92 * cover * tone
    grain = 1 + 0.07 * _noise(rng, (rows, columns), 6)
    return srgb_decode(np.clip(image * grain[:, :, None], 0.02, 0.94))


PAINTERS = {"landscape": landscape, "abstract": abstract}


@dataclass(frozen=True, kw_only=True)
class FramedPicture:
    """Framed picture under a mat: `kind` "landscape" or "abstract", painted by `seed`.

    `hang_m` is the height of its centre above the floor; 1.5 m is common practice, no source.
    """

    width_m: float = 0.60
    depth_m: float = 0.028
    height_m: float = 0.45
    hang_m: float = 1.50
    frame_m: float = 0.022
    mat_m: float = 0.06
    kind: str = "landscape"
    frame: str = "oak"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Frame, mat with a bevelled window, painted sheet, back board."""
        w, h, f, m = self.width_m / 2, self.height_m / 2, self.frame_m, self.mat_m
        deep = self.depth_m
        corners = [(w - f / 2, h - f / 2), (-w + f / 2, h - f / 2), (-w + f / 2, -h + f / 2)]
        corners.append((w - f / 2, -h + f / 2))
        path = np.array([(x, y, deep / 2) for x, y in corners])
        moulding = self._moulding()
        rails = sweep(path, moulding, closed=True, up=Z)
        back = box((-w + f * 0.6, -h + f * 0.6, 0.002), (w - f * 0.6, h - f * 0.6, 0.008), 0.001)
        window = np.array([w - f - m, h - f - m])
        mat_path = np.array([w - f * 0.8, h - f * 0.8])
        level = 0.55 * deep
        mat = [self._board(mat_path, window, level)] if m > 0 else []
        half = window + 0.003
        columns = int(np.clip(2 * half[0] / 0.0045, 40, 220))
        rows = max(30, int(columns * half[1] / half[0]))
        x, y = np.linspace(-half[0], half[0], columns), np.linspace(-half[1], half[1], rows)
        grid = np.stack(np.broadcast_arrays(x[None], y[:, None], level - 0.0025), axis=-1)
        rng = np.random.default_rng(self.seed)
        image = PAINTERS[one_of("picture", self.kind, PAINTERS)](rng, rows, columns)
        shell = sheet(grid.transpose(1, 0, 2))
        painted = shell.painted(image.transpose(1, 0, 2).reshape(-1, 3))
        mats = [piece("mat", [self._up(s) for s in mat], "paper")] if mat else []
        return (
            piece("frame", self._up(rails), self.frame),
            *mats,
            piece("picture", self._up(painted), "picture", closed=False),
            piece("back board", self._up(back), "cardboard"),
        )

    def _moulding(self) -> Array:
        """Section of the frame, inward and up from its middle: high outside, a low lip inside."""
        f, d = self.frame_m / 2, self.depth_m / 2
        shape = [(-f, -d), (f, -d), (f, 0.4 * d), (f - 0.003, 0.5 * d), (0.2 * f, 0.55 * d)]
        shape += [(-0.3 * f, d), (-f + 0.002, d), (-f, d - 0.002)]
        return np.array(shape)

    @staticmethod
    def _board(outer: Array, window: Array, level: float) -> Shell:
        """Mat board: a flat frame whose inner edge is cut at 45 degrees."""
        path = [
            (s * outer[0], t * outer[1], level) for s, t in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        ]
        across = outer - window
        thick = 0.0018
        reach = float(across[0])
        section = [(0, 0), (0, -thick), (reach + thick, -thick), (reach, 0)]
        return sweep(path, section, closed=True, up=Z)

    def _up(self, shell: Shell) -> Shell:
        return shell.moved(TO_FRONT).shifted(z=self.hang_m)


@dataclass(frozen=True, kw_only=True)
class Clock:
    """Round wall clock with hour marks and hands; `hang_m` is the height of its centre."""

    width_m: float = 0.30
    depth_m: float = 0.045
    hang_m: float = 1.90
    hour: float = 10.17
    metal: str = "steel_black"

    def pieces(self) -> tuple[Piece, ...]:
        """Rim, dial, marks and hands."""
        r, d = self.width_m / 2, self.depth_m
        rim = [(0.0, 0), (0.94 * r, 0), (r, 0.006), (r, d - 0.004), (r - 0.003, d)]
        rim += [(r - 0.012, d - 0.001), (r - 0.014, d - 0.012), (0, d - 0.012)]
        dial = lathe([(r - 0.013, d - 0.013), (r - 0.013, d - 0.0105)], 64)
        marks = []
        for k in range(12):
            long, wide = (0.11 * r, 0.014) if k % 3 == 0 else (0.07 * r, 0.006)
            bar = box(
                (-wide / 2, 0.86 * r - long, d - 0.011), (wide / 2, 0.86 * r, d - 0.0098), 3e-4
            )
            marks.append(_clockwise(bar, k / 12))
        minute = box((-0.003, -0.14 * r, d - 0.007), (0.003, 0.76 * r, d - 0.0055), 4e-4)
        hour = box((-0.0045, -0.1 * r, d - 0.009), (0.0045, 0.5 * r, d - 0.0075), 4e-4)
        hands = [_clockwise(minute, self.hour % 1), _clockwise(hour, self.hour % 12 / 12)]
        hands.append(rod((0, 0, d - 0.011), (0, 0, d - 0.004), 0.006))

        def up(shells: list[Shell]) -> list[Shell]:
            return [shell.moved(TO_FRONT).shifted(z=self.hang_m) for shell in shells]

        return (
            piece("rim", up([lathe(rim, 64)]), self.metal),
            piece("dial", up([dial]), "plastic_white", colour=(0.66, 0.64, 0.58)),
            piece("marks", up(marks), "plastic_black"),
            piece("hands", up(hands), "plastic_black"),
        )


def _clockwise(shell: Shell, turns: float) -> Shell:
    c, s = np.cos(2 * np.pi * turns), np.sin(2 * np.pi * turns)
    return shell.moved(np.array([[c, s, 0, 0], [-s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]))
