"""The room in plan: its outline, its walls, what stands inside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from previz.scenefile.view import Point, View
from previz.scenefile.wording import listed

# Walls of a rectangle in the order of its corners, from the south-west.
WALL_NAMES = ("south", "east", "north", "west")
_SHORTEST_WALL_M = 0.01
_SHARPEST_CORNER_DEG = 10.0


@dataclass(frozen=True)
class Plan:
    """A room's outline. `corners_m` in order; wall k (from 1) begins at corner k."""

    corners_m: tuple[Point, ...]
    is_rectangle: bool
    height_m: float | None

    def wall_length_m(self, wall: int) -> float:
        """Length of wall `wall`, from 1."""
        return math.dist(self.corners_m[wall - 1], self.corners_m[wall % len(self.corners_m)])

    def holds(self, point: Point) -> bool:
        """Whether a plan point lies on the floor, its edge included."""
        return bool(Polygon(self.corners_m).covers(shapely.Point(point[:2])))

    def extent(self) -> str:
        """Where the floor lies, in words."""
        xs, ys = zip(*(corner[:2] for corner in self.corners_m), strict=True)
        return f"x from {min(xs):g} to {max(xs):g} and y from {min(ys):g} to {max(ys):g}"


def is_scan(view: View) -> bool:
    """Whether the room comes from a scan: it has neither walls nor an outline."""
    return not view.lacking("room", "scan")


def room_plan(view: View) -> Plan | None:
    """The outline if it is sound; reports what is wrong with a floor polygon."""
    if is_scan(view) or view.contradicts_itself("room"):
        return None
    height_m = view.number("room", "height_m")
    if not view.lacking("room", "floor_m"):
        corners = view.points("room", "floor_m")
        if corners is None or not _check_outline(view, corners):
            return None
        return Plan(tuple(corners), False, height_m)
    width, depth = view.number("room", "width_m"), view.number("room", "depth_m")
    centre = view.point("room", "centre_m")
    if width is None or depth is None or centre is None:
        return None
    x, y, dx, dy = centre[0], centre[1], width / 2, depth / 2
    box = ((x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy))
    return Plan(box, True, height_m)


def wall_number(view: View, plan: Plan | None, collection: str, name: str) -> int | None:
    """Number of the wall that `wall` names; reports a wall that the room does not have."""
    trail = (collection, name, "wall")
    value = view.value(*trail)
    if value is not None and is_scan(view) and not view.contradicts_itself("room"):
        _refuse_on_scan(view, collection, name)
    if value is None or plan is None:
        return None
    count = len(plan.corners_m)
    if isinstance(value, str):
        if plan.is_rectangle:
            return WALL_NAMES.index(value) + 1
        view.say_found(trail, f"a number from 1 to {count} in a room given by floor_m")
        return None
    number = int(view.number(*trail) or 0)
    if 1 <= number <= count:
        return number
    names = f"{listed(WALL_NAMES)}, or " if plan.is_rectangle else ""
    view.say_found(trail, f"{names}a number from 1 to {count}")
    return None


def _refuse_on_scan(view: View, collection: str, name: str) -> None:
    if collection == "openings":
        view.say((collection, name), "a scanned room has no walls to open; delete this")
    else:
        view.say((collection, name, "wall"), "a scanned room has no numbered walls; give at_m")


def _check_outline(view: View, corners: list[Point]) -> bool:
    trail = ("room", "floor_m")
    for k, corner in enumerate(corners):
        other = (k + 1) % len(corners)
        if math.dist(corner, corners[other]) < _SHORTEST_WALL_M:
            view.say(trail, f"corners {k + 1} and {other + 1} are the same point; delete one")
            return False
    if not Polygon(corners).is_valid:
        view.say(trail, f"the outline crosses or touches itself{_where_crossed(corners)}")
        return False
    return _check_sharpness(view, corners)


def _where_crossed(corners: list[Point]) -> str:
    count = len(corners)
    walls = [shapely.LineString([corners[k], corners[(k + 1) % count]]) for k in range(count)]
    for a in range(count):
        for b in range(a + 2, count):
            if (b + 1) % count != a and walls[a].intersects(walls[b]):
                return f" where walls {a + 1} and {b + 1} meet; put the corners in order"
    return "; put the corners in order"


def _check_sharpness(view: View, corners: list[Point]) -> bool:
    count = len(corners)
    for k in range(count):
        (x, y), (px, py), (nx, ny) = corners[k], corners[k - 1], corners[(k + 1) % count]
        turn = math.atan2(ny - y, nx - x) - math.atan2(py - y, px - x)
        angle = math.degrees(turn) % 360
        sharp = min(angle, 360 - angle)
        if sharp < _SHARPEST_CORNER_DEG:
            view.say(
                ("room", "floor_m"),
                f"corner {k + 1} must be at least {_SHARPEST_CORNER_DEG:g} degrees wide, "
                f"found {sharp:.1f}",
            )
            return False
    return True
