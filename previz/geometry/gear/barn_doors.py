"""Barn doors: four black leaves before a light, each hinged at its own side of the front."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.primitives import extruded, loft
from previz.geometry.shell import Shell, X, Z, turn

FRAME_OF_LENS, REACH_OF_FRAME = 1.34, 1.6
"""Half the frame before a round lens against its radius; a leaf's length against that half."""
HINGE_M = 0.004
"""The hinges lie this far before the front."""
LEAF_M = 0.002
FLARE = 1.12
"""A leaf is this much wider at its end than at its hinge, so that open leaves leave no gap."""


@dataclass(frozen=True, kw_only=True)
class Leaves:
    """Angle of each leaf off the light's axis: 0 along it, pi / 2 flat, below 0 over the lens.

    Left and right are those of someone behind the light.
    """

    top_rad: float = 1.4
    bottom_rad: float = 1.4
    left_rad: float = 1.4
    right_rad: float = 1.4


WIDE_OPEN = Leaves()
"""Out of the way of any beam."""


def barn_doors(half_x: float, half_y: float, leaves: Leaves, reach: float) -> list[Shell]:
    """Leaves `reach` long round a front of half width `half_x` and half height `half_y` at z = 0.

    In the emitter's frame: +Z the way it shines, +Y up, so that +X is to the left from behind.
    """
    sides = (
        (half_x, half_y, 0.0, leaves.top_rad),
        (half_x, half_y, np.pi, leaves.bottom_rad),
        (half_y, half_x, np.pi / 2, leaves.right_rad),
        (half_y, half_x, -np.pi / 2, leaves.left_rad),
    )
    return [_leaf(wide, out, heading, angle, reach) for wide, out, heading, angle in sides]


def leaf_edge(out: float, angle_rad: float, reach: float) -> tuple[float, float]:
    """Where the free edge of a leaf lies: off the axis, and before the front.

    `out` is how far its hinge lies off the axis.
    """
    return out + reach * float(np.sin(angle_rad)), HINGE_M + reach * float(np.cos(angle_rad))


def door_plate(hole_radius: float, half: float) -> Shell:
    """The square plate that the leaves of a round front hang on: no light passes at its corners."""
    angle = np.linspace(0.0, 2.0 * np.pi, 64, endpoint=False)
    ray = np.column_stack([np.cos(angle), np.sin(angle)])
    square = half * ray / np.abs(ray).max(axis=1, keepdims=True)
    low, high = 0.0005, 0.0035
    loop = [(square, low), (square, high), (hole_radius * ray, high), (hole_radius * ray, low)]
    rings = [np.column_stack([flat, np.full(len(flat), z)]) for flat, z in loop]
    return loft(np.array(rings), closed=True)


def _leaf(half_width: float, out: float, heading: float, angle: float, reach: float) -> Shell:
    wide = half_width * 0.98
    shape = [(-wide, 0.0), (wide, 0.0), (FLARE * wide, reach), (-FLARE * wide, reach)]
    flat = extruded(shape, LEAF_M, 0.0006).shifted(y=0.003)
    # Drawn flat in the front's plane, outwards from the hinge; from there it swings forward.
    swung = flat.moved(turn(X, np.pi / 2 - angle))
    return swung.shifted(y=out, z=HINGE_M).moved(turn(Z, heading))
