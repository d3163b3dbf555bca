"""How bright a light's face or a window is along a ray, and where the ray meets it."""

from __future__ import annotations

import numpy as np

from previz.geometry.gear.emitter import EmitterShape
from previz.physics import rays
from previz.physics.colour import luminance
from previz.stage.stage import Array, Emitter, Stage


def distance_m(shape: EmitterShape, starts_m: Array, ways: Array) -> Array:
    """Distance (n,) along rays to the side of a shape that shines; infinite where they miss.

    starts_m, ways  (n, 3) in the world, ways of unit length
    """
    turn = shape.pose[:3, :3]
    starts, local = (starts_m - shape.position_m) @ turn, ways @ turn
    if shape.kind == "rectangle":
        return rays.to_rectangle(starts, local, shape.width_m, shape.height_m)
    if shape.kind == "disc":
        return rays.to_disc(starts, local, shape.radius_m)
    if shape.kind == "sphere":
        return rays.to_sphere(starts, local, shape.radius_m)
    return rays.to_tube(starts, local, shape.radius_m, shape.length_m)


def luminance_cd_m2(emitter: Emitter, stage: Stage, ways: Array) -> Array:
    """Luminance (n,) seen along unit ways (n, 3) that meet the emitter.

    Of a window it is the mean of what is outside, whichever way one looks through it.
    """
    full = np.full(len(ways), float(luminance(emitter.light_before(stage.environment))))
    return full if emitter.profile is None else full * _relative(emitter, -ways)


def _relative(emitter: Emitter, leaving: Array) -> Array:
    """Luminance relative to the axis, of light that leaves along unit ways (n, 3)."""
    table = np.atleast_2d(np.asarray(emitter.profile, float))
    right, up, axis = emitter.shape.pose[:3, :3].T
    azimuths, count = table.shape
    step = np.sqrt(1.0 - np.clip(leaving @ axis, 0.0, 1.0)) * (count - 1)
    low = np.minimum(step.astype(int), count - 2)
    turn = np.arctan2(leaving @ up, -(leaving @ right)) / (2.0 * np.pi) % 1.0 * azimuths
    row = turn.astype(int) % azimuths
    after, share = (row + 1) % azimuths, turn % 1.0
    rows = (1.0 - share)[:, None] * table[row] + share[:, None] * table[after]
    each = np.arange(len(rows))
    return np.asarray(rows[each, low] + (step - low) * (rows[each, low + 1] - rows[each, low]))
