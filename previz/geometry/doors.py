"""What fills a door's hole: lining with a stop, panelled leaf with a lever handle, architrave.

Built in the hole's own axes (see `windows`); the leaf turns on its hinge into the room.
"""

from __future__ import annotations

import math

import numpy as np

from previz.geometry import mouldings
from previz.geometry.mesh import Mesh
from previz.geometry.mouldings import BED_M
from previz.geometry.openings import (
    LEAF_THICKNESS_M,
    OpeningShape,
    frame_width_m,
    hole_frame,
    recess_m,
)
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.solid import bevelled_box, cut, joined, swept, together
from previz.geometry.turned import ball, bar, revolved
from previz.geometry.walls import Wall

ARCHITRAVE_WIDTH_M = 0.068
ARCHITRAVE_SETBACK_M = 0.006
LEAF_GAP_M = 0.003
FLOOR_GAP_M = 0.004
STOP_M = 0.012
HANDLE_HEIGHT_M = 1.0
# Steps of a sunk panel's edge and of its raised field: how far in from the panel's edge, and
# how far below the leaf's face.
SUNK_STEPS_M = ((0.0, 0.002), (0.0, -0.003), (0.005, -0.004), (0.011, -0.008), (0.014, -0.0135))
FIELD_STEPS_M = ((0.026, -0.0155), (0.026, -0.011), (0.05, -0.004))
FIELD_LEAST_PANEL_M = 0.16

Rect = tuple[float, float, float, float]


def door(opening: OpeningShape, wall: Wall, name: str) -> tuple[Piece, ...]:
    """Lining, architrave, leaf and handle of one door."""
    leaf_frame = hole_frame(opening, wall) @ _leaf_placing(opening, wall)
    fixed = [
        Piece(f"{name}_lining", _lining(opening, wall), opening.frame_material),
        Piece(f"{name}_architrave", _architrave(opening), opening.frame_material),
    ]
    size = _leaf_size(opening, wall)
    hung = [
        Piece(f"{name}_leaf", _leaf(size), opening.door_material, grain=np.array([0.0, 1.0, 0.0])),
        Piece(f"{name}_handle", _handles(opening, size), opening.handle_material),
    ]
    return (*moved(fixed, hole_frame(opening, wall)), *moved(hung, leaf_frame))


def architrave_reach_m(opening: OpeningShape) -> float:
    """How far the architrave reaches beyond the hole's edge; 0 for anything but a door."""
    if opening.kind != "door":
        return 0.0
    return max(0.0, ARCHITRAVE_WIDTH_M + ARCHITRAVE_SETBACK_M - frame_width_m(opening))


def _leaf_thickness_m(wall: Wall) -> float:
    return min(LEAF_THICKNESS_M, 0.6 * wall.thickness_m)


def _lining(opening: OpeningShape, wall: Wall) -> Mesh:
    """Boards round the hole, as deep as the wall, with the stop the leaf closes on."""
    width = frame_width_m(opening)
    back, front = -wall.thickness_m + BED_M, -BED_M
    stop_front = -recess_m(opening, wall) - _leaf_thickness_m(wall) - 0.002
    stop_back = max(stop_front - 0.03, back + BED_M)
    stop = []
    if stop_front - stop_back > BED_M:
        over = width + STOP_M
        stop = [(width, stop_back), (over, stop_back), (over, stop_front), (width, stop_front)]
    profile = np.array([(-BED_M, back), (width, back), *stop, (width, front), (-BED_M, front)])
    return _round_hole(opening, profile, 0.0)


def _architrave(opening: OpeningShape) -> Mesh:
    reach = ARCHITRAVE_WIDTH_M + ARCHITRAVE_SETBACK_M - frame_width_m(opening)
    return _round_hole(opening, mouldings.architrave_profile(ARCHITRAVE_WIDTH_M), reach)


def _round_hole(opening: OpeningShape, profile: Array, reach: float) -> Mesh:
    """A profile along a rectangle `reach` outside the hole; open below on a floor."""
    footed = opening.stands_on_floor
    low = -BED_M if footed else -reach
    path = mouldings.rectangle_path(
        (-reach, low), (opening.width_m + reach, opening.height_m + reach), footed=footed
    )
    return swept(path.sections(profile), loop=path.loop)


def _leaf_size(opening: OpeningShape, wall: Wall) -> tuple[float, float, float]:
    frame = frame_width_m(opening)
    foot = FLOOR_GAP_M if opening.stands_on_floor else frame + LEAF_GAP_M
    return (
        opening.width_m - 2 * (frame + LEAF_GAP_M),
        opening.height_m - frame - LEAF_GAP_M - foot,
        _leaf_thickness_m(wall),
    )


