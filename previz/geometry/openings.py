"""Holes in walls: windows, doors and plain openings, and everything that can be wrong with them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array
from previz.geometry.solid import box
from previz.geometry.walls import Wall

POKE_M = 0.01
SLACK_M = 1e-6
WINDOW_FRAME_WIDTH_M = 0.06
WINDOW_FRAME_DEPTH_M = 0.06
WINDOW_RECESS_M = 0.10
DOOR_LINING_WIDTH_M = 0.032
LEAF_THICKNESS_M = 0.04


@dataclass(frozen=True)
class OpeningShape:
    """One rectangular hole in a wall and what fills it. Lengths left None take usual sizes.

    wall             number of the wall, from 1
    along_m          from the wall's left end, as one faces it from inside, to the left edge
    sill_m           height of the hole's lower edge over the floor
    panes_across, panes_up   panes of a window side by side, and one over another
    frame_width_m    how far a window's frame or a door's lining reaches into the hole
    frame_depth_m    of a window's frame, through the wall; a door's lining is as deep as the wall
    recess_m         from the wall's inner face to a window's glazing, or to the face of a door leaf
    board            inner sill board under a window (not one that stands on the floor)
    leaf_open_deg    how far a door stands open, into the room
    hinge            the side the leaf turns on, as one faces it from inside
    name             for pieces and portals; empty: kind and place in the list, as "window_1"
    """

    kind: Literal["window", "door", "opening"]
    wall: int
    along_m: float
    width_m: float
    height_m: float
    sill_m: float = 0.0
    panes_across: int = 2
    panes_up: int = 2
    frame_width_m: float | None = None
    mullion_width_m: float = 0.03
    frame_depth_m: float | None = None
    frame_material: str = "painted_wood"
    recess_m: float | None = None
    board: bool = True
    leaf_open_deg: float = 0.0
    hinge: Literal["left", "right"] = "left"
    door_material: str = "painted_wood"
    handle_material: str = "brushed_steel"
    name: str = ""

    @property
    def stands_on_floor(self) -> bool:
        """Whether the hole reaches down to the floor."""
        return self.sill_m < SLACK_M

    @property
    def top_m(self) -> float:
        """Height of the hole's upper edge over the floor."""
        return self.sill_m + self.height_m

    @property
    def right_m(self) -> float:
        """Distance from the wall's left end to the hole's right edge."""
        return self.along_m + self.width_m


def frame_width_m(opening: OpeningShape) -> float:
    """Width of the frame in the hole; a small hole keeps at least three fifths of its size."""
    usual = WINDOW_FRAME_WIDTH_M if opening.kind == "window" else DOOR_LINING_WIDTH_M
    wanted = usual if opening.frame_width_m is None else opening.frame_width_m
    return min(wanted, 0.2 * opening.width_m, 0.2 * opening.height_m)


def frame_depth_m(opening: OpeningShape, wall: Wall) -> float:
    """Depth of a window's frame through the wall, never more than four fifths of the wall."""
    wanted = WINDOW_FRAME_DEPTH_M if opening.frame_depth_m is None else opening.frame_depth_m
    return min(wanted, 0.8 * wall.thickness_m)


def recess_m(opening: OpeningShape, wall: Wall) -> float:
    """Depth of the glazing or the leaf behind the wall's inner face."""
    if opening.recess_m is not None:
        return opening.recess_m
    return min(WINDOW_RECESS_M, wall.thickness_m / 2) if opening.kind == "window" else 0.0


def opening_name(opening: OpeningShape, index: int) -> str:
    """Its own name, or its kind and place in the list of openings from 1."""
    return opening.name or f"{opening.kind}_{index + 1}"


def hole(opening: OpeningShape, wall: Wall, room_height_m: float) -> Mesh:
    """Box, in the wall's own axes, that cuts the opening clean through the wall."""
    low = -POKE_M if opening.stands_on_floor else opening.sill_m
    high = opening.top_m
    if high > room_height_m - SLACK_M:
        high = room_height_m + POKE_M
    depth = wall.thickness_m + POKE_M
    return box((opening.along_m, low, -depth), (opening.right_m, high, POKE_M))


def hole_frame(opening: OpeningShape, wall: Wall) -> Array:
    """4x4 to the world from the hole's axes: those of the wall, from the hole's lower left."""
    matrix = wall.frame
    matrix[:2, 3] += wall.along * opening.along_m
    matrix[2, 3] = opening.sill_m
    return matrix


def problems_in_walls(
    walls: Sequence[Wall], room_height_m: float, openings: Sequence[OpeningShape]
) -> list[tuple[int, str]]:
    """All faults of all openings: (place in the list from 0, one sentence)."""
    by_number = {wall.number: wall for wall in walls}
    found: list[tuple[int, str]] = []
    for index, opening in enumerate(openings):
        wall = by_number.get(opening.wall)
        if wall is None:
            found.append((index, f"there is no wall {opening.wall}; walls are 1-{len(walls)}"))
            continue
        found += [(index, text) for text in _own_problems(opening, wall, room_height_m)]
    return found + _overlaps(openings)


def _own_problems(opening: OpeningShape, wall: Wall, room_height_m: float) -> list[str]:
    sizes = (opening.along_m, opening.width_m, opening.sill_m, opening.height_m)
    if not all(map(math.isfinite, sizes)) or min(opening.width_m, opening.height_m) <= 0:
        return ["width and height must be finite and more than 0"]
    texts = []
    if opening.along_m < 0 or opening.sill_m < 0:
        texts.append("along and sill must not be less than 0")
    if opening.right_m > wall.length_m + SLACK_M:
        texts.append(
            f"it ends {opening.right_m:.2f} m along, but wall {wall.number} "
            f"is {wall.length_m:.2f} m long"
        )
    if opening.top_m > room_height_m + SLACK_M:
        texts.append(
            f"its top is at {opening.top_m:.2f} m, but the room is {room_height_m:.2f} m high"
        )
    if opening.panes_across < 1 or opening.panes_up < 1:
        texts.append("a window has at least one pane across and one up")
    return texts + _depth_problems(opening, wall)


def _depth_problems(opening: OpeningShape, wall: Wall) -> list[str]:
    if opening.kind == "opening":
        return []
    depth = recess_m(opening, wall)
    behind = frame_depth_m(opening, wall) / 2 if opening.kind == "window" else 0.0
    if depth >= 0 and depth + behind <= wall.thickness_m - 0.002:
        return []
    return [
        f"a recess of {depth * 1000:.0f} mm does not fit in a wall "
        f"{wall.thickness_m * 1000:.0f} mm thick"
    ]


def _overlaps(openings: Sequence[OpeningShape]) -> list[tuple[int, str]]:
    """Each later opening that lies over an earlier one on the same wall."""
    return [
        (later, f"it lies over {opening_name(openings[early], early)} on wall {second.wall}")
        for later, second in enumerate(openings)
        for early, first in enumerate(openings[:later])
        if first.wall == second.wall
        and min(first.right_m, second.right_m) - max(first.along_m, second.along_m) > SLACK_M
        and min(first.top_m, second.top_m) - max(first.sill_m, second.sill_m) > SLACK_M
    ]
