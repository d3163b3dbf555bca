"""What groups of a plan say of things besides their lines, for who reads the drawing back."""

from __future__ import annotations

import math

from previz.deliver.plan.drawing import at
from previz.geometry.walls import Wall
from previz.measure.setting_out.layout import PlacedOpening
from previz.stage.placed import StagePiece


def of_wall(name: str, wall: Wall) -> dict[str, str]:
    """Its name, its ends as seen from inside, how thick it is."""
    (left_x, left_y), (right_x, right_y) = wall.left_m, wall.right_m
    return {
        "name": name,
        "left-x-m": f"{left_x:.4f}",
        "left-y-m": f"{left_y:.4f}",
        "right-x-m": f"{right_x:.4f}",
        "right-y-m": f"{right_y:.4f}",
        "thickness-m": f"{wall.thickness_m:.4f}",
    }


def of_opening(placed: PlacedOpening) -> dict[str, str]:
    """Where in which wall the hole lies, and its film."""
    opening = placed.opening
    return {
        "wall": str(placed.wall.number),
        "along-m": f"{opening.along_m:.4f}",
        "width-m": f"{opening.width_m:.4f}",
        "sill-m": f"{opening.sill_m:.4f}",
        "height-m": f"{opening.height_m:.4f}",
        "gel-nd": f"{opening.gel_nd:g}",
        **at(placed.hole_m[:2].mean(axis=0)),
    }


def of_piece(piece: StagePiece) -> dict[str, str]:
    """What the catalogue calls it, where it stands and how it is turned."""
    return {
        "item": piece.label,
        "turn-deg": f"{math.degrees(piece.turn_rad):.3f}",
        **at(piece.at_m),
    }
