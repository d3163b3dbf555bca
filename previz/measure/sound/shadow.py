"""Whether a light's way to the face crosses the boom: its pole, or the microphone."""

from __future__ import annotations

import numpy as np

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.gear.sound import COVER_RADIUS_M, POLE_RADIUS_M
from previz.physics.rays import between_segments
from previz.stage.placed import StageBoom
from previz.stage.stage import Array, Stage, StagePerson

ACROSS = np.linspace(-1.0, 1.0, 7)
"""Places across a light's face and a person's, seven by seven."""
FACE_M = (0.09, 0.13)
"""Half of a face across and from brow to chin: an estimate."""


def shadows_of(stage: Stage, boom: StageBoom) -> dict[str, float]:
    """By light that is on, and by window: per cent of its face that the boom hides from the place
    on the person's face that loses most. 100 is a full shadow; a soft light has less.
    """
    face = _face_points(stage.people[boom.over])
    found: dict[str, float] = {}
    for emitter in stage.emitters:
        if emitter.lit:
            hidden = _hidden_pct(face, _points_of(emitter.shape), boom)
            found[emitter.layer] = max(hidden, found.get(emitter.layer, 0.0))
    return found


def _hidden_pct(face: Array, light: Array, boom: StageBoom) -> float:
    starts = np.repeat(face, len(light), axis=0)
    ends = np.tile(light, (len(face), 1))
    axes = boom.axes
    hidden = between_segments(starts, ends, axes.hold, axes.tail) < POLE_RADIUS_M
    hidden |= between_segments(starts, ends, axes.tip, axes.rear) < COVER_RADIUS_M
    return 100.0 * float(hidden.reshape(len(face), len(light)).mean(axis=1).max())


def _face_points(person: StagePerson) -> Array:
    """Places on a plane before the face, (49, 3)."""
    up = np.array([0.0, 0.0, 1.0])
    side = np.cross(up, person.face_forward)
    middle = 0.5 * (person.landmarks["eyes"] + person.landmarks["mouth"])
    return _grid(middle, FACE_M[0] * side / np.linalg.norm(side), FACE_M[1] * up)


def _points_of(shape: EmitterShape) -> Array:
    """Places on a light's face, or across its middle where it shines all round, (49, 3)."""
    wide, tall = {
        "rectangle": (shape.width_m / 2.0, shape.height_m / 2.0),
        "cylinder": (shape.radius_m, shape.length_m / 2.0),
    }.get(shape.kind, (shape.radius_m, shape.radius_m))
    return _grid(shape.position_m, wide * shape.pose[:3, 0], tall * shape.pose[:3, 1])


def _grid(middle: Array, across: Array, up: Array) -> Array:
    x, y = np.meshgrid(ACROSS, ACROSS)
    return np.asarray(middle + x.reshape(-1, 1) * across + y.reshape(-1, 1) * up)
