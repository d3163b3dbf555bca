"""Walls as solids of real thickness: where each stands, its own axes, its mitred outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry import Polygon

from previz.geometry import plan
from previz.geometry.piece import Array

THINNEST_WALL_M = 0.001


@dataclass(frozen=True, eq=False)
class Wall:
    """One straight wall, standing outside the floor polygon.

    number       from 1, as the corners were given: wall k joins corners k and k + 1
    left_m       plan point (2,) of its left end as one faces it from inside
    right_m      plan point (2,) of its right end
    inward       unit plan vector (2,) into the room
    length_m     between its two inner corners
    thickness_m  as built: less than asked for where two rooms' wings lie back to back
    outline_m    plan polygon (3 or 4, 2) of the solid, mitred into its neighbours
    """

    number: int
    left_m: Array
    right_m: Array
    inward: Array
    length_m: float
    thickness_m: float
    outline_m: Array

    @property
    def along(self) -> Array:
        """Unit plan vector (2,) from the left end to the right end."""
        return np.asarray((self.right_m - self.left_m) / self.length_m)

    @property
    def frame(self) -> Array:
        """4x4 from the wall's own axes to the world.

        Own axes are those of a drawing of the wall seen from inside: x to the right from the
        left end, y up from the floor, z out of the drawing into the room.
        """
        matrix = np.eye(4)
        matrix[:2, 0] = self.along
        matrix[:3, 1] = [0.0, 0.0, 1.0]
        matrix[:2, 2] = self.inward
        matrix[2, 2] = 0.0
        matrix[:2, 3] = self.left_m
        return matrix


def walls_round(corners_m: ArrayLike, thickness_m: float) -> tuple[Wall, ...]:
    """The walls round a floor polygon, in counter-clockwise order whatever order was given.

    The polygon must be free of `plan.polygon_problems`.
    """
    corners = plan.counter_clockwise(corners_m)
    numbers = _numbers(corners_m)
    inward = inward_normals(corners)
    thickness = _thicknesses(corners, inward, thickness_m)
    outlines = _outlines(corners, inward, thickness)
    ahead = np.roll(corners, -1, axis=0)
    return tuple(
        Wall(
            number=numbers[i],
            left_m=ahead[i],
            right_m=corners[i],
            inward=inward[i],
            length_m=float(np.linalg.norm(ahead[i] - corners[i])),
            thickness_m=float(thickness[i]),
            outline_m=outlines[i],
        )
        for i in range(len(corners))
    )


def wall_problems(walls: tuple[Wall, ...], corners_m: ArrayLike) -> list[str]:
    """Walls that find no place between two wings of the room, one sentence each."""
    floor = Polygon(corners_m)
    return [
        f"wall {wall.number} finds no room: the floor comes back to it within "
        f"{2000 * max(wall.thickness_m, THINNEST_WALL_M):.0f} mm on its other side"
        for wall in walls
        if wall.thickness_m < THINNEST_WALL_M
        or Polygon(wall.outline_m).intersection(floor).area > 1e-6
    ]


def outer_outline(walls: tuple[Wall, ...], corners_m: ArrayLike) -> Array:
    """Plan polygon (k, 2), counter-clockwise, round the floor and all its walls."""
    parts = [Polygon(corners_m), *(Polygon(wall.outline_m) for wall in walls)]
    whole = shapely.union_all([shapely.set_precision(part, 1e-9) for part in parts])
    # A gap enclosed by walls lies under them: the slab may run through it.
    ring = Polygon(whole.exterior).simplify(1e-7).exterior
    return plan.counter_clockwise(np.array(ring.coords)[:-1])


def inward_normals(corners: Array) -> Array:
    """Unit vectors (n, 2) into the room for the walls of a counter-clockwise polygon."""
    step = np.roll(corners, -1, axis=0) - corners
    unit = step / np.linalg.norm(step, axis=1, keepdims=True)
    return np.column_stack([-unit[:, 1], unit[:, 0]])


def mitre(before: Array, after: Array) -> Array:
    """Plan vector (2,) a corner moves by when both its walls move inward by one metre."""
    return np.asarray((before + after) / (1.0 + before @ after))


def _numbers(corners_m: ArrayLike) -> list[int]:
    count = len(np.asarray(corners_m))
    if plan.is_counter_clockwise(corners_m):
        return [i + 1 for i in range(count)]
    return [(count - 2 - i) % count + 1 for i in range(count)]


def _thicknesses(corners: Array, inward: Array, wanted_m: float) -> Array:
    """Thickness of each wall: half the gap where another wing of the room is close behind it."""
    doubled = _outlines(corners, inward, np.full(len(corners), 2 * wanted_m))
    floor = Polygon(corners)
    thickness = np.full(len(corners), float(wanted_m))
    for i, outline in enumerate(doubled):
        # Where they only touch, the intersection holds lines and points besides polygons.
        behind = shapely.get_parts(Polygon(outline).intersection(floor))
        behind = behind[shapely.area(behind) > 1e-9]
        if len(behind):
            depth = (corners[i] - shapely.get_coordinates(behind)) @ inward[i]
            thickness[i] = min(wanted_m, max(0.0, float(depth.min()) / 2))
    return thickness


def _outlines(corners: Array, inward: Array, thickness: Array) -> list[Array]:
    count = len(corners)
    pairs = [
        _outer_corner(corners[i], (inward[i - 1], thickness[i - 1]), (inward[i], thickness[i]))
        for i in range(count)
    ]
    return [
        _outline(corners[i], corners[(i + 1) % count], pairs[i][1], pairs[(i + 1) % count][0])
        for i in range(count)
    ]


def _outer_corner(
    corner: Array, before: tuple[Array, float], after: tuple[Array, float]
) -> tuple[Array, Array]:
    """Outer corner as the wall before and the wall after it see it; one point unless straight."""
    normals = np.array([before[0], after[0]])
    depths = -np.array([before[1], after[1]])
    if abs(np.linalg.det(normals)) < 1e-6:
        return corner + depths[0] * before[0], corner + depths[1] * after[0]
    point = corner + np.linalg.solve(normals, depths)
    return point, point


def _outline(start: Array, end: Array, outer_start: Array, outer_end: Array) -> Array:
    """Mitred quadrilateral, or a triangle where the two mitres meet inside the thickness."""
    step = end - start
    if (outer_end - outer_start) @ step > 1e-9:
        return np.array([start, outer_start, outer_end, end])
    sides = np.column_stack([outer_start - start, end - outer_end])
    reach = float(np.linalg.solve(sides, step)[0])
    return np.array([start, start + reach * (outer_start - start), end])


def cut_outline(wall: Wall, along_m: float, width_m: float) -> Polygon:
    """Plan rectangle through the wall's thickness, from `along_m` over `width_m`."""
    ends = [wall.left_m + wall.along * x for x in (along_m, along_m + width_m)]
    out = wall.inward * wall.thickness_m
    return Polygon([ends[0], ends[1], ends[1] - out, ends[0] - out])
