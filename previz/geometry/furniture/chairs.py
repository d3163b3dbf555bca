"""Chairs and stools of wood and steel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import Colour, SeatInfo, fitted, single_seat
from previz.geometry.furniture.joinery import dished, rod_x, turned_leg
from previz.geometry.outlines import chamfered, circle
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import lathe, leg, loft, plank, rod, tube
from previz.geometry.shell import Shell, X, Y, Z, piece, unit

RAKE_M = 0.085
"""How far the top of a chair's back lies behind its seat (about 12 degrees)."""


@dataclass(frozen=True, kw_only=True)
class SideChair:
    """Wooden chair with a raked ladder back and a dished or upholstered seat.

    Seat height 0.45 m and depth 0.42 m: common practice, no source. A `seat` of wood is hollowed
    by 8 mm, one of leather or cloth swells by 14 mm; its top is `seat_height_m` either way.
    """

    width_m: float = 0.45
    depth_m: float = 0.53
    height_m: float = 0.84
    seat_height_m: float = 0.45
    slats: int = 2
    wood: str = "oak"
    seat_material: str = "oak"
    seat_colour: Colour | None = None

    def seat(self) -> SeatInfo:
        """One place, a little in front of the footprint's middle."""
        depth = self.depth_m - RAKE_M - 0.02
        return single_seat(self.seat_height_m, depth, "chair", y_m=(depth - self.depth_m) / 2)

    def _spine_y(self, z: float) -> float:
        """Centre line of the rear posts: splayed foot, foremost at the seat, raked back."""
        seat_y = self.depth_m / 2 - RAKE_M - 0.014
        if z > self.seat_height_m:
            up = (z - self.seat_height_m) / (self.height_m - self.seat_height_m)
            return seat_y + RAKE_M * float(up**1.25)
        return seat_y + 0.055 * (1 - z / self.seat_height_m) ** 2

    def _post(self) -> Shell:
        h, rings = self.height_m, []
        heights = [0, 0.003, *np.linspace(0.06, h - 0.04, 10), h - 0.012, h - 0.004, h]
        for z in heights:
            girth = 0.027 + 0.011 * np.exp(-(((z - self.seat_height_m) / 0.2) ** 2))
            inset_by = 0.006 if z == h else 0.002 if z in (0, h - 0.004) else 0.0
            flat = chamfered(0.03 - 2 * inset_by, girth - 2 * inset_by, 0.005)
            middle = (self.width_m * 0.43, self._spine_y(z))
            rings.append(np.column_stack([flat + middle, np.full(8, z)]))
        return loft(rings)

    def _slat(self, low: float, high: float) -> Shell:
        """Back rest bent to the sitter between the posts."""
        z = (low + high) / 2
        slope = (self._spine_y(high) - self._spine_y(low)) / (high - low)
        up = unit([0, slope, 1])
        reach = self.width_m * 0.43
        rings = []
        for x in np.linspace(-reach, reach, 11):
            bow = 0.016 * (1 - (x / reach) ** 2)
            rise = 0.012 * (1 - (x / reach) ** 2)
            flat = chamfered(0.013, high - low + rise, 0.004)
            middle = np.array([x, self._spine_y(z) + bow - 0.004, z + rise / 2])
            out = np.cross(X, up)
            rings.append(middle + flat[:, :1] * out + flat[:, 1:] * up)
        return loft(rings)

    def _seat_outline(self) -> Array:
        w, front = self.width_m / 2, -self.depth_m / 2
        back = self.depth_m / 2 - RAKE_M - 0.02
        r = 0.035
        corner = circle(r, 16)[:5] + np.array([w - r, 0])
        right = np.column_stack([corner[:, 0], -(corner[:, 1]) + front + r + 0.008])[::-1]
        bow = np.array([[0.5 * w, front + 0.002], [0, front], [-0.5 * w, front + 0.002]])
        left = right[::-1] * [-1, 1]
        rear = w * 0.95
        return np.concatenate([right, [[rear, back], [-rear, back]], left, bow[::-1]])

    def pieces(self) -> tuple[Piece, ...]:
        """Seat, posts and legs, rails along X, rails along Y."""
        top = self.seat_height_m
        soft = self.seat_material != self.wood
        thickness = 0.05 if soft else 0.026
        seat = dished(self._seat_outline(), thickness, -0.014 if soft else 0.008).shifted(z=top)
        under = top - thickness
        x, front, rear = self.width_m * 0.44, -self.depth_m / 2 + 0.04, self._spine_y(under)
        side = self._spine_y(top)
        legs = [leg((x, front, 0), (x, front, under + 0.004), (0.024, 0.024), (0.036, 0.036))]
        legs.append(self._post())
        rails_x = [
            plank((-x, front, under - 0.03), (x, front, under - 0.03), 0.018, 0.06, 0.002),
            plank((-x, side, under - 0.03), (x, side, under - 0.03), 0.018, 0.06, 0.002),
            rod_x(1.9 * x, 0.009).shifted(y=(front + rear) / 2, z=0.17),
        ]
        low, high = top + 0.03, self.height_m - 0.082
        gap = (high - low - self.slats * 0.045) / (self.slats + 1)
        for k in range(self.slats):
            z = low + gap + k * (gap + 0.045)
            rails_x.append(self._slat(z, z + 0.045))
        rails_x.append(self._slat(self.height_m - 0.082, self.height_m - 0.016))
        side_rails = [
            plank((x, front, under - 0.03), (x * 0.96, side, under - 0.03), 0.018, 0.06, 0.002),
            rod((x, front, 0.17), (x * 0.98, self._spine_y(0.17), 0.17), 0.009),
        ]
        parts = {
            "seat": [seat],
            "posts": legs + [shell.mirrored_x() for shell in legs],
            "rails": rails_x,
            "side rails": side_rails + [shell.mirrored_x() for shell in side_rails],
        }
        fitted(parts, self.width_m, self.depth_m)
        return (
            piece(
                "seat",
                parts["seat"],
                self.seat_material,
                colour=self.seat_colour,
                grain=Y,
                smooth=soft,
            ),
            piece("posts", parts["posts"], self.wood, grain=Z),
            piece("rails", parts["rails"], self.wood, grain=X),
            piece("side rails", parts["side rails"], self.wood, grain=Y),
        )


