"""A camera on its tripod, all of it behind the plane of its lens's entrance pupil."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.outlines import chamfered, circle
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.primitives import block, box, lathe, loft, rod, tube
from previz.geometry.shell import Shell, Z, look_along, piece, shift, turn, unit

PUPIL_MARGIN_M = 0.005
"""The front of the gear lies this far behind the entrance pupil, so that it never cuts a ray."""
HEAD_M = 0.15
"""From the crown of the tripod to the camera's base plate."""


@dataclass(frozen=True, kw_only=True)
class CameraShape:
    """Cinema camera of middle size; the lens barrel has the length and diameter given."""

    lens_length_m: float = 0.14
    lens_diameter_m: float = 0.095
    body_width_m: float = 0.13
    body_height_m: float = 0.13
    body_depth_m: float = 0.17
    matte_box: bool = True
    monitor: bool = True


@dataclass(frozen=True, kw_only=True)
class TripodShape:
    """Three-legged tripod; `footprint_m` None spreads the legs to 0.42 of the crown's height.

    That spread (legs 23 degrees from upright) is common practice, no source.
    """

    footprint_m: float | None = None
    turn_rad: float = np.pi / 2
    """Direction of the first leg from the camera's right-hand side, seen from above."""


def build_camera(
    camera: CameraShape,
    pupil_m: ArrayLike,
    aim_m: ArrayLike,
    tripod: TripodShape | None = None,
) -> tuple[Piece, ...]:
    """Camera whose entrance pupil is at `pupil_m` and looks at `aim_m`, both (3,), upright.

    Nothing of the camera itself lies ahead of the pupil. With a tripod the feet are on z = 0; a
    lens lower than about 0.5 m gets a low plate instead of legs, and below 0.3 m nothing.
    """
    pupil = np.asarray(pupil_m, float)
    pose = look_along(pupil, np.asarray(aim_m, float) - pupil)
    on_lens = shift(z=-PUPIL_MARGIN_M)
    parts = moved(_on_its_own(camera), pose @ on_lens)
    if tripod is None:
        return parts
    return (*parts, *_support(camera, tripod, pose @ on_lens))


@lru_cache(maxsize=32)
def _on_its_own(camera: CameraShape) -> tuple[Piece, ...]:
    """Lens and body in their own frame: a camera that is moved about keeps them."""
    return (*_lens(camera), *_body(camera))


def _lens(c: CameraShape) -> tuple[Piece, ...]:
    """Barrel with its rings, front glass; the front edge at z = 0, looking along +Z."""
    r, long = c.lens_diameter_m / 2, c.lens_length_m
    outer = [(0.72 * r, -long), (0.72 * r, -long * 0.9), (0.9 * r, -long * 0.82)]
    outer += [(0.9 * r, -long * 0.3), (r, -long * 0.24), (r, -0.001), (r - 0.001, 0.0)]
    inner = [(r - 0.003, 0.0), (0.86 * r, -0.14 * long), (0.8 * r, -0.15 * long)]
    barrel = lathe([*outer, *inner, (0.8 * r, -0.2 * long), (0.0, -0.2 * long)], 40)
    rings = [_geared_ring(0.9 * r, -long * a, 0.011) for a in (0.72, 0.56, 0.4)]
    s = np.linspace(1, 0, 6)
    dome = np.column_stack([0.8 * r * s, -0.15 * long + 0.05 * long * (1 - s**2)])
    glass = lathe([(0.8 * r, -0.2 * long), *dome], 40)
    return (
        piece("lens barrel", barrel, "aluminium", colour=(0.022, 0.022, 0.024)),
        piece("lens rings", rings, "plastic_black"),
        piece("front glass", glass, "plastic_black", smooth=True, colour=(0.006, 0.008, 0.014)),
    )


def _geared_ring(radius: float, z: float, width: float) -> Shell:
    """Follow-focus ring: a toothed hoop round the barrel."""
    teeth = 60
    wave = radius + 0.0035 + 0.001 * np.where(np.arange(2 * teeth) % 2, 1.0, -1.0)
    around = circle(1.0, 2 * teeth)
    inner = np.column_stack([around * (radius - 0.002), np.zeros(2 * teeth)])
    outer = np.column_stack([around * wave[:, None], np.zeros(2 * teeth)])
    low, high = z - width / 2, z + width / 2
    return loft([inner + low * Z, outer + low * Z, outer + high * Z, inner + high * Z], closed=True)


