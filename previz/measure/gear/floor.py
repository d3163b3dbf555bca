"""What stands on the floor: outlines in plan, what runs into what, room to walk."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from previz.geometry.room import RoomShape
from previz.measure.roles import practicals_of
from previz.memory import remembered
from previz.stage.stage import Array, Stage, StageCamera, Thing

LOW_M = 0.03
"""A rug or a cable is stepped on: an estimate."""
LEGS_M = 0.6
"""Stands are widest below this; what hangs higher does not meet their legs: an estimate."""
BODY_M = 1.9
"""Whoever walks by is not hindered by what hangs higher: an estimate."""
SIMPLER_M = 0.01
"""Corners of an outline that are less than this off a straight line are left out."""
TOUCH_M2 = 1e-4
SIGHT_LINES_M = (-0.3, 0.0, 0.3)
"""The way past a camera is measured on lines across it, here along its axis."""
FAR_M = 30.0
_TURNS = np.linspace(0.0, 2.0 * np.pi, 49, dtype=np.float32)[:-1]
ROUND = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)

MANY = 500
"""Points from which it pays to leave out first those that cannot be on the rim."""
WELL_INSIDE_M = 1e-3
"""More than the rounding of single precision anywhere in a room."""


@dataclass(frozen=True)
class Clash:
    """A stand in the way of something: how deep, metres."""

    stand: str
    other: str
    kind: str
    depth_m: float


class Outlines:
    """Outlines in plan of the things of a stage, each made once."""

    def __init__(self, stage: Stage) -> None:
        self.things = stage.things
        self._made: dict[tuple[str, float, float], BaseGeometry] = {}

    def of(self, thing: Thing, low_m: float, high_m: float) -> BaseGeometry:
        """Hull of the part of a thing between two heights, within 2 mm; may be empty."""
        key = (thing.name, low_m, high_m)
        if key not in self._made:
            self._made[key] = remembered(
                ("outline", thing, low_m, high_m), lambda: _outline(thing, low_m, high_m)
            )
        return self._made[key]


def footprint_m(thing: Thing, outlines: Outlines) -> Array:
    """Corners (n, 2) of what of a thing is met between floor and head height; (0, 2): nothing."""
    shape = outlines.of(thing, LOW_M, BODY_M).simplify(SIMPLER_M)
    whole = isinstance(shape, Polygon) and not shape.is_empty
    return np.asarray(shape.exterior.coords, float)[:-1] if whole else np.zeros((0, 2))


def _outline(thing: Thing, low_m: float, high_m: float) -> BaseGeometry:
    found = []
    for piece in thing.pieces:
        points = piece.mesh.vertices
        heights = points[:, 2]
        within = (heights >= low_m) & (heights <= high_m)
        # A plain box may have no corner between two heights and yet be there.
        spans = not within.any() and heights.min() < low_m and heights.max() > high_m
        plan = points[:, :2] if spans else points[within, :2]
        if len(plan):
            found.append(outermost(plan))
    return MultiPoint(np.concatenate(found)).convex_hull if found else Polygon()


def outermost(plan: Array) -> Array:
    """Of points (n, 2) in plan those that are farthest out in some direction."""
    flat = np.ascontiguousarray(plan.T, np.float32)
    some = _rim(flat) if len(plan) > MANY else np.arange(len(plan))
    return np.asarray(plan[np.unique(some[(ROUND @ flat[:, some]).argmax(axis=1)])], float)


def _rim(flat: NDArray[np.float32]) -> NDArray[np.int64]:
    """Which of points (2, n) do not lie well inside the octagon of eight of them."""
    corners = flat[:, (ROUND[::6] @ flat).argmax(axis=1)]
    sides = np.roll(corners, -1, axis=1) - corners
    outside = np.zeros(flat.shape[1], bool)
    for (x, y), (along, up) in zip(corners.T, sides.T, strict=True):
        length = np.hypot(along, up)
        if length > 0.0:
            outside |= along * (flat[1] - y) - up * (flat[0] - x) < WELL_INSIDE_M * length
    return np.flatnonzero(outside)


def floor_of(shape: RoomShape | None) -> Polygon | None:
    """The floor in plan; None for a scanned room."""
    return None if shape is None else Polygon(np.asarray(shape.corners_m, float))


def stands_of(outlines: Outlines) -> list[Thing]:
    """What holds cameras, lights and microphones on the floor."""
    gear = [t for t in outlines.things if t.kind == "gear"]
    return [t for t in gear if not outlines.of(t, 0.0, LOW_M).is_empty]


def clashes(stage: Stage, outlines: Outlines) -> list[Clash]:
    """Stands that reach into a wall, a person or furniture; not lamps of the room itself."""
    floor = floor_of(stage.room.shape)
    lamps = practicals_of(stage)
    found = []
    for stand in stands_of(outlines):
        if stand.name in lamps:
            continue
        legs = outlines.of(stand, 0.0, LEGS_M)
        if floor is not None and legs.difference(floor).area > TOUCH_M2:
            found.append(Clash(stand.name, "room", "wall", beyond_m(legs, floor)))
        for other in outlines.things:
            if other.kind not in ("person", "furniture") and other.name not in lamps:
                continue
            there = outlines.of(other, LOW_M, LEGS_M)
            if legs.intersection(there).area > TOUCH_M2:
                kind = "person" if other.kind == "person" else "furniture"
                found.append(Clash(stand.name, other.name, kind, overlap_m(legs, there)))
    return found


def beyond_m(legs: BaseGeometry, floor: Polygon) -> float:
    """How far the farthest corner of an outline is outside the floor."""
    corners = shapely.points(shapely.get_coordinates(legs))
    return float(shapely.distance(corners, floor).max())


def overlap_m(one: BaseGeometry, other: BaseGeometry) -> float:
    """Narrower side of the overlap's box."""
    left, low, right, high = one.intersection(other).bounds
    return float(min(right - left, high - low))


