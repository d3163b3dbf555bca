"""Where things stand: openings in their walls, everything else on the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from previz.scenefile.rooms import Plan, room_plan, wall_number
from previz.scenefile.sets import check_sets
from previz.scenefile.view import View
from previz.scenefile.wording import Trail, spoken

if TYPE_CHECKING:
    from previz.catalog import Catalog

_SLACK_M = 1e-6
_PEOPLE_APART_M = 0.25
_CAMERAS_APART_M = 0.1

# What has a plan position, and how far it may reach under the ceiling.
_STANDING = (
    ("people", ("at_m",)), ("furniture", ("at_m",)), ("sets", ("at_m",)),
    ("cameras", ("place", "at_m")), ("lights", ("place", "at_m")),
)  # fmt: skip
_HEIGHTS = (
    ("cameras", ("place", "height_m")), ("lights", ("place", "height_m")),
    ("furniture", ("base_m",)),
)  # fmt: skip


@dataclass(frozen=True)
class _Hole:
    name: str
    wall: int
    left_m: float
    right_m: float
    low_m: float
    high_m: float

    def overlaps(self, other: _Hole) -> bool:
        return (
            self.wall == other.wall
            and self.left_m < other.right_m - _SLACK_M
            and other.left_m < self.right_m - _SLACK_M
            and self.low_m < other.high_m - _SLACK_M
            and other.low_m < self.high_m - _SLACK_M
        )


def check_placing(view: View, catalog: Catalog) -> None:
    """Everything is inside the room, in its wall or on its floor, and nothing twice in a spot."""
    plan = room_plan(view)
    _check_openings(view, plan)
    _check_furniture(view, plan, catalog)
    check_sets(view, plan, catalog)
    if plan is not None:
        for trail in _points(view):
            _check_on_floor(view, plan, trail)
        for collection, rest in _HEIGHTS:
            for name in view.names(collection):
                _check_under_ceiling(view, plan, (collection, name, *rest))
        for trail in _on_the_way(view, "height_m"):
            _check_under_ceiling(view, plan, trail)
    _check_apart(view, "people", ("at_m",), _PEOPLE_APART_M)
    _check_apart(view, "cameras", ("place", "at_m"), _CAMERAS_APART_M)


def _check_openings(view: View, plan: Plan | None) -> None:
    holes: list[_Hole] = []
    for name in view.names("openings"):
        wall = wall_number(view, plan, "openings", name)
        if wall is None or plan is None:
            continue
        hole = _fitting_hole(view, plan, name, wall)
        if hole is None:
            continue
        for other in holes:
            if hole.overlaps(other):
                view.say(("openings", name), f"overlaps {spoken(other.name)} in the same wall")
        holes.append(hole)


def _fitting_hole(view: View, plan: Plan, name: str, wall: int) -> _Hole | None:
    trail = ("openings", name)
    along, width = view.number(*trail, "along_m"), view.number(*trail, "width_m")
    sill, height = view.number(*trail, "sill_m"), view.number(*trail, "height_m")
    length, fits = plan.wall_length_m(wall), True
    if along is not None and width is not None and along + width > length + _SLACK_M:
        fits = False
        view.say(
            trail, f"along_m + width_m must be at most {length:.2f}, the length of wall "
            f"{view.value(*trail, 'wall')}, found {along + width:.2f}"
        )  # fmt: skip
    ceiling = plan.height_m
    if sill is not None and height is not None and ceiling and sill + height > ceiling + _SLACK_M:
        fits = False
        view.say(
            trail, f"sill_m + height_m must be at most {ceiling:.2f}, the height of the room, "
            f"found {sill + height:.2f}"
        )  # fmt: skip
    if not fits or along is None or width is None or sill is None or height is None:
        return None
    return _Hole(name, wall, along, along + width, sill, sill + height)


def _check_furniture(view: View, plan: Plan | None, catalog: Catalog) -> None:
    for name in view.names("furniture"):
        wall = wall_number(view, plan, "furniture", name)
        along = view.number("furniture", name, "along_m")
        if wall is not None and plan is not None and along is not None:
            length = plan.wall_length_m(wall)
            if along > length + _SLACK_M:
                wall_said = view.value("furniture", name, "wall")
                view.say_found(
                    ("furniture", name, "along_m"),
                    f"from 0 to {length:.2f}, the length of wall {wall_said}",
                )
        _check_measures(view, name, catalog)


def _check_measures(view: View, name: str, catalog: Catalog) -> None:
    piece = view.text("furniture", name, "piece")
    if piece is None or piece not in catalog.names("furniture"):
        return
    if catalog.furniture(piece).resizable:
        return
    for key in ("width_m", "depth_m", "height_m"):
        if view.given("furniture", name, key):
            view.say(("furniture", name, key), f"{piece} comes in one size; delete this")


def _points(view: View) -> list[Trail]:
    trails: list[Trail] = [
        (collection, name, *rest)
        for collection, rest in _STANDING
        for name in view.names(collection)
    ]
    return [*trails, *_on_the_way(view, "at_m"), ("sound", "boom", "stand_at_m")]


def _on_the_way(view: View, key: str) -> list[Trail]:
    return [
        ("moves", name, "keys", position, key)
        for name in view.names("moves")
        for position in view.inside("moves", name, "keys")
    ]


def _check_on_floor(view: View, plan: Plan, trail: Trail) -> None:
    point = view.point(*trail)
    if point is None or plan.holds(point):
        return
    x, y = point[:2]
    view.say(trail, f"[{x:g}, {y:g}] is outside the room; its floor has {plan.extent()}")


def _check_under_ceiling(view: View, plan: Plan, trail: Trail) -> None:
    height = view.number(*trail)
    if height is None or plan.height_m is None or height <= plan.height_m:
        return
    view.say_found(trail, f"at most {plan.height_m:g}, the height of the room")


def _check_apart(view: View, collection: str, rest: tuple[str, ...], apart_m: float) -> None:
    seen: list[tuple[str, tuple[float, ...]]] = []
    for name in view.names(collection):
        point = view.point(collection, name, *rest)
        if point is None:
            continue
        for other, there in seen:
            if math.dist(point, there) < apart_m and not _one_above_other(view, name, other):
                view.say(
                    (collection, name, *rest),
                    f"{spoken(other)} is at the same spot; keep them {apart_m:g} m apart at least",
                )
                break
        seen.append((name, point))


def _one_above_other(view: View, first: str, second: str) -> bool:
    """Two cameras on one stand at different heights are possible."""
    heights = [view.number("cameras", name, "place", "height_m") for name in (first, second)]
    return None not in heights and abs((heights[0] or 0.0) - (heights[1] or 0.0)) >= 0.3