def _body(c: CameraShape) -> tuple[Piece, ...]:
    """Body, handle, battery, monitor, rods, matte box; the lens mount at z = -lens length."""
    w, h, d, front = c.body_width_m / 2, c.body_height_m / 2, c.body_depth_m, -c.lens_length_m
    shell = [box((-w, -h, front - d), (w, h, front - 0.008), 0.006)]
    shell.append(
        box((-w - 0.007, -0.7 * h, front - 0.9 * d), (-w + 0.002, 0.5 * h, front - 0.35 * d))
    )
    mount = lathe(
        [(0.031, front - 0.012), (0.036, front - 0.012), (0.036, front - 0.002), (0.031, front)], 32
    )
    battery = box(
        (-0.75 * w, -0.8 * h, front - d - 0.055), (0.75 * w, 0.75 * h, front - d + 0.002), 0.005
    )
    vents = [
        box(
            (w - 0.001, -0.5 * h + k * 0.012, front - 0.8 * d),
            (w + 0.0015, -0.5 * h + k * 0.012 + 0.005, front - 0.3 * d),
            0.0006,
        )
        for k in range(6)
    ]
    bar_y = h + 0.06
    handle = tube(
        [(0, h - 0.004, front - 0.03), (0, bar_y, front - 0.045), (0, bar_y, front - d + 0.01)],
        0.012,
        12,
    )
    pieces = [
        piece("camera body", shell, "plastic_black", colour=(0.028, 0.028, 0.03)),
        piece("lens mount", mount, "steel", smooth=True),
        piece("battery", battery, "plastic_black"),
        piece("vents", vents, "aluminium"),
        piece("handle", handle, "rubber_black", smooth=True),
    ]
    rod_y = -h - 0.028
    plate = box((-0.05, -h - 0.045, front - d), (0.05, -h + 0.002, front - 0.01), 0.003)
    rods = [
        rod((s * 0.03, rod_y, front - d - 0.02), (s * 0.03, rod_y, -0.03), 0.0075) for s in (-1, 1)
    ]
    pieces.append(piece("base plate", plate, "aluminium", colour=(0.05, 0.05, 0.052)))
    pieces.append(piece("rods", rods, "steel", smooth=True))
    if c.monitor:
        pieces += _side_monitor(w, h, front - 0.05)
    if c.matte_box:
        pieces += _matte_box(c, rod_y)
    return tuple(pieces)


def _side_monitor(w: float, h: float, z: float) -> list[Piece]:
    """Small screen over the body, turned to whoever stands behind."""
    arm = tube([(w * 0.6, h - 0.004, z), (w * 0.6, h + 0.04, z), (w + 0.05, h + 0.08, z)], 0.006, 8)
    case = block((0.14, 0.088, 0.018), (w + 0.06, h + 0.09, z), 0.003)
    screen = box((w - 0.004, h + 0.051, z - 0.0098), (w + 0.124, h + 0.129, z - 0.0085), 0.0004)
    return [
        piece("monitor arm", arm, "steel_black", smooth=True),
        piece("monitor", case, "plastic_black"),
        piece("monitor screen", screen, "plastic_black", colour=(0.012, 0.014, 0.018)),
    ]


def _matte_box(c: CameraShape, rod_y: float) -> list[Piece]:
    """Hood round the lens's front, open ahead and behind, carried by the rods."""
    r = c.lens_diameter_m / 2
    wide, tall, deep = 2.9 * r, 2.3 * r, min(0.075, 0.45 * c.lens_length_m)
    near, far = chamfered(2.15 * r, 2.15 * r, 0.004), chamfered(wide, tall, 0.004)
    stages = [(near * 1.06, -deep), (far, -0.012), (far, 0.0), (far * 0.97, 0.0)]
    stages.append((near, -deep))
    hood = loft([np.column_stack([flat, np.full(8, z)]) for flat, z in stages], closed=True)
    low = box((-0.045, rod_y - 0.012, -0.06), (0.045, rod_y + 0.012, -0.045), 0.002)
    post = box((-0.02, rod_y, -0.058), (0.02, -1.07 * r + 0.004, -0.047), 0.002)
    return [
        piece("matte box", hood, "plastic_black"),
        piece("matte box bracket", [low, post], "aluminium", colour=(0.05, 0.05, 0.052)),
    ]


