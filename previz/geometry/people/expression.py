"""Faces that are neutral, talking or smiling, and lids that follow the gaze."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.lips import seal

# Shares of the face's muscle actions: estimates, judged by eye on rendered faces.
RECIPES: dict[str, dict[str, float]] = {
    "neutral": {
        "lip_corner_up_left": 0.27,
        "lip_corner_up_right": 0.23,
        "lids_apart_left": 0.42,
        "lids_apart_right": 0.42,
    },
    # Between two syllables: no face holds its two sides alike while it speaks.
    "talking": {
        "jaw_down": 0.12,
        "lips_rounded": 0.14,
        "lip_corner_out_left": 0.10,
        "lip_corner_out_right": 0.16,
        "upper_lip_up_left": 0.24,
        "upper_lip_up_right": 0.32,
        "lower_lip_down_left": 0.26,
        "lower_lip_down_right": 0.22,
        "inner_brows_up": 0.28,
        "outer_brow_up_left": 0.16,
        "outer_brow_up_right": 0.06,
        "cheek_up_left": 0.12,
        "cheek_up_right": 0.16,
        "lids_apart_left": 0.48,
        "lids_apart_right": 0.48,
        "lip_corner_up_left": 0.22,
        "lip_corner_up_right": 0.30,
    },
    # Lips together: the cheeks rise and push the lower lids up.
    "smiling": {
        "lip_corner_up_left": 0.78,
        "lip_corner_up_right": 0.70,
        "lip_corner_in_left": 0.18,
        "lip_corner_in_right": 0.22,
        "lip_corner_out_left": 0.10,
        "lip_corner_out_right": 0.10,
        "cheek_up_left": 0.60,
        "cheek_up_right": 0.55,
        "lids_narrowed_left": 0.22,
        "lids_narrowed_right": 0.22,
        "lids_apart_left": 0.25,
        "lids_apart_right": 0.25,
        "outer_brow_up_left": 0.08,
        "outer_brow_up_right": 0.06,
    },
}
CLOSED = ("neutral", "smiling")
# The turn of an eye at which the lids have followed all the way: an estimate, judged by eye.
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
    lids = "lids_lifted" if look > 0.0 else "lids_lowered"
    for side in ("left", "right"):
        shares[f"{lids}_{side}"] = min(abs(look), 1.0)
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
