"""The edges of a light's beam: where its intensity has come down to half, in plan and across."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from previz.physics.beam import half_value_of_table_rad
from previz.stage.placed import StageLight
from previz.stage.stage import Array, Stage

LAMBERT_HALF_RAD = math.pi / 3.0
"""A matt face: half its intensity at 60 degrees, by the cosine law, Lambert, "Photometria", 1760
(from memory)."""
FLAT = ("rectangle", "disc")


@dataclass(frozen=True, eq=False)
class BeamEdge:
    """Half of the beam angle, and unit vectors (2, 3) along its left and right edge.

    The edges lie in the plane through the axis and the level line across it, the widest that a
    plan can show.
    """

    half_rad: float
    edges: Array


def beam_edges(stage: Stage, light: StageLight) -> BeamEdge | None:
    """Beam of a light with a flat face; None for what shines all round, or not at all."""
    face = next((e for e in stage.emitters if e.thing == light.thing), None)
    if face is None or face.shape.kind not in FLAT:
        return None
    half = LAMBERT_HALF_RAD if face.profile is None else half_value_of_table_rad(face.profile)
    axis = light.aim_m - light.position_m
    axis = axis / np.linalg.norm(axis)
    across = np.array([axis[1], -axis[0], 0.0])
    length = float(np.linalg.norm(across))
    if length < 1e-9:
        return None
    right = across / length
    edges = [math.cos(half) * axis + s * math.sin(half) * right for s in (-1.0, 1.0)]
    return BeamEdge(half, np.array(edges))
