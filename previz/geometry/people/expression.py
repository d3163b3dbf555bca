"""Faces that rest, speak, listen or smile, and lids that follow the gaze."""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people import lids
from previz.geometry.people.lids import Opening
from previz.geometry.people.lips import seal
from previz.geometry.people.sockets import socket


def _both(**shares: float) -> dict[str, float]:
    """The same share on both sides."""
    return {f"{name}_{side}": share for name, share in shares.items() for side in SIDES}


SIDES = ("left", "right")
# Shares of the face's muscle actions: estimates, judged by eye on rendered faces. No face holds its
# two sides alike. Lids are a little apart in all: the base mesh has them half closed.
RECIPES: dict[str, dict[str, float]] = {
    # Awake and at ease: lids relaxed, lips just touching, corners level.
    "neutral": {
        **_both(lids_apart=0.38, brow_down=0.05),
        **_both(lip_corner_out=0.08),
        "lip_corner_up_left": 0.14,
        "lip_corner_up_right": 0.10,
        "upper_lip_in": 0.10,
        "lower_lip_in": 0.14,
    },
    # Between two syllables, the teeth's edge just to be seen.
    "talking": {
        **_both(lids_apart=0.45),
        "jaw_down": 0.15,
        "lips_rounded": 0.10,
        "lip_corner_out_left": 0.10,
        "lip_corner_out_right": 0.16,
        "upper_lip_up_left": 0.10,
        "upper_lip_up_right": 0.15,
        "lower_lip_down_left": 0.26,
        "lower_lip_down_right": 0.20,
        "inner_brows_up": 0.20,
        "outer_brow_up_left": 0.16,
        "outer_brow_up_right": 0.06,
        "cheek_up_left": 0.10,
        "cheek_up_right": 0.14,
        "lip_corner_up_left": 0.18,
        "lip_corner_up_right": 0.24,
    },
    # An open vowel with raised brows: something is being made plain.
    "explaining": {
        **_both(lids_apart=0.60, lip_corner_out=0.12),
        "jaw_down": 0.26,
        "lower_lip_down_left": 0.14,
        "lower_lip_down_right": 0.20,
        "upper_lip_up_left": 0.08,
        "upper_lip_up_right": 0.06,
        "inner_brows_up": 0.40,
        "outer_brow_up_left": 0.34,
        "outer_brow_up_right": 0.26,
        "lip_corner_up_left": 0.10,
        "lip_corner_up_right": 0.14,
    },
    # A rounded sound, brows drawn together: words are being looked for.
    "recalling": {
        **_both(lids_apart=0.25, lids_narrowed=0.22, brow_down=0.25),
        "inner_brows_up": 0.28,
        "jaw_down": 0.10,
        "lips_rounded": 0.34,
        "lips_drawn_in": 0.20,
        "lip_corner_up_left": 0.08,
        "jaw_aside_left": 0.06,
    },
    # Quiet, corners hardly up, eyes a little open.
    "listening": {
        **_both(lids_apart=0.48),
        "inner_brows_up": 0.14,
        "outer_brow_up_right": 0.08,
        "lip_corner_up_left": 0.22,
        "lip_corner_up_right": 0.27,
        **_both(lip_corner_out=0.06),
        "upper_lip_in": 0.08,
        "lower_lip_in": 0.14,
    },
    # With interest: brows up, the beginning of a smile.
    "attentive": {
        **_both(lids_apart=0.62, cheek_up=0.15),
        "inner_brows_up": 0.34,
        "outer_brow_up_left": 0.30,
        "outer_brow_up_right": 0.24,
        "lip_corner_up_left": 0.40,
        "lip_corner_up_right": 0.34,
        "lip_corner_in_right": 0.10,
    },
    # Not convinced yet: one brow down, lips pressed.
    "doubtful": {
        "lids_apart_left": 0.25,
        "lids_apart_right": 0.45,
        "lids_narrowed_left": 0.22,
        "lids_narrowed_right": 0.12,
        "brow_down_left": 0.42,
        "brow_down_right": 0.12,
        "outer_brow_up_right": 0.34,
        "lips_pressed_left": 0.30,
        "lips_pressed_right": 0.24,
        "lip_corner_down_left": 0.16,
        "lip_corner_down_right": 0.10,
        "lower_lip_pushed_up": 0.22,
    },
    # Lips together: the cheeks rise and push the lower lids up.
    "smiling": {
        **_both(lids_narrowed=0.22, lids_apart=0.25, lip_corner_out=0.10),
        "lip_corner_up_left": 0.78,
        "lip_corner_up_right": 0.70,
        "lip_corner_in_left": 0.18,
        "lip_corner_in_right": 0.22,
        "cheek_up_left": 0.60,
        "cheek_up_right": 0.55,
        "outer_brow_up_left": 0.08,
        "outer_brow_up_right": 0.06,
    },
    # Inward: lids lower, brows together, lips pressed lightly to one side.
    "thoughtful": {
        **_both(lids_apart=0.22, lids_narrowed=0.12),
        "brow_down_left": 0.26,
        "brow_down_right": 0.20,
        "inner_brows_up": 0.16,
        "mouth_aside_right": 0.12,
        "lips_pressed_left": 0.12,
        "lips_pressed_right": 0.24,
        "lip_corner_in_right": 0.18,
        "lower_lip_pushed_up": 0.18,
    },
}
SPEAKING = ("talking", "explaining", "recalling")
CLOSED = tuple(name for name in RECIPES if name not in SPEAKING)
# The turn of an eye at which the lids have followed all the way: an estimate, judged by eye.
FULL_LOOK_DEG = 30.0
# How much farther open than at rest each lid is: estimates, judged by eye. No face stares.
LIDS_OPEN_M = {
    "explaining": (0.0003, 0.0),
    "recalling": (-0.0004, -0.0002),
    "attentive": (0.0004, 0.0),
    "doubtful": (-0.0004, -0.0006),
    "smiling": (-0.0004, -0.0011),
    "thoughtful": (-0.0006, -0.0003),
}


def express(
    data: BodyData,
    vertices: Array,
    name: str,
    eye_pitch_rad: float,
    scale: float,
    opening: Opening,
    seed: int = 0,
) -> Array:
    """Vertices at rest with the face's muscles at work.

    eye_pitch_rad  of the eyes in the head, up positive; the lids follow
    scale          size of this head against the base head
    opening        of the lids of this face at rest
    """
    shares = dict(RECIPES[name])
    look = float(np.degrees(eye_pitch_rad)) / FULL_LOOK_DEG
    followed = "lids_lifted" if look > 0.0 else "lids_lowered"
    for side in SIDES:
        shares[f"{followed}_{side}"] = min(abs(look), 1.0)
    out = vertices.copy()
    for action, share in shares.items():
        direction = data.actions[action]
        out[direction.index] += scale * share * direction.move
    if name in CLOSED:
        out = seal(data, out)
    balls = socket(data, vertices, "left"), socket(data, vertices, "right")
    out = lids.opened(data, out, balls, opening.moved(*LIDS_OPEN_M.get(name, (0.0,0.0))), eye_pitch_rad)
    # The eyeballs are set by themselves; muscles must not drag them.
    for side in SIDES:
        out[data.part(f"eye_{side}")] = vertices[data.part(f"eye_{side}")]
    return out
