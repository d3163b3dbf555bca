"""What lies behind an open door: a short hall with a rooflight, so no doorway shows nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from shapely.geometry import Polygon

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.openings import OpeningShape
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.solid import box
from previz.geometry.walls import Wall

DEPTH_M = 1.5
BESIDE_M = 0.7
SHELL_M = 0.05
HEADROOM_M = 0.3
ROOFLIGHT_M = 0.8
SKIRTING_M = (0.09, 0.014)
"""Height and thickness."""


@dataclass(frozen=True, eq=False)
class Hall:
    """Pieces of a hall in world metres, and the face of its rooflight, which looks down."""

    pieces: tuple[Piece, ...]
    rooflight: EmitterShape


def open_to_a_hall(opening: OpeningShape) -> bool:
    """Whether one sees through this hole into whatever lies behind the wall."""
    ajar = opening.kind == "door" and opening.leaf_open_deg > 0.0
    return opening.kind == "opening" or ajar


def hall(
    opening: OpeningShape,
    wall: Wall,
    corners_m: ArrayLike,
    wall_material: str,
    floor_material: str,
) -> Hall | None:
    """The hall behind `opening`, as high as the hole and 0.3 m more.

    None where another wing of the room (`corners_m`, its floor) lies there instead.
    """
    left, right = opening.along_m - BESIDE_M, opening.right_m + BESIDE_M
    near, far = -wall.thickness_m, -wall.thickness_m - DEPTH_M
    if _plan(wall, left, right, near, far).intersection(Polygon(corners_m)).area > 1e-4:
        return None
    top, t = opening.top_m + HEADROOM_M, SHELL_M
    walls = [
        box((left - t, 0, far - t), (right + t, top, far)),
        box((left - t, 0, far), (left, top, near)),
        box((right, 0, far), (right + t, top, near)),
    ]
    high, thick = SKIRTING_M
    pieces = [
        *(Piece(f"wall_{k}", mesh, wall_material) for k, mesh in enumerate(walls)),
        Piece("floor", box((left - t, -t, far - t), (right + t, 0, near)), floor_material),
        Piece("ceiling", box((left - t, top, far - t), (right + t, top + t, near)), wall_material),
        Piece("skirting", box((left, 0, far), (right, high, far + thick)), "painted_wood"),
    ]
    pose = np.eye(4)
    # Own axes of the wall: y is up, so the rooflight's axis is -y.
    pose[:3, :3] = np.column_stack([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    pose[:3, 3] = (left + right) / 2, top - 0.002, (near + far) / 2
    light = EmitterShape("rectangle", wall.frame @ pose, width_m=ROOFLIGHT_M, height_m=ROOFLIGHT_M)
    return Hall(moved(pieces, wall.frame), light)


def _plan(wall: Wall, left: float, right: float, near: float, far: float) -> Polygon:
    def at(x: float, z: float) -> Array:
        return np.asarray(wall.left_m + wall.along * x + wall.inward * z)

    return Polygon([at(left, near), at(right, near), at(right, far), at(left, far)])
