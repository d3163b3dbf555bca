"""Whether a camera would see its own gear."""

from __future__ import annotations

import math

import numpy as np

from previz.stage.stage import Stage

MARGIN_M = 0.05
"""Gear this near the edge of the frame counts as seen: a wide lens blurs it into the picture."""


def stands_in_own_way(stage: Stage, camera: str) -> bool:
    """Whether anything of the camera's own gear, its tripod's legs say, is before its lens.

    The camera and its lens lie behind the entrance pupil, so as a rule nothing does.
    """
    view = stage.cameras[camera]
    tangent = math.tan(view.horizontal_angle_rad / 2.0)
    reach = np.array([tangent, tangent / view.aspect])
    for thing in stage.things:
        if thing.owner != camera:
            continue
        for piece in thing.pieces:
            local = (np.asarray(piece.mesh.vertices) - view.position_m) @ view.pose[:3, :3]
            ahead = -local[:, 2:]
            near = np.abs(local[:, :2]) <= ahead * reach + MARGIN_M
            if np.any((ahead[:, 0] > 0.0) & near.all(axis=1)):
                return True
    return False
