"""Armchair and sofa."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from previz.geometry.furniture.base import Colour, SeatInfo
from previz.geometry.furniture.joinery import turned_leg
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import cushion, pillow, rounded_box
from previz.geometry.shell import Shell, Z, piece, shift, turn

LEAN = 0.17
"""How far a back leans backward for each metre up (about 10 degrees)."""


def _lean(shell: Shell, pivot_z: float) -> Shell:
    """Sheared so that heights stay exact."""
    matrix = np.eye(4)
    matrix[1, 2], matrix[1, 3] = LEAN, -LEAN * pivot_z
    return shell.moved(matrix)


@dataclass(frozen=True, kw_only=True)
class Armchair:
    """Upholstered armchair: loose seat and back cushions with piping, wooden legs.

    Seat height 0.43 m, seat depth about 0.52 m, arm height 0.60 m: common practice, no source.
    """

    width_m: float = 0.80
    depth_m: float = 0.84
    height_m: float = 0.82
    seat_height_m: float = 0.43
    arm_height_m: float = 0.60
    arm_width_m: float = 0.12
    upholstery: str = "cloth_wool"
    colour: Colour | None = None
    wood: str = "walnut"

    @property
    def _places(self) -> int:
        return 1

    @property
    def _kind(self) -> Literal["armchair", "sofa"]:
        return "armchair"

    @property
    def _back_front_y(self) -> float:
        """Front of the back frame at the height of the seat."""
        return self.depth_m / 2 - LEAN * (self.height_m - self.seat_height_m) - 0.13

    @property
    def _arm_top(self) -> float:
        return min(self.arm_height_m, self.height_m - 0.06)

    def _centres_x(self) -> Array:
        inner = self.width_m - 2 * self.arm_width_m
        return (np.arange(self._places) - (self._places - 1) / 2) * inner / self._places

    def seat(self) -> SeatInfo:
        """Places between the arms, from the cushions' front edge to the back cushions."""
        depth = self._back_front_y - 0.13 + self.depth_m / 2
        places = np.array([[x, -self.depth_m / 2 + depth / 2] for x in self._centres_x()])
        centre = places.mean(axis=0)
        return SeatInfo(self.seat_height_m, centre, depth, self._kind, True, places)

    def _frame(self) -> list[Shell]:
        w, d, arm = self.width_m, self.depth_m, self.arm_width_m
        low, deck = 0.15, self.seat_height_m - 0.15
        front = -d / 2 + 0.03
        rear = self._back_front_y + 0.12
        base = rounded_box((w - arm, rear - front - 0.01, deck - low - 0.01), 0.02).shifted(
            y=(front + rear) / 2, z=(low + deck) / 2 + 0.005
        )
        arms = [
            rounded_box((arm, rear - front, self._arm_top - low), 0.042, 3).shifted(
                x=side * (w - arm) / 2, y=(front + rear) / 2, z=(low + self._arm_top) / 2
            )
            for side in (-1, 1)
        ]
        body = rounded_box((w - 2 * arm + 0.03, 0.13, self.height_m - low), 0.05, 3)
        back = _lean(body.shifted(z=(self.height_m + low) / 2), self.height_m)
        top_back = float(back.vertices[:, 1].max())
        return [base, *arms, back.shifted(y=d / 2 - top_back)]

    def _cushions(self) -> tuple[list[Shell], list[Shell]]:
        inner = (self.width_m - 2 * self.arm_width_m) / self._places
        front, back = -self.depth_m / 2, self._back_front_y
        deep = back - front - 0.005
        bodies, cords = [], []
        tall = self.height_m - self.seat_height_m - 0.02
        for x in self._centres_x():
            seat, cord = cushion((inner - 0.006, deep, 0.15), 0.035, 0.022, 0.0045)
            to_seat = shift(float(x), front + deep / 2, self.seat_height_m - 0.075)
            rest, rest_cord = cushion((inner - 0.012, tall, 0.15), 0.045, 0.028, 0.0045)
            stand = turn((1, 0, 0), np.pi / 2 - np.arctan(LEAN))
            y = back - 0.055 + LEAN * tall / 2
            to_rest = shift(float(x), y, self.seat_height_m + tall / 2 - 0.012) @ stand
            bodies += [seat.moved(to_seat), rest.moved(to_rest)]
            cords += [c.moved(m) for c, m in ((cord, to_seat), (rest_cord, to_rest)) if c]
        return bodies, cords

    def _legs(self) -> list[Shell]:
        x, front = self.width_m / 2 - 0.08, -self.depth_m / 2 + 0.09
        rear = self._back_front_y + 0.06
        return [
            turned_leg((sx * (x + 0.02), y + 0.02 * sy, 0), (sx * x, y, 0.165), [0.012, 0.021])
            for sx in (-1, 1)
            for y, sy in ((front, -1), (rear, 1))
        ]

    def pieces(self) -> tuple[Piece, ...]:
        """Frame, cushions, piping, legs."""
        bodies, cords = self._cushions()
        cloth, dye = self.upholstery, self.colour
        return (
            piece("frame", self._frame(), cloth, smooth=True, colour=dye),
            piece("cushions", bodies, cloth, smooth=True, colour=dye),
            piece("piping", cords, cloth, smooth=True, colour=dye),
            piece("legs", self._legs(), self.wood, smooth=True, grain=Z),
        )


@dataclass(frozen=True, kw_only=True)
class Sofa(Armchair):
    """Sofa for two or three, with two loose pillows unless `pillows` is off."""

    width_m: float = 1.95
    depth_m: float = 0.90
    height_m: float = 0.80
    places: int = 2
    pillows: bool = True
    pillow_material: str = "velvet"
    pillow_colour: Colour = (0.32, 0.11, 0.05)

    @property
    def _places(self) -> int:
        return self.places

    @property
    def _kind(self) -> Literal["armchair", "sofa"]:
        return "sofa"

    def pieces(self) -> tuple[Piece, ...]:
        """The armchair's pieces and the pillows in the corners."""
        if not self.pillows:
            return super().pieces()
        corner = self.width_m / 2 - self.arm_width_m - 0.21
        size = min(0.45, 0.94 * (self.height_m - self.seat_height_m))
        shells = []
        for side in (-1, 1):
            tilt = turn((0, 0, 1), side * 0.35) @ turn((1, 0, 0), np.pi / 2 - 0.45)
            body = pillow((size, size, 0.14)).moved(tilt @ turn((0, 0, 1), side * 0.06))
            lowest = float(body.vertices[:, 2].min())
            y = self._back_front_y - 0.24
            shells.append(body.shifted(side * corner, y, self.seat_height_m - 0.012 - lowest))
        loose = piece(
            "pillows", shells, self.pillow_material, smooth=True, colour=self.pillow_colour
        )
        return (*super().pieces(), loose)
