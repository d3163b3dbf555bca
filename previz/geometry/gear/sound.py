"""Microphones: a boom over the speaker, a clip on the chest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.gear.stands import StandShape, build_stand
from previz.geometry.outlines import circle
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.primitives import lathe, loft, rod, tube
from previz.geometry.shell import Shell, Z, look_along, piece, unit


@dataclass(frozen=True, kw_only=True)
class MicrophoneShape:
    """Short shotgun microphone: `cover` is bare, foam or fur."""

    length_m: float = 0.20
    diameter_m: float = 0.021
    cover: Literal["bare", "foam", "fur"] = "foam"
    seed: int = 1


def build_microphone(mic: MicrophoneShape, tip_m: ArrayLike, aim_m: ArrayLike) -> tuple[Piece, ...]:
    """Microphone whose front end is at `tip_m` and points at `aim_m`, both (3,)."""
    tip = np.asarray(tip_m, float)
    pose = look_along(tip, np.asarray(aim_m, float) - tip)
    return moved(_microphone(mic), pose)


def _microphone(mic: MicrophoneShape) -> tuple[Piece, ...]:
    """Body along -Z from the tip at the origin, with its cover, shock mount ring and cable plug."""
    r, long = mic.diameter_m / 2, mic.length_m
    if mic.cover == "bare":
        cover = rod((0, 0, -0.6 * long), (0, 0, 0), r, sections=20)
        dressed = piece("slots", cover, "steel_black", smooth=True)
    elif mic.cover == "foam":
        bow = np.linspace(0, np.pi / 2, 9)
        nose = np.column_stack([np.cos(bow), np.sin(bow)]) * [r + 0.011, 0.16 * long]
        nose[:, 1] -= 0.16 * long
        nose[-1] = 0.0
        rear = [(r, -0.72 * long), (r + 0.007, -0.717 * long), (r + 0.01, -0.7 * long)]
        profile = np.concatenate([rear, [(r + 0.011, -0.66 * long)], nose])
        dressed = piece("foam", lathe(profile, 28), "fabric_black", smooth=True)
    else:
        dressed = piece("fur", _fur(mic), "fabric_black", colour=(0.06, 0.058, 0.055))
    body = rod((0, 0, -long), (0, 0, -0.55 * long), r, sections=20)
    plug = rod((0, 0, -long - 0.05), (0, 0, -long + 0.01), 0.0095)
    ring = np.column_stack([circle(0.034, 28), np.full(28, -0.84 * long)])
    mount = [tube(ring, 0.0035, 8, closed=True)]
    for k in range(4):
        a = np.pi / 4 + k * np.pi / 2
        out = np.array([np.cos(a), np.sin(a), 0])
        z = -0.84 * long * Z
        mount.append(rod(0.8 * r * out + z, 0.034 * out + z, 0.0018, sections=6))
    return (
        piece("microphone", body, "aluminium", smooth=True, colour=(0.06, 0.06, 0.062)),
        dressed,
        piece("shock mount", mount, "rubber_black", smooth=True),
        piece("plug", plug, "steel", smooth=True),
    )


def _fur(mic: MicrophoneShape) -> Shell:
    """Wind cover: a fat roll whose surface is tufted."""
    rng = np.random.default_rng(mic.seed)
    rows, around = 34, 40
    t = np.linspace(0, 1, rows)
    fat = 0.034 * np.sqrt(np.clip(1 - (2 * t - 1) ** 6, 0.03, 1))
    radius = fat[:, None] * (1 + 0.16 * rng.random((rows, around)))
    radius[0] = radius[-1] = mic.diameter_m / 2 + 0.001
    z = -0.74 * mic.length_m + t * 0.74 * mic.length_m
    z[-1] = -0.004
    rings = np.empty((rows, around, 3))
    rings[:, :, :2] = radius[:, :, None] * circle(1.0, around)
    rings[:, :, 2] = z[:, None]
    return loft(rings, last=(0, 0, 0))


POLE_RADIUS_M, COVER_RADIUS_M = 0.0115, 0.032
"""Of the pole's thicker section and of a foam cover."""


@dataclass(frozen=True, eq=False)
class BoomAxes:
    """Where the parts of a boom lie, each point (3,).

    tip, rear      of the microphone: its front end, and its back
    hold, cradle   where the pole holds it, and where the stand holds the pole
    tail           the pole's other end, with the counterweight
    """

    tip: Array
    rear: Array
    hold: Array
    cradle: Array
    tail: Array


