"""The two tapes that find a point: from two walls at right angles, or from two marks."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from previz.measure.gear.floor import LEGS_M, LOW_M, Outlines
from previz.measure.setting_out.marks import (
    Mark,
    Reference,
    corners_of,
    floor_polygon,
    marks_of_scan,
    references_of,
    seen,
)
from previz.stage.stage import Array, Stage

SLANTED = 0.5
"""Sine of the least angle between two walls, or two tapes, that fix a point well: an estimate,
at 30 degrees an error of one tape moves the point twice as far."""
BLOCKED_M = 1.5
"""A tape that runs through furniture or a person is worth so much more length: an estimate."""
NO_TAPE_M = 0.005
"""What is nearer to a wall than this stands at it: an estimate."""


@dataclass(frozen=True, eq=False)
class Tape:
    """One tape: what it is held against, where on the floor (2,), and what it reads."""

    reference: str
    from_m: Array
    distance_m: float


Tapes = tuple[Tape, Tape]


class Surveyor:
    """Finds the tapes to any point of a stage."""

    def __init__(self, stage: Stage, outlines: Outlines) -> None:
        self.floor = floor_polygon(stage)
        self.references = references_of(stage.room)
        self.corners = corners_of(stage.room) or marks_of_scan(stage)
        standing = [
            outlines.of(thing, LOW_M, LEGS_M)
            for thing in stage.things
            if thing.kind in ("furniture", "person")
        ]
        self.blocks = shapely.union_all(standing) if standing else Polygon()

    def tapes(self, at_m: Array) -> Tapes:
        """Two tapes to a plan point (2,).

        From the two walls that are near and nearly at right angles to each other, seen from there,
        and touched where there is wall; else from the two ends of one wall.
        """
        if self.floor is None:
            first, second = self.corners[:2]
            return _hooked(first, at_m), _hooked(second, at_m)
        pairs = [
            ((self._price_m(one, at_m) + self._price_m(other, at_m)) / sine**2, one, other)
            for (one, facing), (other, across) in combinations(self._square_on(at_m), 2)
            if (sine := abs(_cross(facing, across))) >= SLANTED
        ]
        if pairs:
            _, one, other = min(pairs, key=lambda pair: pair[0])
            return one, other
        return self._from_ends(at_m, self.floor)

    def is_outside(self, at_m: Array) -> bool:
        """Whether a point is in or behind a wall."""
        return self.floor is not None and not bool(self.floor.covers(Point(at_m)))

    def _square_on(self, at_m: Array) -> list[tuple[Tape, Array]]:
        """Tapes at right angles to walls, each with the wall's direction inward."""
        found = []
        for reference in self.references:
            tape = square_on(reference, at_m)
            if tape is not None and self.floor is not None and seen(self.floor, at_m, tape.from_m):
                found.append((tape, reference.wall.inward))
        return found

    def _from_ends(self, at_m: Array, floor: Polygon) -> Tapes:
        """Tapes from the ends of one wall, of which the point is on the room's side."""
        walls = [(r.wall.left_m, r.wall.right_m) for r in self.references]
        spans = [tuple(_hooked(self._corner(end), at_m) for end in wall) for wall in walls]
        ranked = sorted(spans, key=lambda pair: self._doubt(pair, at_m, floor))
        one, other = ranked[0]
        return one, other

    def _doubt(self, pair: tuple[Tape, ...], at_m: Array, floor: Polygon) -> tuple[bool, float]:
        """How badly two tapes fix a point: unseen first, then slanted and long."""
        rays = [(tape.from_m - at_m) / max(tape.distance_m, NO_TAPE_M) for tape in pair]
        hidden = not all(seen(floor, at_m, tape.from_m) for tape in pair)
        slanted = abs(_cross(*rays)) < SLANTED
        return hidden or slanted, sum(self._price_m(tape, at_m) for tape in pair)

    def _corner(self, at_m: Array) -> Mark:
        return min(self.corners, key=lambda mark: float(np.linalg.norm(mark.at_m - at_m)))

    def _price_m(self, tape: Tape, at_m: Array) -> float:
        return tape.distance_m + BLOCKED_M * blocked(tape.from_m, at_m, self.blocks)


def square_on(reference: Reference, at_m: Array) -> Tape | None:
    """The tape at right angles to a wall; None where it would not meet wall, or from behind."""
    wall = reference.wall
    along_m = float((at_m - wall.left_m) @ wall.along)
    away_m = float((at_m - wall.left_m) @ wall.inward)
    meets = any(low <= along_m <= high for low, high in reference.solid_m)
    if not meets or away_m < 0.0:
        return None
    return Tape(reference.name, wall.left_m + along_m * wall.along, away_m)


def blocked(here_m: Array, there_m: Array, blocks: BaseGeometry) -> bool:
    """Whether something stands on the straight way, but for what stands at its end."""
    way = LineString([here_m, there_m])
    return bool(way.intersection(blocks).length > 0.5)


def _hooked(mark: Mark, at_m: Array) -> Tape:
    return Tape(mark.name, mark.at_m, float(np.linalg.norm(at_m - mark.at_m)))


def _cross(one: Array, other: Array) -> float:
    return float(one[0] * other[1] - one[1] * other[0])
