"""Faces that are neutral, talking or smiling, and lids that follow the gaze."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.lips import seal

# Shares of the face's muscle actions; judged by eye on rendered faces, no source.
RECIPES: dict[str, dict[str, float]] = {
    "neutral": {
        "mouthSmileLeft": 0.27,
        "mouthSmileRight": 0.23,
        "eyeWideLeft": 0.20,
        "eyeWideRight": 0.20,
    },
    # Between two syllables: no face holds its two sides alike while it speaks.
    "talking": {
        "jawOpen": 0.15,
        "mouthFunnel": 0.14,
        "mouthStretchLeft": 0.10,
        "mouthStretchRight": 0.16,
        "mouthUpperUpLeft": 0.16,
        "mouthUpperUpRight": 0.24,
        "mouthLowerDownLeft": 0.30,
        "mouthLowerDownRight": 0.22,
        "browInnerUp": 0.28,
        "browOuterUpLeft": 0.16,
        "browOuterUpRight": 0.06,
        "cheekSquintLeft": 0.12,
        "cheekSquintRight": 0.16,
        "eyeWideLeft": 0.12,
        "eyeWideRight": 0.12,
        "mouthSmileLeft": 0.22,
        "mouthSmileRight": 0.30,
    },
    # Lips together: the cheeks rise and push the lower lids up.
    "smiling": {
        "mouthSmileLeft": 0.78,
        "mouthSmileRight": 0.70,
        "mouthDimpleLeft": 0.18,
        "mouthDimpleRight": 0.22,
        "mouthStretchLeft": 0.10,
        "mouthStretchRight": 0.10,
        "cheekSquintLeft": 0.60,
        "cheekSquintRight": 0.55,
        "eyeSquintLeft": 0.22,
        "eyeSquintRight": 0.22,
        "browOuterUpLeft": 0.08,
        "browOuterUpRight": 0.06,
    },
}
CLOSED = ("neutral", "smiling")
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
    if name in CLOSED:
        out = seal(data, out)
    # The eyeballs are set by themselves; muscles must not drag them.
    for side in ("left", "right"):
        out[data.part(f"eye_{side}")] = vertices[data.part(f"eye_{side}")]
    return out
