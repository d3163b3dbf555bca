"""What fills a window's hole: frame, glazing bars, sill board, and the portal its light enters by.

Everything is built in the hole's own axes (x right, y up from its lower left, z into the room,
0 at the wall's inner face) and then moved into the world.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry import mouldings
from previz.geometry.mesh import Mesh
from previz.geometry.mouldings import BED_M
from previz.geometry.openings import (
    OpeningShape,
    frame_depth_m,
    frame_width_m,
    hole_frame,
    recess_m,
)
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.solid import box, joined, swept
from previz.geometry.walls import Wall

BOARD_THICKNESS_M = 0.025
BOARD_NOSE_M = 0.035
BOARD_EAR_M = 0.04
BOARD_LEAST_SILL_M = 0.1
PORTAL_GAP_M = 0.001


@dataclass(frozen=True, eq=False)
class Portal:
    """The rectangle through which a window's light enters, just outside its frame.

    It covers the hole. `normal` is the unit vector (3,) into the room and `up` the one
    along its height. `opening` is the place of its window in the list of openings, from 0.
    """

    name: str
    opening: int
    centre_m: Array
    width_m: float
    height_m: float
    normal: Array
    up: Array


def window(opening: OpeningShape, wall: Wall, name: str) -> tuple[Piece, ...]:
    """Frame with its glazing bars, and a sill board unless the window stands near the floor."""
    pieces = [Piece(f"{name}_frame", _frame(opening, wall), opening.frame_material)]
    if opening.board and opening.sill_m >= BOARD_LEAST_SILL_M:
        pieces.append(Piece(f"{name}_board", _board(opening, wall), opening.frame_material))
    return moved(pieces, hole_frame(opening, wall))


def portal(opening: OpeningShape, wall: Wall, index: int, name: str) -> Portal:
    """The portal of one window."""
    frame = hole_frame(opening, wall)
    back = -recess_m(opening, wall) - frame_depth_m(opening, wall) / 2 - PORTAL_GAP_M
    centre = frame @ np.array([opening.width_m / 2, opening.height_m / 2, back, 1.0])
    return Portal(
        name, index, centre[:3], opening.width_m, opening.height_m, frame[:3, 2], frame[:3, 1]
    )


def _frame(opening: OpeningShape, wall: Wall) -> Mesh:
    width = frame_width_m(opening)
    half_depth = frame_depth_m(opening, wall) / 2
    glazing = -recess_m(opening, wall)
    path = mouldings.rectangle_path((0, 0), (opening.width_m, opening.height_m), footed=False)
    profile = mouldings.frame_profile(width, glazing - half_depth, glazing + half_depth)
    frame = swept(path.sections(profile), loop=True)
    return joined([frame, *_bars(opening, width, glazing, half_depth)])


def _bars(opening: OpeningShape, frame: float, glazing: float, half_depth: float) -> list[Mesh]:
    """Bars between the panes, a little thinner than the frame and let into it."""
    clear = np.array([opening.width_m, opening.height_m]) - 2 * frame
    panes = np.array([opening.panes_across, opening.panes_up])
    width = min(opening.mullion_width_m, float((clear / panes).min()) / 3)
    inset = half_depth / 10
    profile = mouldings.bar_profile(
        width, glazing - half_depth + inset, glazing + half_depth - inset
    )
    # Bars end inside the frame's timber, short of its back edge.
    start, stop = frame / 2, np.array([opening.width_m, opening.height_m]) - frame / 2
    bars = []
    for axis in (0, 1):
        across = np.eye(2)[axis]
        for place in frame + clear[axis] * np.arange(1, panes[axis]) / panes[axis]:
            ends = np.full((2, 2), place)
            ends[:, 1 - axis] = start, stop[1 - axis]
            bars.append(swept(mouldings.Path(ends, np.array([across, across])).sections(profile)))
    return bars


def _board(opening: OpeningShape, wall: Wall) -> Mesh:
    """Board in the reveal with a rounded nose over the wall's face and an ear at either side."""
    low, high = -2 * BED_M, BOARD_THICKNESS_M - 2 * BED_M
    back = min(-recess_m(opening, wall), -2 * BED_M)
    inner = box((-BED_M, low, back), (opening.width_m + BED_M, high, BED_M))
    left = min(BOARD_EAR_M, opening.along_m)
    right = min(BOARD_EAR_M, max(0.0, wall.length_m - opening.right_m))
    radius = (high - low) / 2
    nose = mouldings.quarter((low + radius, BOARD_NOSE_M - radius), (radius, radius), 0.0)
    nose += mouldings.quarter((low + radius, BOARD_NOSE_M - radius), (radius, radius), 90.0)[1:]
    section = np.array([(low, -BED_M), (high, -BED_M), *nose])
    ends = (-left - BED_M, opening.width_m + right + BED_M)
    front = np.array([[(x, y, z) for y, z in section] for x in ends])
    return joined([inner, swept(front)])
