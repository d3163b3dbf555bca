"""What of a set can be pointed at in a picture: points by name, where the plan has them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint

from previz.measure.camera.framing import FramingNumbers
from previz.measure.camera.heads import head_points
from previz.physics.catchlight import cornea_of_eye
from previz.stage.furnishing import wall_number
from previz.stage.stage import Array, Stage, StageCamera, StagePerson

MARKS = (
    "chin", "nose_tip", "mouth", "ear_left", "ear_right",
    "shoulder_left", "shoulder_right",
)  # fmt: skip
"""Landmarks of a person besides eyes and the top of the head, left and right their own."""
HEAD_TOP = "head_top"
TOP_WITHIN_M = 0.01
"""What lies this little under the highest point of a piece of furniture is its top: an estimate."""
SQUARE_SHARE = 0.97
"""A top that fills less of the rectangle round it has no corners to point at: an estimate."""
SMALLEST_TOP_M = 0.12
"""A shorter top is too small to point at its corners: an estimate."""


@dataclass(frozen=True, eq=False)
class Feature:
    """A point by name: where it is (3,) in the world; whose it is, None for the set's own."""

    name: str
    point_m: Array
    person: str | None = None


def features_of(
    stage: Stage, camera: StageCamera, subject: str | None, framing: FramingNumbers | None
) -> dict[str, Feature]:
    """Every point that can be named, in the order in which one would look for them.

    `eye_left` is the subject's; `host.eye_left` anybody's. Tops of furniture have their corners
    by how this camera sees them: near and far, left and right. `framing` is the subject's.
    """
    found: dict[str, Feature] = {}
    for name in sorted(stage.people, key=lambda name: name != subject):
        person = stage.people[name]
        measured = framing if name == subject else None
        for mark, point in _person_points(stage, camera, person, measured):
            if name == subject:
                found[mark] = Feature(mark, point, name)
            found[f"{name}.{mark}"] = Feature(f"{name}.{mark}", point, name)
    for told, point in (*_openings(stage), *_room_corners(stage), *_tops(stage, camera)):
        found.setdefault(told, Feature(told, point))
    return found


def level_directions(stage: Stage) -> Array:
    """Unit vectors (n, 3) along the room's walls; none for a scan."""
    walls = [np.append(wall.along, 0.0) for wall in stage.room.walls.values()]
    return np.array(walls) if walls else np.zeros((0, 3))


def _person_points(
    stage: Stage, camera: StageCamera, person: StagePerson, framing: FramingNumbers | None
) -> Iterator[tuple[str, Array]]:
    marks = person.landmarks
    # One points at pupils, which lie before the middle of the eye.
    pupils = [cornea_of_eye(marks[f"eye_{s}"], person.gaze).pupil_m for s in ("left", "right")]
    yield "eye_left", pupils[0]
    yield "eye_right", pupils[1]
    yield HEAD_TOP, _seen_top(stage, camera, person, framing)
    yield "eyes", 0.5 * (pupils[0] + pupils[1])
    yield from ((mark, marks[mark]) for mark in MARKS if mark in marks)


def _seen_top(
    stage: Stage, camera: StageCamera, person: StagePerson, framing: FramingNumbers | None
) -> Array:
    """The point of head or hair that this camera sees highest (3,).

    With the framing of the same head, moved up or down to where that has the top of the hair.
    """
    points = head_points(stage.things, person)
    heights = camera.project(points, 1, 1)[:, 1]
    if np.isnan(heights).any():
        return person.landmarks["hair_top"]
    top = np.asarray(points[int(np.argmin(heights))])
    if framing is None:
        return top
    share = float(heights.min()) - framing.headroom_pct / 100.0
    tall_m = camera.axis_distance(top) * camera.sensor_height_m / camera.focal_length_m
    return np.asarray(top + share * tall_m * camera.pose[:3, 1])


def _openings(stage: Stage) -> Iterator[tuple[str, Array]]:
    """Corners of every hole at the wall's inner face, left and right as one faces it."""
    walls = {wall.number: wall for wall in stage.room.walls.values()}
    for name, opening in stage.room.openings.items():
        wall = walls.get(wall_number(opening.wall))
        if wall is None:
            continue
        for up, height in (
            ("top", opening.sill_m + opening.height_m),
            ("bottom", opening.sill_m),
        ):
            for side, along in (
                ("left", opening.along_m),
                ("right", opening.along_m + opening.width_m),
            ):
                yield f"{name}.{up}_{side}", np.append(wall.left_m + wall.along * along, height)


def _room_corners(stage: Stage) -> Iterator[tuple[str, Array]]:
    """Corners of the room at floor and ceiling; those of a rectangle by plan direction."""
    shape = stage.room.shape
    if shape is None:
        return
    corners = np.asarray(shape.corners_m, float)
    middle = corners.mean(axis=0)
    for number, corner in enumerate(corners, start=1):
        north, east = corner[1] > middle[1], corner[0] > middle[0]
        name = f"{'north' if north else 'south'}_{'east' if east else 'west'}"
        name = f"room.{name}" if len(corners) == 4 else f"room.corner_{number}"
        yield f"{name}.floor", np.append(corner, 0.0)
        yield f"{name}.ceiling", np.append(corner, shape.height_m)


def _tops(stage: Stage, camera: StageCamera) -> Iterator[tuple[str, Array]]:
    """Corners of the square tops of furniture."""
    for thing in stage.things:
        if not thing.name.startswith("furniture."):
            continue
        points = np.concatenate([np.asarray(p.mesh.vertices, float) for p in thing.pieces])
        top = float(points[:, 2].max())
        corners = _square(points[points[:, 2] > top - TOP_WITHIN_M, :2])
        if corners is not None:
            name = thing.name.removeprefix("furniture.")
            for corner, place in _as_seen(corners, camera).items():
                yield f"{name}.top_{corner}", np.append(place, top)


def _square(points: Array) -> Array | None:
    """The four corners (4, 2) of what is a rectangle in plan, else None."""
    hull = MultiPoint(points).convex_hull
    around = shapely.minimum_rotated_rectangle(hull)
    if around.geom_type != "Polygon" or hull.area < SQUARE_SHARE * around.area:
        return None
    corners = np.array(around.exterior.coords)[:4]
    sides = np.linalg.norm(corners[:2] - corners[1:3], axis=1)
    return corners if sides.min() >= SMALLEST_TOP_M else None


def _as_seen(corners: Array, camera: StageCamera) -> Mapping[str, Array]:
    """Corners by how a camera sees them: the two left ones, the two right ones."""
    here, right = camera.position_m[:2], np.asarray(camera.pose[:2, 0])
    order = sorted(corners, key=lambda c: float((c - here) @ right))
    found: dict[str, Array] = {}
    for side, pair in (("left", order[:2]), ("right", order[2:])):
        near, far = sorted(pair, key=lambda c: math.dist(c, here))
        found |= {f"near_{side}": near, f"far_{side}": far}
    return found
