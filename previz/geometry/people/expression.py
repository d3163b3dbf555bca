"""Faces that rest, speak, listen or smile, and lids that follow the gaze."""

from __future__ import annotations

import numpy as np

from previz.geometry.people import lids
from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.lids import Opening
from previz.geometry.people.lips import corners_over_seam, seal
from previz.geometry.people.sockets import socket

SIDES = ("left", "right")


def _both(**shares: float) -> dict[str, float]:
    """The same share on both sides."""
    return {f"{name}_{side}": share for name, share in shares.items() for side in SIDES}


# Shares of the face's muscle actions: estimates, judged by eye on rendered faces. No face holds its
# two sides alike; which is which differs from person to person. Lids are a little apart in all:
# the base mesh has them half closed. How far they are is said by `LIDS_OPEN_M`, and how high the
# corners of the mouth are by `CORNERS_M`, for shares alone do not say it on every face.
RECIPES: dict[str, dict[str, float]] = {
    # Awake and at ease: lips just touching.
    "neutral": {**_both(lids_apart=0.38, lip_corner_out=0.06), "lower_lip_in": 0.06},
    # Between two syllables, the teeth's edge just to be seen; `SYLLABLES` move the mouth.
    "talking": {
        **_both(lids_apart=0.38),
        "outer_brow_up_left": 0.04,
        "cheek_up_left": 0.10,
        "cheek_up_right": 0.14,
    },
    # An open vowel with the brows a little up: something is being made plain.
    "explaining": {
        **_both(lids_apart=0.45, lip_corner_out=0.10),
        "jaw_down": 0.135,
        "lower_lip_down_left": 0.12,
        "lower_lip_down_right": 0.18,
        "upper_lip_up_left": 0.08,
        "upper_lip_up_right": 0.06,
        "inner_brows_up": 0.10,
        "outer_brow_up_left": 0.16,
        "outer_brow_up_right": 0.10,
        **_both(cheek_up=0.10),
    },
    # A rounded sound, brows drawn together: words are being looked for.
    "recalling": {
        **_both(lids_apart=0.30, lids_narrowed=0.12, brow_down=0.16),
        "inner_brows_up": 0.08,
        "jaw_down": 0.075,
        "lips_rounded": 0.22,
        "lips_drawn_in": 0.14,
        "jaw_aside_left": 0.05,
    },
    # Quiet, eyes open.
    "listening": {
        **_both(lids_apart=0.40, lip_corner_out=0.06),
        "inner_brows_up": 0.04,
        "outer_brow_up_right": 0.06,
        "lower_lip_in": 0.06,
    },
    # With interest: brows up, the beginning of a smile.
    "attentive": {
        **_both(lids_apart=0.48, cheek_up=0.15),
        "inner_brows_up": 0.10,
        "outer_brow_up_left": 0.18,
        "outer_brow_up_right": 0.13,
    },
    # Not convinced yet: one brow down, lips pressed.
    "doubtful": {
        **_both(lids_apart=0.30),
        "lids_narrowed_left": 0.16,
        "lids_narrowed_right": 0.08,
        "brow_down_left": 0.28,
        "brow_down_right": 0.10,
        "outer_brow_up_right": 0.20,
        "lips_pressed_left": 0.22,
        "lips_pressed_right": 0.18,
        "lower_lip_pushed_up": 0.12,
    },
    # Lips together: the cheeks rise and push the lower lids up.
    "smiling": {
        **_both(lids_narrowed=0.20, lids_apart=0.25, lip_corner_out=0.06),
        "lip_corner_in_left": 0.12,
        "lip_corner_in_right": 0.14,
        "cheek_up_left": 0.50,
        "cheek_up_right": 0.46,
        "outer_brow_up_left": 0.05,
    },
    # Inward: lids lower, lips pressed lightly to one side.
    "thoughtful": {
        **_both(lids_apart=0.30, lids_narrowed=0.06),
        "brow_down_left": 0.14,
        "brow_down_right": 0.10,
        "mouth_aside_right": 0.07,
        "lips_pressed_left": 0.10,
        "lips_pressed_right": 0.18,
        "lower_lip_pushed_up": 0.08,
    },
}
# What the mouth of somebody who talks is about to say, by seed: ah, e, or nearly closed. Estimates,
# judged by eye.
SYLLABLES: tuple[dict[str, float], ...] = (
    {
        "jaw_down": 0.125,
        "lips_rounded": 0.08,
        **_both(lip_corner_out=0.06, upper_lip_up=0.10),
        "lower_lip_down_left": 0.18,
        "lower_lip_down_right": 0.14,
    },
    {
        "jaw_down": 0.075,
        **_both(lip_corner_out=0.22, upper_lip_up=0.12),
        "lower_lip_down_left": 0.26,
        "lower_lip_down_right": 0.32,
    },
    {"jaw_down": 0.09, "lips_rounded": 0.06, **_both(lip_corner_out=0.06, upper_lip_up=0.05)},
)
SPEAKING = ("talking", "explaining", "recalling")
CLOSED = tuple(name for name in RECIPES if name not in SPEAKING)
# How much farther open than at rest each lid is: estimates, judged by eye. No face stares.
LIDS_OPEN_M = {
    "neutral": (0.0, 0.0),
    "talking": (0.0, 0.0),
    "explaining": (0.0003, 0.0),
    "recalling": (-0.0004, -0.0002),
    "listening": (0.0, 0.0),
    "attentive": (0.0004, 0.0),
    "doubtful": (-0.0004, -0.0006),
    "smiling": (-0.0006, -0.0010),
    "thoughtful": (-0.0006, -0.0003),
}
# How high the corners of the mouth lie over the line where lips meet, or over the upper lip's edge:
# level at about 0.0012, lower when they are parted. Estimates, judged by eye.
CORNERS_M = {
    "neutral": 0.0019,
    "talking": 0.0002,
    "explaining": -0.0004,
    "recalling": -0.0002,
    "listening": 0.0022,
    "attentive": 0.0030,
    "doubtful": 0.0011,
    "smiling": 0.0062,
    "thoughtful": 0.0015,
}
# Estimates, judged by eye: how much higher than that one corner is and the other lower, as a share,
# and the sums of both sides' shares at which cheeks and brows fold the skin all the way.
LOPSIDED = 0.06
SMILING_CHEEKS, RAISED_BROWS = 0.96, 0.31
# The turn of an eye at which the lids have followed all the way: an estimate, judged by eye.
FULL_LOOK_DEG = 30.0


