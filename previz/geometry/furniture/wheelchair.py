"""A wheelchair that its user pushes: tubes, big wheels with hand rims, castors, footrests."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import SeatInfo, single_seat
from previz.geometry.outlines import circle
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import block, lathe, rod, rounded_box, tube
from previz.geometry.shell import Shell, X, piece

WHEEL_M = 0.305  # radius of a big wheel with its tyre
CASTOR_M = 0.065  # radius of a castor
TUBE_M = 0.0125
SPOKES = 20
ARM_OVER_SEAT_M = 0.23
FOOT_M = 0.10  # of the footrests' tops over the floor


@dataclass(frozen=True, kw_only=True)
class Wheelchair:
    """Wheelchair with a sling seat, pads to rest the arms on, and handles to push it by.

    Seat height 0.48 m, wheels of 0.61 m and a width of 0.64 m: from memory, typical of the class.
    """

    width_m: float = 0.64
    depth_m: float = 1.08
    height_m: float = 0.92
    seat_height_m: float = 0.48
    frame: str = "steel_black"
    upholstery: str = "fabric_black"

    def seat(self) -> SeatInfo:
        """One place, before the back."""
        return single_seat(self.seat_height_m, 0.42, "chair", y_m=self._back_y - 0.21)

    @property
    def _back_y(self) -> float:
        return self.depth_m / 2 - WHEEL_M + 0.01

    @property
    def _half_m(self) -> float:
        """From the middle to the tubes of a side, inside the wheels."""
        return self.width_m / 2 - 0.095

    def pieces(self) -> tuple[Piece, ...]:
        """Frame, cloth, pads, wheels."""
        sides = (-1.0, 1.0)
        frame = [shell for side in sides for shell in self._side(side)]
        rims = [shell for side in sides for shell in self._rim(side)]
        castors = [self._castor(side) for side in sides]
        tyres = [self._ring(side, WHEEL_M - 0.012, 0.012) for side in sides]
        seat, *cloth = self._cloth()
        return (
            piece("frame", frame, self.frame, smooth=True),
            piece("rims", rims, "aluminium", smooth=True),
            piece("tyres", [*tyres, *castors], "rubber_black", smooth=True),
            piece("seat", seat, self.upholstery, smooth=True),
            piece("cloth", cloth, self.upholstery, smooth=True),
        )

    def _side(self, side: float) -> list[Shell]:
        x, back, seat = side * self._half_m, self._back_y, self.seat_height_m - 0.03
        front, arm = back - 0.43, self.seat_height_m + ARM_OVER_SEAT_M - 0.03
        axle = (x, back - 0.01, WHEEL_M)
        lines = [
            # From the handle down the back, and the seat's rail forward and down to the foot.
            [(x, back + 0.11, self.height_m - TUBE_M), (x, back + 0.02, self.height_m - TUBE_M),
             (x, back, self.height_m - 0.08), (x, back, WHEEL_M - 0.02)],
            [(x, back, seat), (x, front - 0.02, seat), (x, front - 0.06, seat - 0.05),
             (x * 0.86, 0.12 - self.depth_m / 2, FOOT_M - 0.002)],
            [(x, back, arm), (x, front + 0.10, arm), (x, front + 0.06, arm - 0.04),
             (x, front + 0.06, seat)],
            [(x, back, 0.20), (x, front, 0.20), (x, front, seat)],
        ]  # fmt: skip
        shells = [tube(_rounded(np.array(line)), TUBE_M, 12) for line in lines]
        shells.append(rod(axle, (side * (self.width_m / 2 - 0.02), axle[1], WHEEL_M), 0.014))
        foot = (x * 0.86 - side * 0.085, 0.075 - self.depth_m / 2, FOOT_M - 0.006)
        shells.append(block((0.16, 0.15, 0.012), foot))
        fork = front + 0.09
        shells.append(rod((x, fork, 0.20), (x, fork, 2.0 * CASTOR_M + 0.01), 0.011))
        shells.append(block((0.046, 0.03, 0.012), (x, fork, 2.0 * CASTOR_M + 0.012)))
        for beside in (-0.020, 0.020):
            low, high = CASTOR_M - 0.012, 2.0 * CASTOR_M + 0.012
            shells.append(block((0.005, 0.03, high - low), (x + beside, fork, 0.5 * (low + high))))
        return shells

    def _ring(self, side: float, radius: float, thick: float, out: float = 0.0) -> Shell:
        """A ring round a big wheel's axle, `out` beyond the wheel's own plane."""
        round_it = np.array([radius, 0.0]) + circle(thick, 12)
        x = side * (self.width_m / 2 - 0.035 + out)
        return _on_axle(lathe(round_it, 64, ring=True), (x, self._back_y - 0.01, WHEEL_M))

    def _rim(self, side: float) -> list[Shell]:
        x = side * (self.width_m / 2 - 0.035)
        hub = np.array([x, self._back_y - 0.01, WHEEL_M])
        shells = [
            self._ring(side, WHEEL_M - 0.028, 0.008),
            self._ring(side, WHEEL_M - 0.045, 0.0085, 0.0265),
            rod(hub - 0.03 * X, hub + 0.03 * X, 0.022),
        ]
        for number in range(SPOKES):
            turn = 2.0 * np.pi * number / SPOKES
            way = np.array([0.0, np.cos(turn), np.sin(turn)])
            start = hub + 0.018 * way + (-1.0) ** number * 0.022 * X
            rim = hub + (WHEEL_M - 0.033) * way
            shells.append(rod(start, rim, 0.0012, sections=6, bevel=0.0002))
        return shells

    def _castor(self, side: float) -> Shell:
        half, flat = 0.014, CASTOR_M - 0.004
        profile = [(0.008, 0.0), (flat, 0.0), (CASTOR_M, 0.005), (CASTOR_M, 2 * half - 0.005),
                   (flat, 2 * half), (0.008, 2 * half)]  # fmt: skip
        wheel = lathe(profile, 32, ring=True)
        at = (side * self._half_m - half, self._back_y - 0.34, CASTOR_M)
        return _on_axle(wheel, at)

    def _cloth(self) -> list[Shell]:
        """Seat, back, and pads for the arms."""
        wide, back = 2.0 * self._half_m, self._back_y
        seat = rounded_box((wide + 0.02, 0.42, 0.045), 0.018, 3).shifted(
            y=back - 0.22, z=self.seat_height_m - 0.0225
        )
        rest = rounded_box((wide + 0.02, 0.035, 0.38), 0.014, 3).shifted(
            y=back - 0.012, z=self.seat_height_m + 0.24
        )
        pads = [
            rounded_box((0.05, 0.27, 0.03), 0.012, 3).shifted(
                x=side * self._half_m, y=back - 0.19, z=self.seat_height_m + ARM_OVER_SEAT_M - 0.015
            )
            for side in (-1.0, 1.0)
        ]
        return [seat, rest, *pads]


def _on_axle(wheel: Shell, at: tuple[float, float, float]) -> Shell:
    """A wheel turned about Z, with its axle along X instead, at `at`."""
    turn = np.eye(4)
    turn[:3, :3] = [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]]
    turn[:3, 3] = at
    return wheel.moved(turn)


def _rounded(line: Array) -> Array:
    """A polyline with its corners cut twice (Chaikin 1974), its ends kept."""
    for _ in range(2):
        near, far = 0.75 * line[:-1] + 0.25 * line[1:], 0.25 * line[:-1] + 0.75 * line[1:]
        middle = np.stack([near, far], axis=1).reshape(-1, 3)[1:-1]
        line = np.concatenate([line[:1], middle, line[-1:]])
    return line
