"""A bookbinder's and joiner's things: tools on a rack, a nipping press."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from previz.geometry.outlines import chamfered
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import block, box, extruded, lathe, loft, rod, tube
from previz.geometry.shell import Shell, X, Z, piece, shift, turn

Parts = dict[str, list[Shell]]


def _hammer() -> Parts:
    """Hammer hanging by its head: head at the top, shaft down. Origin under the head."""
    head = loft(
        [
            np.column_stack([np.full(8, x), chamfered(*size, 0.003)])
            for x, size in (
                (-0.055, (0.004, 0.022)),
                (-0.02, (0.024, 0.024)),
                (0.03, (0.024, 0.024)),
                (0.045, (0.028, 0.028)),
                (0.058, (0.028, 0.028)),
            )
        ]
    )
    widths = [(0.011, 0.016), (0.01, 0.015), (0.012, 0.02), (0.015, 0.026), (0.013, 0.023)]
    shaft = loft(
        [
            np.column_stack([chamfered(*size, 0.004), np.full(8, z)])
            for size, z in zip(widths, (0.014, -0.06, -0.16, -0.24, -0.265), strict=True)
        ]
    )
    return {"steel": [head], "wood": [shaft]}


def _chisel(width: float) -> Parts:
    """Chisel hanging edge down: turned handle above the rail, blade below. Origin at the collar."""
    handle = [(0.009, 0.0), (0.013, 0.012), (0.014, 0.05), (0.012, 0.08), (0.016, 0.105)]
    handle += [(0.014, 0.118), (0.0, 0.121)]
    blade = loft(
        [
            np.column_stack([chamfered(w, t, 0.0006), np.full(8, z)])
            for w, t, z in (
                (width * 0.5, 0.008, 0.004),
                (width, 0.005, -0.03),
                (width, 0.004, -0.125),
                (width, 0.0014, -0.14),
            )
        ]
    )
    return {
        "wood": [lathe(handle, 16)],
        "steel": [blade],
        "brass": [lathe([(0.0102, -0.004), (0.0105, 0.006)], 16)],
    }


def _brush() -> Parts:
    """Flat glue brush hanging bristles down. Origin at the rail."""
    grip = [(0.0035, 0.085), (0.006, 0.08), (0.008, 0.05), (0.006, 0.0), (0.0075, -0.05)]
    grip.append((0.009, -0.07))
    ferrule = block((0.04, 0.014, 0.035), (0, 0, -0.083), 0.002)
    hair = loft(
        [
            np.column_stack([chamfered(w, t, 0.002), np.full(8, z)])
            for w, t, z in ((0.037, 0.011, -0.098), (0.041, 0.013, -0.13), (0.038, 0.006, -0.15))
        ]
    )
    return {"wood": [lathe(grip[::-1], 12)], "brass": [ferrule], "hair": [hair]}


def _shears() -> Parts:
    """Shears hanging by one ring, points down. Origin at the ring."""
    blades, rings = [], []
    for s in (-1, 1):
        shape = [(-0.006, 0.0), (0.006, 0.004), (0.004, 0.13), (-0.001, 0.15)]
        flat = extruded(shape, 0.003, 0.0007).shifted(z=0.0032 * (s > 0))
        upright = flat.moved(turn(X, -np.pi / 2)).moved(turn((0, 1, 0), 0.06 * s))
        blades.append(upright.shifted(z=-0.075))
        a = np.linspace(0, 2 * np.pi, 20, endpoint=False)
        loop = np.column_stack(
            [0.02 * s + 0.017 * np.cos(a), np.full(20, 0.002 * s), -0.02 + 0.024 * np.sin(a)]
        )
        rings.append(tube(loop, 0.0035, 8, closed=True))
        rings.append(rod((0.014 * s, 0.001 * s, -0.042), (0, 0.001 * s, -0.085), 0.004))
    return {"steel": blades, "black": rings}


def _saw() -> Parts:
    """Small back saw hanging by its handle, blade to +X. Origin at the handle."""
    blade = extruded([(0.0, -0.09), (0.24, -0.075), (0.24, -0.03), (0.0, -0.03)], 0.0012, 0.0003)
    spine = box((0.0, -0.034, -0.003), (0.242, -0.024, 0.004), 0.001)
    grip = extruded(
        [
            (-0.1, -0.1),
            (-0.07, -0.115),
            (-0.05, -0.06),
            (0.01, -0.08),
            (0.015, -0.02),
            (-0.06, 0.0),
            (-0.09, -0.03),
        ],
        0.02,
        0.004,
    )
    stand = turn(X, np.pi / 2)
    return {
        "steel": [blade.moved(stand)],
        "brass": [spine.moved(stand)],
        "wood": [grip.moved(shift(y=0.01) @ stand)],
    }


MAKERS: tuple[tuple[Callable[[], Parts], float], ...] = (
    (_hammer, 0.13),
    (lambda: _chisel(0.025), 0.052),
    (lambda: _chisel(0.018), 0.048),
    (lambda: _chisel(0.012), 0.046),
    (lambda: _chisel(0.006), 0.05),
    (_shears, 0.11),
    (_brush, 0.07),
    (_brush, 0.07),
    (_hammer, 0.13),
)


@dataclass(frozen=True, kw_only=True)
class ToolRack:
    """Board on the wall with a slotted rail: hammers, chisels, shears, brushes, a saw.

    `hang_m` is the height of the board's middle. Tools are left out when they no longer fit;
    `depth_m` must be at least 0.055.
    """

    width_m: float = 1.00
    depth_m: float = 0.07
    height_m: float = 0.50
    hang_m: float = 1.45
    wood: str = "pine"
    handles: str = "beech"

    def pieces(self) -> tuple[Piece, ...]:
        """Board, rail, tool handles, steel, brass, black rings, bristles."""
        w, h, d = self.width_m / 2, self.height_m / 2, self.depth_m
        board = box((-w, -0.018, -h), (w, 0, h), 0.003)
        rail_z = 0.35 * h
        rails = [box((-w + 0.03, -d, rail_z - 0.009), (w - 0.03, -0.016, rail_z + 0.009), 0.002)]
        parts: Parts = {"wood": [], "steel": [], "brass": [], "black": [], "hair": []}
        x = -w + 0.11
        for k, (make, room) in enumerate(MAKERS * round(1 + self.width_m)):
            # A long rack has the first tools again, up to where the saw hangs.
            again = k >= len(MAKERS)
            if x + room / 2 > w - 0.36 and (again or make is not _hammer):
                continue
            if x + room / 2 > w - 0.06:
                break
            drop = 0.016 if make is _hammer else 0.01
            self._hang(parts, make(), x, rail_z + drop, -d + 0.026)
            x += room
        if w > 0.4:
            self._hang(parts, _saw(), w - 0.29, -0.1 * h, -0.034)
            rails.append(
                rod(
                    (w - 0.345, -0.017, -0.1 * h - 0.05), (w - 0.345, -0.05, -0.1 * h - 0.04), 0.006
                )
            )
        named = (
            ("board", [board], self.wood, False, X),
            ("rail", rails, self.wood, False, X),
            ("handles", parts["wood"], self.handles, True, Z),
            ("steel", parts["steel"], "steel", False, Z),
            ("brass", parts["brass"], "brass", False, Z),
            ("grips", parts["black"], "steel_black", True, Z),
            ("bristles", parts["hair"], "rope", False, Z),
        )
        return tuple(
            piece(
                name,
                [s.shifted(z=self.hang_m) for s in shells],
                material,
                smooth=smooth,
                grain=grain,
            )
            for name, shells, material, smooth, grain in named
            if shells
        )

    @staticmethod
    def _hang(into: Parts, tool: Parts, x: float, z: float, y: float) -> None:
        for material, shells in tool.items():
            into[material] += [shell.shifted(x, y, z) for shell in shells]


@dataclass(frozen=True, kw_only=True)
class Press:
    """Bookbinder's nipping press: bed, two pillars, bridge, screw, platen, wheel; `open_m` gap.

    Stands on a bench. The wheel is as wide as the shorter side of the bed, which fills the
    footprint.
    """

    width_m: float = 0.40
    depth_m: float = 0.40
    height_m: float = 0.48
    open_m: float = 0.07
    wheel: bool = True

    def pieces(self) -> tuple[Piece, ...]:
        """Frame, platen, screw, wheel (or bar), a book being pressed."""
        w, d, h = self.width_m / 2, self.depth_m / 2, self.height_m
        bed = box((-w, -d, 0.02), (w, d, 0.055), 0.005)
        feet = [
            box((s * 0.6 * w - 0.03, -0.86 * d, 0), (s * 0.6 * w + 0.03, 0.86 * d, 0.024), 0.004)
            for s in (-1, 1)
        ]
        bridge_z = h - 0.13
        pillars = [
            rod(
                (s * 0.68 * w, 0, 0.05),
                (s * 0.68 * w, 0, bridge_z + 0.03),
                0.02,
                0.017,
                sections=20,
            )
            for s in (-1, 1)
        ]
        caps = [
            lathe(
                [(0.026, 0), (0.03, 0.006), (0.022, 0.016), (0.012, 0.024), (0, 0.027)], 20
            ).shifted(s * 0.68 * w, 0, bridge_z + 0.028)
            for s in (-1, 1)
        ]
        arch = [(-0.8 * w, 0.0), (0.8 * w, 0.0), (0.8 * w, 0.03), (0.3 * w, 0.06), (-0.3 * w, 0.06)]
        arch.append((-0.8 * w, 0.03))
        bridge = extruded(arch, 0.07, 0.005).moved(
            shift(y=0.035, z=bridge_z - 0.025) @ turn(X, np.pi / 2)
        )
        nut = lathe(
            [
                (0.034, bridge_z - 0.045),
                (0.038, bridge_z - 0.04),
                (0.038, bridge_z + 0.045),
                (0.03, bridge_z + 0.05),
            ],
            28,
        )
        platen_z = 0.055 + self.open_m
        platen = [
            box((-0.72 * w, -0.86 * d, platen_z), (0.72 * w, 0.86 * d, platen_z + 0.02), 0.004)
        ]
        platen += [
            box(
                (-0.5 * w, y - 0.012, platen_z + 0.018),
                (0.5 * w, y + 0.012, platen_z + 0.045),
                0.004,
            )
            for y in (-0.35 * d, 0.35 * d)
        ]
        platen.append(
            lathe(
                [(0.05, platen_z + 0.018), (0.045, platen_z + 0.05), (0.026, platen_z + 0.06)], 24
            )
        )
        wheel_z = h - 0.016
        screw = self._screw(platen_z + 0.05, wheel_z)
        return (
            piece("frame", [bed, *feet, *pillars, *caps, bridge, nut], "cast_iron"),
            piece("platen", platen, "cast_iron"),
            piece("screw", screw, "steel", smooth=True),
            piece("wheel", self._wheel(min(w, d), wheel_z), "cast_iron", smooth=True),
            *self._book(),
        )

    @staticmethod
    def _screw(low: float, high: float) -> Shell:
        """Threaded spindle: a lathe whose radius saws up and down, 8 mm to the turn."""
        turns = int((high - low) / 0.008)
        z = np.linspace(low, high, 2 * turns + 1)
        r = 0.0155 - 0.002 * (np.arange(2 * turns + 1) % 2)
        return lathe(np.column_stack([r, z]), 20)

    def _wheel(self, w: float, z: float) -> list[Shell]:
        """Hand wheel with a round rim, or a bar with ball ends, both as wide as the press."""
        hub = lathe(
            [
                (0.026, z - 0.022),
                (0.03, z - 0.017),
                (0.03, z + 0.004),
                (0.018, z + 0.013),
                (0, self.height_m),
            ],
            24,
        )
        if not self.wheel:
            bar = rod((-w + 0.01, 0, z - 0.008), (w - 0.01, 0, z - 0.008), 0.009)
            balls = [lathe(_ball(0.02), 20).shifted(s * (w - 0.02), 0, z - 0.008) for s in (-1, 1)]
            return [hub, bar, *balls]
        a = np.arange(48) * 2 * np.pi / 48
        r = 0.0115
        rim = np.column_stack([np.cos(a), np.sin(a), np.zeros(48)])
        hoop = [(w - r + r * np.cos(t), z - 0.008 + r * np.sin(t)) for t in a[::4]]
        spokes = [
            rod((0, 0, z - 0.008), (w - r) * rim[k] + (z - 0.008) * Z, 0.0095, 0.0075)
            for k in (2, 18, 34)
        ]
        return [hub, lathe(hoop, 48, ring=True), *spokes]

    def _book(self) -> tuple[Piece, ...]:
        """Boards and a book block between bed and platen, filling the gap."""
        gap, d = self.open_m, self.depth_m
        if gap < 0.02:
            return ()
        low = 0.055
        boards = [
            box((-0.115, -0.36 * d, z), (0.115, 0.36 * d, z + 0.012), 0.0015)
            for z in (low, low + gap - 0.012)
        ]
        pages = box((-0.095, -0.3 * d, low + 0.012), (0.095, 0.3 * d, low + gap - 0.012), 0.001)
        return (
            piece("pressing boards", boards, "plywood", grain=X),
            piece("book block", pages, "paper"),
        )


def _ball(radius: float) -> Array:
    t = np.linspace(-np.pi / 2, np.pi / 2, 11)
    profile = radius * np.column_stack([np.cos(t), np.sin(t)])
    profile[[0, -1], 0] = 0.0
    return profile