def boom_axes(
    mic: MicrophoneShape, tip_m: ArrayLike, aim_m: ArrayLike, base_m: ArrayLike
) -> BoomAxes:
    """Where a boom's parts lie; the arguments are those of `build_boom_microphone`."""
    tip, base = np.asarray(tip_m, float), np.asarray(base_m, float)[:2]
    ahead = unit(np.asarray(aim_m, float) - tip)
    hold = tip - 0.84 * mic.length_m * ahead + 0.06 * Z
    cradle = np.array([base[0], base[1], max(hold[2] - 0.12, 0.6)])
    tail = cradle + 0.5 * unit(cradle - hold)
    return BoomAxes(tip, tip - mic.length_m * ahead, hold, cradle, tail)


def build_boom_microphone(
    mic: MicrophoneShape,
    tip_m: ArrayLike,
    aim_m: ArrayLike,
    base_m: ArrayLike,
    stand: StandShape | None = None,
) -> tuple[Piece, ...]:
    """Microphone on a pole that comes from a stand at `base_m` (x, y), feet on z = 0.

    The tip is at `tip_m` and points at `aim_m`, both (3,). The pole rests in a cradle on the
    stand, 0.12 m below the microphone, and reaches 0.5 m beyond it to a counterweight; the
    cable hangs along the pole. Keep the stand at least 0.6 m from the microphone.
    """
    axes = boom_axes(mic, tip_m, aim_m, base_m)
    hold, cradle, tail = axes.hold, axes.cradle, axes.tail
    head = build_microphone(mic, tip_m, aim_m)
    along = unit(cradle - hold)
    swivel = rod(hold - 0.03 * Z, hold + 0.012 * Z, 0.006)
    sections = [
        rod(hold - 0.01 * along, hold + 0.45 * (cradle - hold), 0.008, sections=14),
        rod(hold + 0.44 * (cradle - hold), tail, POLE_RADIUS_M, sections=14),
    ]
    joint = rod(hold + 0.43 * (cradle - hold), hold + 0.47 * (cradle - hold), 0.0145, sections=16)
    yoke = [
        rod(cradle - 0.05 * Z, cradle - 0.012 * Z, 0.012),
        rod(cradle - 0.03 * along, cradle + 0.03 * along, 0.0165, sections=16),
    ]
    weight = rod(tail - 0.08 * along, tail + 0.01 * along, 0.03, sections=24, bevel=0.004)
    carrier = build_stand(cradle, float(cradle[2]) - 0.045, stand or StandShape(kind="light"))
    return (
        *head,
        piece("pole", sections, "plastic_black", smooth=True),
        piece("pole joint", [joint, swivel], "aluminium", smooth=True),
        piece("cable", _coil(hold, tail), "rubber_black", smooth=True),
        piece("cradle", yoke, "steel_black", smooth=True),
        piece("counterweight", weight, "rubber_black", smooth=True),
        *carrier,
    )


def _coil(start: Array, end: Array) -> Shell:
    """Cable wound loosely round the pole."""
    length = float(np.linalg.norm(end - start))
    turns = max(2, int(length / 0.28))
    t = np.linspace(0, 1, 14 * turns + 1)
    pose = look_along(start, end - start)
    radius = 0.0155
    angle = 2 * np.pi * turns * t
    around = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    local = np.column_stack([around, length * (0.02 + 0.94 * t)])
    return tube(local @ pose[:3, :3].T + pose[:3, 3], 0.0026, 6)


def build_lavalier(at_m: ArrayLike, normal: ArrayLike) -> tuple[Piece, ...]:
    """Clip microphone on a chest: capsule, clip, and 0.12 m of cable hanging down.

    `at_m` is the point of the cloth it sits on, `normal` points away from the body, both (3,).
    Everything keeps outside the plane of the cloth.
    """
    pose = look_along(at_m, normal)
    capsule = rod((0, -0.002, 0.006), (0, 0.013, 0.006), 0.0038, sections=14, bevel=0.0008)
    grille = rod((0, 0.0125, 0.006), (0, 0.0165, 0.006), 0.0034, sections=14, bevel=0.001)
    clip = [
        rod((0, -0.012, 0.0035), (0, 0.01, 0.0035), 0.0028, sections=8),
        rod((-0.0045, 0.001, 0.006), (0.0045, 0.001, 0.006), 0.0022, sections=8),
    ]
    s = np.linspace(0, 1, 12)
    path = np.column_stack([0.006 * np.sin(3 * s), -0.002 - 0.12 * s, 0.006 - 0.0045 * np.sqrt(s)])
    return moved(
        (
            piece("capsule", capsule, "plastic_black", smooth=True),
            piece("grille", grille, "steel_black", smooth=True),
            piece("clip", clip, "steel_black", smooth=True),
            piece("lavalier cable", tube(path, 0.0011, 6), "rubber_black", smooth=True),
        ),
        pose,
    )
