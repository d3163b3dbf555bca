"""The edges of a light's beam: where its intensity has come down to half, in plan and across."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from previz.geometry.gear.barn_doors import FRAME_OF_LENS, REACH_OF_FRAME, leaf_edge
from previz.geometry.gear.emitter import EmitterShape
from previz.physics.beam import half_value_of_table_rad
from previz.stage.fixtures import leaves_of
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
    plan can show. Where a barn door reaches into the beam, the edge is the door's.
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
    low, high = -half, half
    if light.setting.barn_doors is not None:
        left_door, right_door = _between_doors(light, face.shape, right)
        low, high = max(low, left_door), min(high, right_door)
    edges = [math.cos(angle) * axis + math.sin(angle) * right for angle in (low, high)]
    return BeamEdge(half, np.array(edges))


def _between_doors(light: StageLight, lens: EmitterShape, right: Array) -> tuple[float, float]:
    """Angles off the axis, positive to the `right`, between which no door hides the lens's middle.

    What the middle of the lens just sees past a door is lit by half the lens. No door closes so far
    that it reaches the axis.
    """
    leaves, out = leaves_of(light.setting), FRAME_OF_LENS * lens.radius_m
    to_left, up = lens.pose[:3, 0], lens.pose[:3, 1]
    doors = (
        (up, leaves.top_rad),
        (-up, leaves.bottom_rad),
        (to_left, leaves.left_rad),
        (-to_left, leaves.right_rad),
    )
    low, high = -math.pi / 2.0, math.pi / 2.0
    for outward, angle in doors:
        off, ahead = leaf_edge(out, angle, REACH_OF_FRAME * out)
        share = float(outward @ right)
        if ahead <= 0.0 or abs(share) < 1e-6:
            continue
        cut = math.atan(off / (ahead * share))
        low, high = (low, min(high, cut)) if share > 0.0 else (max(low, cut), high)
    return low, high