def express(
    data: BodyData,
    vertices: Array,
    name: str,
    eye_pitch_rad: float,
    scale: float,
    opening: Opening,
    seed: int = 1,
) -> Array:
    """Vertices at rest with the face's muscles at work.

    eye_pitch_rad  of the eyes in the head, up positive; the lids follow
    scale          size of this head against the base head
    opening        of the lids of this face at rest
    seed           which side does more, and what is being said
    """
    look = float(np.degrees(eye_pitch_rad)) / FULL_LOOK_DEG
    followed = "lids_lifted" if look > 0.0 else "lids_lowered"
    shares = recipe(name, seed) | {f"{followed}_{side}": min(abs(look), 1.0) for side in SIDES}
    out = vertices.copy()
    for action, share in shares.items():
        _act(data, out, action, scale * share)
    closed = name in CLOSED
    out = seal(data, out) if closed else out
    _set_corners(data, out, name, scale, seed)
    out = seal(data, out) if closed else out
    balls = socket(data, vertices, "left"), socket(data, vertices, "right")
    out = lids.opened(data, out, balls, opening.moved(*LIDS_OPEN_M[name]), eye_pitch_rad)
    # The eyeballs are set by themselves; muscles must not drag them.
    for side in SIDES:
        out[data.part(f"eye_{side}")] = vertices[data.part(f"eye_{side}")]
    return out


def recipe(name: str, seed: int) -> dict[str, float]:
    """Shares of the muscles' actions in one person's face."""
    shares = dict(RECIPES[name])
    if name == "talking":
        shares |= SYLLABLES[seed % len(SYLLABLES)]
    return {_swapped(action, seed): share for action, share in shares.items()}


def folds(name: str, seed: int) -> tuple[int, int]:
    """How far a face presses its skin into folds, in per cent of a smile's cheeks and of brows
    that are raised as far as in any expression."""
    shares = recipe(name, seed)
    cheeks = sum(shares.get(f"cheek_up_{side}", 0.0) for side in SIDES)
    brows = sum(shares.get(f"outer_brow_up_{side}", 0.0) for side in SIDES)
    return round(100.0 * cheeks / SMILING_CHEEKS), round(100.0 * brows / RAISED_BROWS)


def _swapped(action: str, seed: int) -> str:
    """The action, or that of the other side in every second person."""
    for side, other in (SIDES, SIDES[::-1]):
        if seed % 2 and action.endswith(f"_{side}"):
            return action.removesuffix(side) + other
    return action


def _act(data: BodyData, out: Array, action: str, share: float) -> None:
    direction = data.actions[action]
    out[direction.index] += share * direction.move


def _set_corners(data: BodyData, out: Array, name: str, scale: float, seed: int) -> None:
    """Raise or lower the corners of the mouth, in place, to where the expression has them."""
    more = LOPSIDED if seed % 2 else -LOPSIDED
    # Twice, for a corner that is raised draws at the other.
    parted = name in SPEAKING
    wish_m = scale * CORNERS_M[name]
    for side, uneven in (*zip(SIDES, (more, -more), strict=True),) * 2:
        lack = wish_m + abs(wish_m) * uneven - corners_over_seam(data, out, parted)[side]
        action = f"lip_corner_{'up' if lack > 0.0 else 'down'}_{side}"
        tried = out.copy()
        _act(data, tried, action, scale)
        gain = corners_over_seam(data, tried, parted)[side]
        gain -= corners_over_seam(data, out, parted)[side]
        _act(data, out, action, scale * lack / gain)
