"""What stands on the floor: outlines in plan, what runs into what, room to walk."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from previz.model.scene import Scene
from previz.stage.room import room_shape
from previz.stage.stage import Array, Stage, StageCamera, Thing

LOW_M = 0.03
"""A rug or a cable is stepped on."""
LEGS_M = 0.6
"""Stands are widest below this; what hangs higher does not meet their legs."""
BODY_M = 1.9
"""Whoever walks by is not hindered by what hangs higher."""
TOUCH_M2 = 1e-4
SIGHT_LINES_M = (-0.3, 0.0, 0.3)
"""The way past a camera is measured on lines across it, here along its axis."""
FAR_M = 30.0


@dataclass(frozen=True)
class Clash:
    """A stand in the way of something: how deep, metres."""

    stand: str
    other: str
    kind: str
    depth_m: float


def outline(thing: Thing, low_m: float, high_m: float) -> BaseGeometry:
    """Outline in plan (hull) of the part of a thing between two heights; may be empty."""
    points = [np.asarray(piece.mesh.vertices)[:, :3] for piece in thing.pieces]
    if not points:
        return Polygon()
    stack = np.concatenate(points)
    within = (stack[:, 2] >= low_m) & (stack[:, 2] <= high_m)
    if within.any() or not _spans(stack, low_m, high_m):
        return MultiPoint(stack[within, :2]).convex_hull if within.any() else Polygon()
    return MultiPoint(stack[:, :2]).convex_hull


def _spans(points: Array, low_m: float, high_m: float) -> bool:
    """A plain box may have no corner between two heights and yet be there."""
    return bool(points[:, 2].min() < low_m and points[:, 2].max() > high_m)


def floor_of(scene: Scene) -> Polygon | None:
    """The floor in plan; None for a scanned room."""
    shape = room_shape(scene.room)
    return None if shape is None else Polygon(np.asarray(shape.corners_m, float))


def stands_of(stage: Stage) -> list[Thing]:
    """What holds cameras, lights and microphones on the floor."""
    gear = [t for t in stage.things if t.kind == "gear"]
    return [t for t in gear if not outline(t, 0.0, LOW_M).is_empty]


def clashes(scene: Scene, stage: Stage, practicals: Iterable[str] = ()) -> list[Clash]:
    """Stands that reach into a wall, a person or furniture; not lamps of the room itself."""
    floor = floor_of(scene)
    lamps = set(practicals)
    found = []
    for stand in stands_of(stage):
        if stand.name in lamps:
            continue
        legs = outline(stand, 0.0, LEGS_M)
        if floor is not None and legs.difference(floor).area > TOUCH_M2:
            found.append(Clash(stand.name, "room", "wall", _beyond_m(legs, floor)))
        for other in stage.things:
            if other.kind not in ("person", "furniture") and other.name not in lamps:
                continue
            there = outline(other, LOW_M, LEGS_M)
            if legs.intersection(there).area > TOUCH_M2:
                kind = "person" if other.kind == "person" else "furniture"
                found.append(Clash(stand.name, other.name, kind, _overlap_m(legs, there)))
    return found


def _beyond_m(legs: BaseGeometry, floor: Polygon) -> float:
    """How far the farthest corner of the legs is outside the floor."""
    corners = shapely.points(shapely.get_coordinates(legs))
    return float(shapely.distance(corners, floor).max())


def _overlap_m(one: BaseGeometry, other: BaseGeometry) -> float:
    """Narrower side of the overlap's box."""
    left, low, right, high = one.intersection(other).bounds
    return float(min(right - left, high - low))


def aisle_m(scene: Scene, stage: Stage, camera: StageCamera) -> float | None:
    """Free width to walk past a camera: the wider of what is left on its two sides.

    Measured across its axis from its legs to the next thing or wall; None for a camera without
    a support, or looking straight up or down.
    """
    own = next((t for t in stage.things if t.owner == camera.name), None)
    ahead = np.asarray(camera.forward[:2], float)
    if own is None or np.linalg.norm(ahead) < 1e-6:
        return None
    legs = outline(own, 0.0, BODY_M)
    if legs.is_empty:
        return None
    floor = floor_of(scene)
    blocked = [
        outline(t, LOW_M, BODY_M) for t in stage.things if t.kind != "room" and t is not own
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
