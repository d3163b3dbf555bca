"""The way of a camera in plan: straight between two places, in a curve through more of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Direction = tuple[Array, Array]

STEPS = 128
SAME_PLACE_M = 1e-6
SHARPEST_TURN_DEG = 90.0
"""A track turns no sharper at a place; the camera stops there and leaves another way: estimate."""


class Path:
    """A smooth way through places (n, 2), by the distance along it.

    At an inner place it runs along the circle through it and its neighbours, so that places on a
    circle give that circle. Where it would turn back on itself it has a corner.

    marks_m  how far along it each place is (n,)
    corners  whether the camera has to stop at a place, because the way turns back there (n,)
    """

    def __init__(self, places_m: Sequence[Sequence[float]]) -> None:
        places = np.asarray(places_m, float).reshape(-1, 2)
        apart = np.linalg.norm(np.diff(places, axis=0), axis=1)
        fresh = np.concatenate([[True], apart > SAME_PLACE_M])
        vertex = np.cumsum(fresh) - 1
        vertices = places[fresh]
        ways, corners = _directions(vertices)
        legs = [
            _leg(a, b, leave, come)
            for a, b, (leave, come) in zip(vertices, vertices[1:], ways, strict=False)
        ]
        points = np.concatenate([vertices[:1], *(leg[1:] for leg in legs)])
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        self._points = points
        self._along_m = np.concatenate([[0.0], np.cumsum(steps)])
        self.marks_m = self._along_m[:: STEPS if legs else 1][vertex]
        self.corners = tuple(bool(corner) for corner in corners[vertex])

    @property
    def length_m(self) -> float:
        """From its first place to its last."""
        return float(self._along_m[-1])

    def at(self, along_m: float) -> Array:
        """Plan position (2,) so far along it."""
        return np.array([np.interp(along_m, self._along_m, axis) for axis in self._points.T])

    def across(self, along_m: float) -> Array:
        """Unit vector (2,) across it, to the left; zero for a path without length."""
        if self.length_m <= 0.0:
            return np.zeros(2)
        reach = self.length_m / (2.0 * STEPS)
        ahead = self.at(along_m + reach) - self.at(along_m - reach)
        size = float(np.linalg.norm(ahead))
        return np.array([-ahead[1], ahead[0]]) / size if size > 0.0 else np.zeros(2)


def _directions(vertices: Array) -> tuple[list[Direction], NDArray[np.bool_]]:
    """Unit vectors along which each leg leaves and comes, and which vertices are corners."""
    chords = np.diff(vertices, axis=0)
    long = np.linalg.norm(chords, axis=1, keepdims=True)
    units = chords / np.maximum(long, SAME_PLACE_M)
    corners = np.zeros(len(vertices), bool)
    through: list[Array | None] = [None] * len(vertices)
    for k in range(1, len(vertices) - 1):
        turn = np.degrees(np.arccos(np.clip(units[k - 1] @ units[k], -1.0, 1.0)))
        if turn > SHARPEST_TURN_DEG:
            corners[k] = True
            continue
        tangent = units[k - 1] * long[k] + units[k] * long[k - 1]
        through[k] = tangent / np.linalg.norm(tangent)
    ways = []
    for k, unit in enumerate(units):
        leave, come = through[k], through[k + 1]
        # A free end mirrors the other end, as an arc does.
        ways.append(
            (
                _mirrored(come, unit) if leave is None else leave,
                _mirrored(leave, unit) if come is None else come,
            )
        )
    return ways, corners


def _mirrored(tangent: Array | None, chord: Array) -> Array:
    return chord if tangent is None else 2.0 * (tangent @ chord) * chord - tangent


def _leg(start: Array, end: Array, leave: Array, come: Array) -> Array:
    """Points (STEPS + 1, 2) of a cubic; with ends as an arc has them it is that arc within 0.1 %.

    A tangent as long as the chord times 2 / (1 + cos) of the angle between them makes it so.
    """
    chord = end - start
    unit = chord / np.linalg.norm(chord)
    u = np.linspace(0.0, 1.0, STEPS + 1)[:, None]
    first = leave * np.linalg.norm(chord) * 2.0 / (1.0 + float(leave @ unit))
    last = come * np.linalg.norm(chord) * 2.0 / (1.0 + float(come @ unit))
    rise = u * u * (3.0 - 2.0 * u)
    bend = u * (1.0 - u) ** 2 * first + u * u * (u - 1.0) * last
    return np.asarray(start + rise * chord + bend)
