"""A studio's sweep: wall and floor as one surface, joined by a radius, so that no edge is seen."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import sheet
from previz.geometry.walls import Wall

STEPS = 48
"""Facets of the quarter round: smooth shading hides them."""
BEFORE_M = 0.004
"""How far the surface lies before wall and floor, as a painted board does."""


def sweep(wall: Wall, height_m: float, radius_m: float, floor_m: float, material: str) -> Piece:
    """The surface before the whole of a wall, up to the ceiling and `floor_m` out on the floor.

    floor_m from the wall, at least `radius_m`. ValueError when the radius does not fit the wall.
    """
    if not radius_m < height_m:
        raise ValueError(
            f"sweep: a radius of {radius_m:g} m does not fit under a ceiling of {height_m:g} m; "
            "take a smaller one"
        )
    profile = _profile(height_m, radius_m, max(floor_m, radius_m))
    ends = (0.0, wall.length_m)
    # Own axes of the wall: x along it, y up, z into the room.
    grid = np.array([[(x, up, out) for x in ends] for out, up in profile])
    # Down from the ceiling and out over the floor, it faces the room.
    shell = sheet(grid[::-1])
    mesh = Mesh(shell.vertices, shell.faces).moved(wall.frame)
    return Piece("wall_sweep", mesh, material, smooth=True, closed=False)


def _profile(height_m: float, radius_m: float, floor_m: float) -> Array:
    """Points (n, 2), out from the wall and up, from the floor's edge to the ceiling."""
    turns = np.linspace(0.0, np.pi / 2.0, STEPS + 1)
    bend = np.column_stack([radius_m * (1.0 - np.sin(turns)), radius_m * (1.0 - np.cos(turns))])
    flat, upright = [(floor_m, 0.0)], [(0.0, height_m - BEFORE_M)]
    points = np.concatenate([flat, bend, upright])
    return np.asarray(np.maximum(points, BEFORE_M))