def _support(c: CameraShape, tripod: TripodShape, pose: Array) -> tuple[Piece, ...]:
    """Fluid head under the base plate and the tripod under it, in the world."""
    balance = -c.lens_length_m - 0.4 * c.body_depth_m
    plate = pose[:3, :3] @ [0, -c.body_height_m / 2 - 0.045, balance] + pose[:3, 3]
    right = pose[:3, 0]
    ahead = np.cross(right, Z)
    up = pose[:3, 1]
    pivot = plate - 0.035 * up
    crown = pivot - (HEAD_M - 0.035) * Z
    frame = np.eye(4)
    frame[:3, :3] = np.column_stack([right, up, np.cross(right, up)])
    frame[:3, 3] = plate
    cradle = block((0.07, 0.03, 0.14), (0, -0.015, 0), 0.003).moved(frame)
    drag = [rod(pivot - 0.055 * right, pivot + 0.055 * right, 0.036, sections=28, bevel=0.004)]
    drag.append(rod(crown, pivot, 0.045, 0.036, sections=28, bevel=0.003))
    grip_start = pivot - 0.05 * right
    grip_end = grip_start - 0.4 * ahead - 0.14 * Z - 0.06 * right
    along = unit(grip_end - grip_start)
    bar = rod(grip_start, grip_end, 0.008)
    grip = rod(grip_end - 0.13 * along, grip_end + 0.004 * along, 0.015, 0.017, sections=16)
    heading = float(np.arctan2(right[1], right[0])) + tripod.turn_rad
    if crown[2] < 0.02:
        return ()
    legs = _low_plate(crown) if crown[2] < 0.25 else None
    return (
        piece("head cradle", cradle, "aluminium", colour=(0.05, 0.05, 0.052)),
        piece("fluid head", drag, "plastic_black", smooth=True),
        piece("pan bar", bar, "aluminium", smooth=True),
        piece("pan bar grip", grip, "rubber_black", smooth=True),
        *(legs or build_tripod(crown, heading, tripod.footprint_m)),
    )


def _low_plate(crown: Array) -> tuple[Piece, ...]:
    """Board on the floor with a bowl on it, for shots from low down."""
    high = float(crown[2])
    board = box((-0.19, -0.19, 0), (0.19, 0.19, 0.018), 0.002)
    bowl = lathe([(0.1, 0.016), (0.1, 0.022), (0.062, high - 0.004), (0.06, high)], 32)
    parts = piece("low plate", board, "plywood"), piece("tripod bowl", bowl, "aluminium")
    return moved(parts, shift(float(crown[0]), float(crown[1])))


def build_tripod(
    crown_m: ArrayLike, heading_rad: float = 0.0, footprint_m: float | None = None
) -> tuple[Piece, ...]:
    """Legs in two stages under a bowl whose top is at `crown_m`, with a spreader half-way.

    `footprint_m` is the radius to the outer edge of the feet, on z = 0.
    """
    x, y, height = (float(v) for v in np.asarray(crown_m, float))
    reach = 0.42 * height + 0.06 if footprint_m is None else footprint_m
    upper, lower, locks, feet, spread = [], [], [], [], []
    shoulder = height - 0.045
    for k in range(3):
        out = np.array(
            [np.cos(heading_rad + 2 * np.pi * k / 3), np.sin(heading_rad + 2 * np.pi * k / 3), 0]
        )
        side = np.cross(Z, out)
        hinge, tip = 0.06 * out + shoulder * Z, (reach - 0.022) * out + 0.02 * Z
        knee = hinge + 0.54 * (tip - hinge)
        ahead = unit(tip - hinge)
        for s in (-0.022, 0.022):
            upper.append(rod(hinge + s * side, knee + 0.02 * ahead + s * side, 0.0115))
        lower.append(rod(knee - 0.12 * ahead, tip, 0.0125))
        lean = look_along(knee, ahead)
        locks.append(block((0.075, 0.034, 0.05), bevel=0.005).moved(lean))
        feet.append(_foot(reach).moved(turn(Z, float(np.arctan2(out[1], out[0])))))
        spread.append(rod(0.018 * out + (knee[2] - 0.05) * Z, knee + 0.04 * ahead, 0.007))
    spread.append(rod((0, 0, knee[2] - 0.065), (0, 0, knee[2] - 0.035), 0.028, sections=20))
    bowl = [(0.05, shoulder - 0.05), (0.062, shoulder - 0.03), (0.066, height - 0.006)]
    bowl += [(0.064, height)]
    parts = (
        piece("tripod bowl", lathe(bowl, 32), "aluminium", smooth=True, colour=(0.05, 0.05, 0.052)),
        piece("tripod tubes", upper, "plastic_black", smooth=True),
        piece("tripod lower tubes", lower, "aluminium", smooth=True),
        piece("tripod locks", locks, "plastic_black"),
        piece("spreader", spread, "plastic_black", smooth=True),
        piece("tripod feet", feet, "rubber_black", smooth=True),
    )
    return moved(parts, shift(x, y))


def _foot(reach: float) -> Shell:
    profile = [(0.019, 0), (0.021, 0.002), (0.02, 0.016), (0.013, 0.034)]
    return lathe(profile, 16).shifted(x=reach - 0.021)