@dataclass(frozen=True, kw_only=True)
class Stool:
    """Round wooden stool with splayed turned legs and stretchers.

    `width_m` is the breadth over the feet. Heights of 0.45 m (table) and 0.60 m (bench) are
    common practice, no source.
    """

    width_m: float = 0.40
    height_m: float = 0.45
    seat_diameter_m: float = 0.34
    legs: int = 4
    wood: str = "beech"

    @property
    def _seat_m(self) -> float:
        """Diameter of the seat, which never stands out over the feet."""
        return min(self.seat_diameter_m, self.width_m)

    def seat(self) -> SeatInfo:
        """One place in the middle, no back."""
        return single_seat(self.height_m, self._seat_m, "stool", back=False)

    def pieces(self) -> tuple[Piece, ...]:
        """Seat, legs, stretchers."""
        around = circle(1.0, 4 * self.legs)[2::4] if self.legs == 4 else circle(1.0, self.legs)
        # Four feet stand in the corners of a square, so that their breadth is measured on it.
        spread = np.sqrt(2) * (self.width_m / 2 - 0.012) if self.legs == 4 else self.width_m / 2
        radius = spread if self.legs == 4 else spread - 0.012
        hold = self._seat_m / 2 - 0.055
        top = self.height_m - 0.02
        radii = [0.012, 0.014, 0.0165, 0.0185, 0.019, 0.0175, 0.0145]
        legs, rungs = [], []
        for k, (cx, cy) in enumerate(around):
            foot, head = np.array([cx, cy, 0]) * radius, np.array([cx, cy, 0]) * hold
            legs.append(turned_leg(foot, head + top * Z, radii))
            share = 0.38 + 0.1 * (k % 2)
            nx, ny = around[(k + 1) % len(around)]
            here = foot + share * (head + top * Z - foot)
            foot, head = np.array([nx, ny, 0]) * radius, np.array([nx, ny, 0]) * hold
            rungs.append(rod(here, foot + share * (head + top * Z - foot), 0.009))
        parts = {"legs": legs, "rungs": rungs}
        if self.legs == 4:
            fitted(parts, self.width_m, self.width_m)
        return (
            piece(
                "seat",
                dished(circle(self._seat_m / 2, 40), 0.034, 0.009, 0.006).shifted(z=self.height_m),
                self.wood,
                grain=X,
            ),
            piece("legs", parts["legs"], self.wood, grain=Z, smooth=True),
            piece("stretchers", parts["rungs"], self.wood, smooth=True),
        )


@dataclass(frozen=True, kw_only=True)
class WorkshopStool:
    """Steel stool with four bent tube legs, a foot ring, rubber feet and a turned wooden seat."""

    width_m: float = 0.42
    height_m: float = 0.60
    seat_diameter_m: float = 0.33
    wood: str = "beech"
    metal: str = "steel_black"

    @property
    def _seat_m(self) -> float:
        """Diameter of the seat, which never stands out over the feet."""
        return min(self.seat_diameter_m, self.width_m)

    def seat(self) -> SeatInfo:
        """One place in the middle, no back."""
        return single_seat(self.height_m, self._seat_m, "stool", back=False)

    def pieces(self) -> tuple[Piece, ...]:
        """Seat, frame, feet."""
        r, foot, hold = 0.0105, self.width_m / 2 - 0.014, self._seat_m / 2 - 0.07
        top = self.height_m - 0.045
        frame, feet = [], []
        for cx, cy in circle(1.0, 4):
            spot = np.array([cx, cy, 0])
            path = [spot * foot + 0.012 * Z, spot * (hold + 0.035) + (top - 0.05) * Z]
            path += [spot * (hold + 0.024) + (top - 0.018) * Z, spot * hold + (top - 0.006) * Z]
            frame.append(tube([*path, (top - 0.003) * Z + spot * 0.02], r, 12))
            feet.append(
                lathe([(0.0125, 0), (0.014, 0.002), (0.0135, 0.025), (0.0125, 0.027)], 16).shifted(
                    *(spot * foot)[:2]
                )
            )
        height = 0.2 * self.height_m / 0.6
        share = (height - 0.012) / (top - 0.062)
        ring = foot + share * (hold + 0.035 - foot) + 0.006
        hoop = np.column_stack([circle(ring, 40), np.full(40, height)])
        frame.append(tube(hoop, 0.008, 10, closed=True))
        plate = [(0.1, top), (0.102, top + 0.002), (0.102, top + 0.01), (0.1, top + 0.011)]
        frame.append(lathe(plate, 32))
        outline = circle(self._seat_m / 2, 40)
        return (
            piece(
                "seat",
                dished(outline, 0.034, 0.008, 0.006).shifted(z=self.height_m),
                self.wood,
                grain=X,
            ),
            piece("frame", frame, self.metal, smooth=True),
            piece("feet", feet, "rubber_black", smooth=True),
        )
