"""What was pointed at in a still, held against the plan: whether it means anything, and what it
says of where the camera was.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from previz.measure.camera.features import HEAD_TOP, Feature, level_directions
from previz.measure.camera.framing import FramingNumbers
from previz.scenefile.wording import nearest
from previz.solve.marks import Ends, Marks
from previz.solve.seen import Evidence, SeenEdge, SeenHeight, SeenPoint, View
from previz.stage.stage import Array, Stage, StageCamera

SAME_PLACE_OF_WIDTH = 1.0 / 2000.0
"""Two points nearer than this share of the width are one: an estimate."""
SHORTEST_EDGE_OF_WIDTH = 0.02
"""A shorter edge tells no direction: an estimate."""
FEWEST_POINTS = 2


@dataclass(frozen=True, eq=False)
class Planned:
    """What the plan has of one camera: where it stands, what can be pointed at, how it frames."""

    stage: Stage
    camera: StageCamera
    subject: str | None
    features: Mapping[str, Feature]
    framing: FramingNumbers | None
    marked_mm: float


def check_marks(planned: Planned, marks: Marks, size_px: tuple[int, int]) -> None:
    """ValueError for what means nothing: unknown names, places outside, too few, all in one."""
    for name in marks.points:
        if name not in planned.features:
            raise ValueError(f"point {name}: {_unknown(name, planned.features)}")
        if planned.camera.axis_distance(planned.features[name].point_m) <= 0.0:
            raise ValueError(f"point {name}: lies behind camera {planned.camera.name} as planned")
    width, height = size_px
    for name, spot in marks.spots():
        x, y = spot.px(size_px)
        if not (0.0 <= x <= width and 0.0 <= y <= height):
            raise ValueError(
                f"{name}: {x:g},{y:g} lies outside the still, which is {width} x {height} pixels"
            )
    if len(marks.points) < FEWEST_POINTS:
        raise ValueError(
            f"{len(marks.points)} named points are too few: give at least two, such as eye_left "
            "and chin"
        )
    _check_apart(marks, size_px)
    _check_sides(planned, marks, size_px)


def _unknown(name: str, features: Mapping[str, Feature]) -> str:
    close = nearest(name, features)
    hint = f"did you mean {close}?" if close else "previz verify --names lists those there are"
    return f"nothing on the set is called so; {hint}"


def _check_apart(marks: Marks, size_px: tuple[int, int]) -> None:
    places = [(name, spot.px(size_px)) for name, spot in marks.points.items()]
    for number, (name, here) in enumerate(places):
        for other, there in places[:number]:
            if np.linalg.norm(here - there) < SAME_PLACE_OF_WIDTH * size_px[0]:
                raise ValueError(f"points {other} and {name} lie at one place of the still")
    edges = [*marks.verticals, *marks.levels, *(height.ends for height in marks.heights)]
    for ends in edges:
        first, second = _px(ends, size_px)
        if np.linalg.norm(first - second) < SHORTEST_EDGE_OF_WIDTH * size_px[0]:
            raise ValueError(
                f"the edge from {first[0]:g},{first[1]:g} to {second[0]:g},{second[1]:g} is too "
                "short to tell a direction: take one over more of the still"
            )


def _check_sides(planned: Planned, marks: Marks, size_px: tuple[int, int]) -> None:
    """Left and right of a person are their own, which is easily mistaken."""
    for left in (name for name in marks.points if name.endswith("_left")):
        right = f"{left.removesuffix('left')}right"
        if right not in marks.points:
            continue
        seen = marks.points[left].px(size_px) - marks.points[right].px(size_px)
        ends = np.array([planned.features[name].point_m for name in (left, right)])
        at = planned.camera.project(ends, *size_px)
        if float(seen @ (at[0] - at[1])) < 0.0:
            whose = planned.features[left].person
            side = f"left is {whose}'s own left" if whose else "left is as one faces the wall"
            raise ValueError(f"points {left} and {right} are exchanged: {side}")


def evidence_of(planned: Planned, marks: Marks, size_px: tuple[int, int]) -> Iterator[Evidence]:
    """What the still shows of the set. ValueError for a level edge where no wall says which."""
    for name, spot in marks.points.items():
        feature = planned.features[name]
        top = feature.person is not None and name.endswith(HEAD_TOP)
        yield SeenPoint(name, feature.point_m, spot.px(size_px), feature.person, top)
    for number, ends in enumerate(marks.verticals, start=1):
        yield SeenEdge(f"vertical {number}", np.array([0.0, 0.0, 1.0]), _px(ends, size_px))
    for number, ends in enumerate(marks.levels, start=1):
        direction = _along_a_wall(planned, _px(ends, size_px), size_px)
        yield SeenEdge(f"level {number}", direction, _px(ends, size_px))
    for number, height in enumerate(marks.heights, start=1):
        ends_px = _px(height.ends, size_px)
        ends_px = ends_px[np.argsort(-ends_px[:, 1])]
        yield SeenHeight(f"height {number}", height.length_m, ends_px, _stands_by(planned))


def _px(ends: Ends, size_px: tuple[int, int]) -> Array:
    return np.array([spot.px(size_px) for spot in ends])


def _stands_by(planned: Planned) -> Array:
    """Where a known height stands: as far off as the subject, or where it is focused."""
    if planned.subject is not None:
        return planned.stage.people[planned.subject].landmarks["eyes"]
    camera = planned.camera
    return np.asarray(camera.position_m + camera.focus_distance_m * camera.forward)


def _along_a_wall(planned: Planned, ends_px: Array, size_px: tuple[int, int]) -> Array:
    """Of the directions of the walls the one that the plan would show most like this edge."""
    directions = level_directions(planned.stage)
    if not len(directions):
        raise ValueError("a level edge needs a room with walls, for it runs along one of them")
    misses = [
        float(np.abs(SeenEdge("", d, ends_px).misses_px(View(planned.camera, *size_px))).max())
        for d in directions
    ]
    return np.asarray(directions[int(np.argmin(misses))])
