"""Faces that are neutral, talking or smiling, and lids that follow the gaze."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.lips import seal

# Shares of the face's muscle actions; judged by eye on rendered faces, no source.
RECIPES: dict[str, dict[str, float]] = {
    "neutral": {
        "mouthSmileLeft": 0.18,
        "mouthSmileRight": 0.18,
        "eyeWideLeft": 0.25,
        "eyeWideRight": 0.25,
    },
    "talking": {
        "jawOpen": 0.20,
        "mouthStretchLeft": 0.20,
        "mouthStretchRight": 0.20,
        "mouthUpperUpLeft": 0.22,
        "mouthUpperUpRight": 0.22,
        "mouthLowerDownLeft": 0.28,
        "mouthLowerDownRight": 0.28,
        "browInnerUp": 0.20,
        "eyeWideLeft": 0.15,
        "eyeWideRight": 0.15,
        "mouthSmileLeft": 0.08,
        "mouthSmileRight": 0.08,
    },
    "smiling": {
        "mouthSmileLeft": 0.70,
        "mouthSmileRight": 0.70,
        "mouthStretchLeft": 0.15,
        "mouthStretchRight": 0.15,
        "jawOpen": 0.02,
        "mouthLowerDownLeft": 0.06,
        "mouthLowerDownRight": 0.06,
        "cheekSquintLeft": 0.45,
        "cheekSquintRight": 0.45,
        "eyeSquintLeft": 0.15,
        "eyeSquintRight": 0.15,
        "mouthUpperUpLeft": 0.30,
        "mouthUpperUpRight": 0.30,
    },
}
# The turn of an eye at which the lid action "look" is complete, from the look of it.
FULL_LOOK_DEG = 30.0


def express(
    data: BodyData, vertices: Array, name: str, eye_pitch_rad: float, scale: float
) -> Array:
    """Vertices at rest with the face's muscles at work.

    eye_pitch_rad  of the eyes in the head, up positive; the lids follow
    scale          size of this head against the base head
    """
    shares = dict(RECIPES[name])
    look = float(np.degrees(eye_pitch_rad)) / FULL_LOOK_DEG
    kind = "eyeLookUp" if look > 0.0 else "eyeLookDown"
    for side in ("Left", "Right"):
        shares[f"{kind}{side}"] = min(abs(look), 1.0)
    out = vertices.copy()
    for action, share in shares.items():
        direction = data.actions[action]
        out[direction.index] += scale * share * direction.move
    if name == "neutral":
        out = seal(data, out)
    # The eyeballs are set by themselves; muscles must not drag them.
    for side in ("left", "right"):
        out[data.part(f"eye_{side}")] = vertices[data.part(f"eye_{side}")]
    return out