def _leaf_placing(opening: OpeningShape, wall: Wall) -> Array:
    """4x4 from the leaf's axes (from its lower left, z = 0 its room face) to the hole's."""
    width, height, _ = _leaf_size(opening, wall)
    frame = frame_width_m(opening)
    left_hinge = opening.hinge == "left"
    angle = math.radians(opening.leaf_open_deg) * (1 if left_hinge else -1)
    hinge = 0.0 if left_hinge else width
    matrix = np.eye(4)
    matrix[0, [0, 2]] = math.cos(angle), -math.sin(angle)
    matrix[2, [0, 2]] = math.sin(angle), math.cos(angle)
    foot = opening.height_m - frame - LEAF_GAP_M - height
    matrix[:3, 3] = frame + LEAF_GAP_M + hinge, foot, -recess_m(opening, wall)
    matrix[:3, 3] -= matrix[:3, :3] @ np.array([hinge, 0.0, 0.0])
    return matrix


def leaf_in_plan_m(opening: OpeningShape, wall: Wall) -> Array:
    """Ends (2, 2) of a door's leaf in plan as it stands open: at its hinge, at its free edge."""
    width, _, _ = _leaf_size(opening, wall)
    at = [0.0, width] if opening.hinge == "left" else [width, 0.0]
    ends = np.array([[x, 0.0, 0.0, 1.0] for x in at])
    return np.asarray((ends @ (hole_frame(opening, wall) @ _leaf_placing(opening, wall)).T)[:, :2])


def _leaf(size: tuple[float, float, float]) -> Mesh:
    width, height, thickness = size
    slab = bevelled_box((0, 0, -thickness), (width, height, 0), 0.002)
    depth_scale = min(1.0, thickness / LEAF_THICKNESS_M)
    sunk, fields = [], []
    for rect in _panels(width, height):
        small = min(rect[2] - rect[0], rect[3] - rect[1])
        for turned in (False, True):
            face = (depth_scale, thickness if turned else 0.0)
            if small > 0.04:
                sunk.append(_stepped(rect, SUNK_STEPS_M, face))
            if small > FIELD_LEAST_PANEL_M:
                fields.append(_stepped(rect, FIELD_STEPS_M, face))
    return joined([cut(slab, sunk), *fields])


def _panels(width: float, height: float) -> list[Rect]:
    """Four panels between stiles and rails; one column in a narrow leaf, one row in a low one."""
    stile = min(0.11, 0.17 * width)
    bottom = min(0.2, 0.12 * height)
    columns = [(stile, width - stile)]
    if width > 0.6:
        middle = width / 2
        columns = [(stile, middle - 0.045), (middle + 0.045, width - stile)]
    rows = [(bottom, height - stile)]
    if height > 1.2:
        lock = min(0.92, 0.46 * height)
        rows = [(bottom, lock - 0.08), (lock + 0.08, height - stile)]
    return [(x0, y0, x1, y1) for x0, x1 in columns for y0, y1 in rows]


def _stepped(rect: Rect, steps: tuple[tuple[float, float], ...], face: tuple[float, float]) -> Mesh:
    """Solid through rectangles set in by each step; `face`: depth scale, thickness if behind."""
    scale, behind = face
    x0, y0, x1, y1 = rect
    rings = []
    for inset, depth in steps:
        z = depth * scale if behind == 0.0 else -behind - depth * scale
        left, right, low, high = x0 + inset, x1 - inset, y0 + inset, y1 - inset
        rings.append([(left, low, z), (right, low, z), (right, high, z), (left, high, z)])
    return swept(np.array(rings))


def _handles(opening: OpeningShape, size: tuple[float, float, float]) -> Mesh:
    """Lever handles on both faces, at the side away from the hinge, pointing to it."""
    width, height, thickness = size
    from_edge = min(0.06, width / 4)
    left_hinge = opening.hinge == "left"
    place = (width - from_edge if left_hinge else from_edge, min(HANDLE_HEIGHT_M, height / 2))
    towards = -1.0 if left_hinge else 1.0
    front = _handle(min(0.115, width / 2), towards)
    behind = front.vertices.copy()
    behind[:, 2] = -thickness - behind[:, 2]
    back = Mesh(behind, front.faces).inverted()
    return together([front, back]).shifted((*place, 0.0))


def _handle(length: float, towards: float) -> Mesh:
    """Rose, neck and lever on the face z = 0, about the spindle at the origin."""
    rose = _turned([(0.0, -BED_M), (0.026, -BED_M), (0.026, 0.005), (0.023, 0.008), (0.0, 0.008)])
    neck = _turned([(0.0, 0.0), (0.009, 0.0), (0.009, 0.05), (0.0, 0.05)])
    ends = np.array([(0.0, 0.0, 0.045), (towards * length, 0.0, 0.045)])
    lever = bar(0.009, ends, sections=24)
    tips = [ball(2, 0.009).shifted(end) for end in ends]
    return joined([rose, neck, lever, *tips])


def _turned(outline: list[tuple[float, float]]) -> Mesh:
    """Solid of revolution about z from (radius, height) points that start and end on the axis."""
    return revolved(outline)
