"""Lamps of the room: their shade is an emitter surface and no piece, but where they are off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.joinery import held
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import lathe, rod, sheet, tube
from previz.geometry.shell import Shell, Y, Z, piece

RIM_M = 0.006
"""Height of the bound edge at either end of a shade."""
CLEAR_M = 0.001


def _facing_front(height_m: float) -> Array:
    """Pose on the Z axis: +Z of the emitter along -Y, its +Y up."""
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([[1, 0, 0], [0, 0, 1], [0, -1, 0]])
    pose[2, 3] = height_m
    return pose


def drum(radius: float, low: float, high: float) -> tuple[list[Shell], EmitterShape]:
    """Rims and spider of a drum shade between two heights, and its emitting side.

    The rims stand where the emitting cylinder ends, inside the overall height.
    """
    rims = []
    for z0 in (low, high - RIM_M):
        a, b = radius - 0.003, radius
        loop = [(a, z0), (b, z0), (b, z0 + RIM_M), (a, z0 + RIM_M)]
        rims.append(lathe(loop, 48, ring=True))
    z = high - 0.02
    spokes = [
        tube([0.008 * _out(k) + z * Z, (radius - 0.0025) * _out(k) + (high - 0.003) * Z], 0.0015, 6)
        for k in range(3)
    ]
    length = high - low - 2 * (RIM_M + CLEAR_M)
    emitter = EmitterShape(
        "cylinder", _facing_front((low + high) / 2), radius_m=radius, length_m=length
    )
    return rims + spokes, emitter


def unlit(emitter: EmitterShape) -> Piece:
    """The shade or the bulb of a lamp that is off, where its light would leave it."""
    if emitter.kind == "sphere":
        t = np.linspace(-np.pi / 2, np.pi / 2, 13)[1:-1]
        arc = [(0.0, -1.0), *zip(np.cos(t), np.sin(t), strict=True), (0.0, 1.0)]
        bulb = lathe(np.array(arc) * emitter.radius_m, 24).moved(emitter.pose)
        return piece("bulb", bulb, "ceramic_white", smooth=True)
    angle, half = np.linspace(0, 2 * np.pi, 49), emitter.length_m / 2
    ring = emitter.radius_m * np.column_stack([np.cos(angle), 0 * angle, -np.sin(angle)])
    grid = np.stack([ring - half * Y, ring + half * Y], axis=1)
    shade = sheet(grid).moved(emitter.pose)
    return piece("shade", shade, "lamp_shade", smooth=True, grain=Z, closed=False)


def _out(k: int) -> Array:
    a = 2 * np.pi * k / 3 + np.pi / 6
    return np.array([np.cos(a), np.sin(a), 0])


@dataclass(frozen=True, kw_only=True)
class FloorLamp:
    """Drum shade on a slim pole with a heavy round foot."""

    width_m: float = 0.42
    height_m: float = 1.58
    shade_height_m: float = 0.28
    metal: str = "brass"

    def emitter(self) -> EmitterShape:
        """Side of the drum."""
        return drum(self.width_m / 2, self.height_m - self.shade_height_m, self.height_m)[1]

    def pieces(self) -> tuple[Piece, ...]:
        """Foot, pole and socket, rims of the shade, cord."""
        low = self.height_m - self.shade_height_m
        fittings, _ = drum(self.width_m / 2, low, self.height_m)
        foot = [(0.0, 0), (0.137, 0), (0.14, 0.002), (0.14, 0.014), (0.137, 0.017), (0.03, 0.022)]
        foot += [(0.016, 0.03), (0.012, 0.05), (0, 0.05)]
        pole = [lathe(held(foot), 48), rod((0, 0, 0.03), (0, 0, self.height_m - 0.012), 0.0085)]
        pole.append(lathe([(0.011, low - 0.05), (0.018, low - 0.045), (0.02, low + 0.07)], 20))
        return (
            piece("pole", pole, self.metal, smooth=True),
            piece("shade fittings", fittings, self.metal, smooth=True),
            piece("cord", _cord(), "fabric_black", smooth=True),
        )


def _cord() -> Shell:
    s = np.linspace(0, 1, 13)
    path = np.column_stack([0.05 * np.sin(2.5 * s), 0.12 + 0.08 * s, np.full(13, 0.003)])
    return tube(path, 0.003, 6)


@dataclass(frozen=True, kw_only=True)
class TableLamp:
    """Drum shade on a turned ceramic body."""

    width_m: float = 0.30
    height_m: float = 0.48
    shade_height_m: float = 0.20
    ceramic: str = "ceramic_blue"
    metal: str = "brass"

    def emitter(self) -> EmitterShape:
        """Side of the drum."""
        return drum(self.width_m / 2, self.height_m - self.shade_height_m, self.height_m)[1]

    def pieces(self) -> tuple[Piece, ...]:
        """Body, neck and socket, rims of the shade."""
        low = self.height_m - self.shade_height_m
        fittings, _ = drum(self.width_m / 2, low, self.height_m)
        tall = low - 0.03
        shape = [(0, 0), (0.052, 0), (0.055, 0.003), (0.055, 0.012), (0.05, 0.016)]
        for share, r in ((0.12, 0.06), (0.3, 0.082), (0.5, 0.09), (0.68, 0.08), (0.83, 0.055)):
            shape.append((r, share * tall))
        shape += [(0.034, 0.93 * tall), (0.026, tall), (0, tall)]
        neck = [rod((0, 0, tall - 0.005), (0, 0, self.height_m - 0.012), 0.006)]
        neck.append(lathe([(0.013, tall - 0.002), (0.02, tall + 0.006), (0.02, tall + 0.07)], 20))
        return (
            piece("body", lathe(held(shape), 40), self.ceramic, smooth=True),
            piece("neck", neck, self.metal, smooth=True),
            piece("shade fittings", fittings, self.metal, smooth=True),
        )


@dataclass(frozen=True, kw_only=True)
class PendantLamp:
    """Enamelled steel bell on a cord from the ceiling; a frosted bulb glows in its mouth.

    `height_m` is the ceiling, where the rose is fixed; `drop_m` down from it hangs the bell's rim.
    """

    width_m: float = 0.36
    height_m: float = 2.70
    drop_m: float = 0.90
    metal: str = "steel_black"
    bulb_radius_m: float = 0.035

    def emitter(self) -> EmitterShape:
        """The bulb, a sphere in the mouth of the bell, aimed down."""
        pose = np.eye(4)
        pose[:3, :3] = np.column_stack([[1, 0, 0], [0, -1, 0], [0, 0, -1]])
        pose[2, 3] = self.height_m - self.drop_m + 0.025
        return EmitterShape("sphere", pose, radius_m=self.bulb_radius_m)

    def pieces(self) -> tuple[Piece, ...]:
        """Bell, socket and rose, cord."""
        r, low = self.width_m / 2, self.height_m - self.drop_m
        curve = [(1.0, 0.0), (0.97, 0.06), (0.88, 0.28), (0.7, 0.52), (0.46, 0.72), (0.24, 0.84)]
        outer = [(r * a, low + 0.9 * r * b) for a, b in curve]
        top = low + 0.9 * r
        inner = [(a * r - 0.002, low + (0.9 * r - 0.004) * b) for a, b in curve]
        bell = lathe([*outer, (0.03, top), (0.028, top - 0.004), *inner[::-1]], 48, ring=True)
        socket_low = low + 0.025 + self.bulb_radius_m + CLEAR_M
        shape = [(0.016, socket_low), (0.02, socket_low + 0.004), (0.02, top - 0.005)]
        shape += [(0.031, top - 0.001), (0.031, top + 0.012), (0.012, top + 0.03)]
        socket = [lathe(shape, 24)]
        h = self.height_m
        socket.append(lathe([(0.045, h - 0.025), (0.05, h - 0.02), (0.05, h)], 32))
        cord = rod((0, 0, top + 0.028), (0, 0, h - 0.02), 0.0032, sections=8)
        return (
            piece("bell", bell, self.metal, smooth=True),
            piece("socket", socket, "brass", smooth=True),
            piece("cord", cord, "fabric_black", smooth=True),
        )