def aisle_m(stage: Stage, outlines: Outlines, camera: StageCamera) -> float | None:
    """Free width to walk past a camera: the wider of what is left on its two sides.

    Measured across its axis from its legs to the next thing or wall; None for a camera without
    a support, or looking straight up or down.
    """
    own = next((t for t in outlines.things if t.owner == camera.name), None)
    ahead = np.asarray(camera.forward[:2], float)
    if own is None or np.linalg.norm(ahead) < 1e-6:
        return None
    legs = outlines.of(own, 0.0, BODY_M)
    if legs.is_empty:
        return None
    floor = floor_of(stage.room.shape)
    blocked = [
        outlines.of(t, LOW_M, BODY_M) for t in outlines.things if t.kind != "room" and t is not own
    ]
    barriers = [b for b in blocked if not b.is_empty]
    if floor is not None:
        barriers.append(floor.exterior)
    barrier = shapely.union_all(barriers)
    ahead /= np.linalg.norm(ahead)
    across = np.array([-ahead[1], ahead[0]])
    lines = [camera.position_m[:2] + along * ahead for along in SIGHT_LINES_M]
    return max(_gap_m(lines, side, legs, barrier) for side in (across, -across))


def _gap_m(starts: list[Array], side: Array, legs: BaseGeometry, barrier: BaseGeometry) -> float:
    """Free width on one side: the nearest barrier, less how far the legs reach that way."""
    lines = [LineString([start, start + FAR_M * side]) for start in starts]
    reach = max(_farthest_m(line, legs) for line in lines)
    return max(min(_nearest_m(line, barrier) for line in lines) - reach, 0.0)


def _farthest_m(line: LineString, shape: BaseGeometry) -> float:
    hit = shapely.get_coordinates(line.intersection(shape)) - line.coords[0]
    return float(np.linalg.norm(hit, axis=1).max()) if len(hit) else 0.0


def _nearest_m(line: LineString, shape: BaseGeometry) -> float:
    hit = shapely.get_coordinates(line.intersection(shape)) - line.coords[0]
    return float(np.linalg.norm(hit, axis=1).min()) if len(hit) else FAR_M
