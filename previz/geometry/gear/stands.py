"""What carries the gear: light stands, turtle-base stands with an arm, booms, sand bags."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import lathe, pillow, plank, rod, tube
from previz.geometry.shell import Shell, X, Z, piece, shift, turn, unit

LOWEST_M = 0.18


@dataclass(frozen=True, kw_only=True)
class StandShape:
    """A stand: three legs within `footprint_m` of the column, which rises to what it carries.

    kind         light    tube legs with braces, telescoping column
                 turtle   low bent legs, bare column (as on stands with a grip head and arm)
                 boom     a light stand off to the side and an arm of `boom_m` with a counterweight
    footprint_m  radius from the column to the tip of a foot
    turn_rad     direction of the first leg, from +X, counter-clockwise
    boom_from_rad  for a boom: direction from the head to its stand, seen from above
    sandbag      a bag draped over the first leg
    """

    kind: Literal["light", "turtle", "boom"] = "light"
    footprint_m: float = 0.50
    turn_rad: float = 0.5
    boom_m: float = 1.6
    boom_from_rad: float = 0.0
    sandbag: bool = False


def _round(angle: float) -> Array:
    return np.array([np.cos(angle), np.sin(angle), 0.0])


def _knob(at: Array, out: Array) -> Shell:
    """Clamping knob of a column joint, standing off along `out`."""
    return rod(at, at + 0.045 * out, 0.012, 0.016, sections=10, bevel=0.002)


@lru_cache(maxsize=32)
def _light_legs(
    reach: float, high: float, heading: float
) -> tuple[tuple[Shell, ...], tuple[Shell, ...]]:
    """Tube legs from a collar at `high` with braces from a lower one; and their rubber feet."""
    low = min(0.12, 0.4 * high)
    legs, feet = [rod((0, 0, low - 0.03), (0, 0, low + 0.03), 0.026)], []
    legs.append(rod((0, 0, high - 0.035), (0, 0, high + 0.035), 0.026))
    for k in range(3):
        out = _round(heading + 2 * np.pi * k / 3)
        hinge, tip = 0.03 * out + high * Z, (reach - 0.012) * out + 0.012 * Z
        ahead = unit(tip - hinge)
        legs.append(rod(hinge - 0.02 * ahead, tip, 0.011))
        half = hinge + 0.52 * (tip - hinge)
        legs.append(plank(0.028 * out + low * Z, half, 0.016, 0.005, 0.001))
        feet.append(_foot(tip, reach))
    return tuple(legs), tuple(feet)


def _foot(tip: Array, reach: float) -> Shell:
    """Rubber foot whose sole is on the floor and whose edge is `reach` from the column."""
    r = 0.0125
    profile = [(0.0105, 0), (r, 0.002), (r, 0.02), (0.011, 0.023)]
    centre = tip / np.hypot(tip[0], tip[1]) * (reach - r)
    return (
        lathe(profile, 12)
        .moved(turn(Z, float(np.arctan2(tip[1], tip[0]))))
        .shifted(float(centre[0]), float(centre[1]))
    )


def _turtle_legs(
    reach: float, top: float, heading: float
) -> tuple[tuple[Shell, ...], tuple[Shell, ...]]:
    """Legs that leave the column at staggered heights, run level and bend to the floor."""
    low = min(1.0, top / 0.5)
    legs, feet = [rod((0, 0, 0.09 * low), (0, 0, 0.3 * low), 0.024)], []
    for k in range(3):
        out = _round(heading + 2 * np.pi * k / 3)
        start = (0.25 - 0.055 * k) * low
        path = [0.015 * out + start * Z, 0.45 * reach * out + start * Z]
        bend = (0.45 * reach + 0.06) * out + (start - 0.02 * low) * Z
        tip = (reach - 0.012) * out + 0.014 * Z
        legs.append(tube([*path, bend, tip], 0.0125, 12))
        feet.append(_foot(tip, reach))
    return tuple(legs), tuple(feet)


def _column(low: float, top: float) -> tuple[list[Shell], list[Shell], Shell]:
    """Telescoping sections, joints with knobs, and the spigot that ends exactly at `top`."""
    spigot_foot = top - 0.055
    lengths = np.array([0.42, 0.32, 0.26])
    ends = low + np.cumsum(lengths) * (spigot_foot - low)
    tubes, joints, start = [], [], low
    for k, end in enumerate(ends):
        tubes.append(rod((0, 0, start), (0, 0, end), 0.0175 - 0.0035 * k, sections=16))
        if k < 2:
            joints.append(rod((0, 0, end - 0.03), (0, 0, end + 0.012), 0.0225 - 0.0035 * k))
            joints.append(_knob(end * Z - 0.01 * Z + 0.015 * X, X))
        start = float(end) - 0.01
    return tubes, joints, rod((0, 0, spigot_foot - 0.01), (0, 0, top), 0.008)


def build_stand(at_m: ArrayLike, top_m: float, shape: StandShape) -> tuple[Piece, ...]:
    """Stand with its column over `at_m` (x, y, ...) and its spigot's end at height `top_m`.

    What is carried lower than `LOWEST_M` lies on the floor and gets no stand. A boom's stand is
    built by `build_boom`, which calls this.
    """
    if top_m < LOWEST_M:
        return ()
    if shape.kind == "turtle":
        legs, feet = _turtle_legs(shape.footprint_m, top_m, shape.turn_rad)
        low, metal = min(0.1, 0.2 * top_m), "steel"
    else:
        # Legs of a column that is high enough do not hang on its height.
        high = min(0.75 * shape.footprint_m + 0.16, 0.7 * top_m)
        legs, feet = _light_legs(shape.footprint_m, high, shape.turn_rad)
        low, metal = min(0.05, 0.2 * top_m), "steel_black"
    tubes, joints, spigot = _column(low, top_m)
    x, y = (float(v) for v in np.asarray(at_m, float)[:2])
    pieces = [
        piece("stand legs", legs, metal, smooth=True),
        piece("stand column", tubes, metal, smooth=True),
        piece("stand joints", joints, "plastic_black", smooth=True),
        piece("stand spigot", spigot, "steel", smooth=True),
        piece("stand feet", feet, "rubber_black", smooth=True),
    ]
    if shape.sandbag:
        pieces += _sandbag_on_leg(shape.footprint_m, shape.turn_rad)
    return tuple(p.moved(shift(x, y)) for p in pieces)


def build_boom(mount_m: ArrayLike, shape: StandShape) -> tuple[Piece, ...]:
    """Arm that ends over `mount_m` (3,), its stand to the side, its counterweight beyond.

    The arm falls 12 degrees towards the stand, so that the head hangs free of it. The weight
    ends a third of `boom_m` behind the stand.
    """
    mount = np.asarray(mount_m, float)
    out = _round(shape.boom_from_rad)
    fall = float(np.tan(np.radians(12)))
    along = unit(out - fall * Z)
    slant = shape.boom_m / float(np.hypot(1, 0) * along @ out)
    start = mount + 0.03 * Z
    pivot, end = start + slant * along, start + 1.33 * slant * along
    stand = build_stand(pivot, float(pivot[2]) - 0.03, shape)
    side = unit(np.cross(out, Z))
    weight = [rod(end - 0.16 * along, end - 0.02 * along, 0.055, sections=24, bevel=0.006)]
    clamp = [
        rod(pivot - 0.05 * side, pivot + 0.05 * side, 0.032, sections=20, bevel=0.003),
        rod(pivot - 0.06 * Z, pivot, 0.02),
        rod(start - 0.034 * Z, start + 0.014 * Z, 0.016),
    ]
    arm = rod(start - 0.02 * along, end, 0.0125, sections=16)
    return (
        *stand,
        piece("boom arm", arm, "steel_black", smooth=True),
        piece("boom clamp", clamp, "plastic_black", smooth=True),
        piece("counterweight", weight, "cast_iron", smooth=True),
    )


@lru_cache(maxsize=32)
def _sandbag_on_leg(reach: float, heading: float) -> tuple[Piece, ...]:
    return sandbag_over(reach * 0.55 * _round(heading), heading)


def sandbag_over(at_m: ArrayLike, heading_rad: float) -> tuple[Piece, ...]:
    """Saddle bag across a low leg that runs along `heading_rad`: two full halves and a strap."""
    halves = []
    for side in (-1, 1):
        half = pillow((0.3, 0.18, 0.13), 5.0, 2.8).moved(turn(X, side * 0.45))
        lowest = float(half.vertices[:, 2].min())
        halves.append(half.shifted(y=side * 0.1, z=-lowest))
    s = np.linspace(-1, 1, 9)
    saddle = np.column_stack([np.zeros(9), 0.085 * s, 0.17 - 0.05 * s**2])
    web = tube(saddle, 0.004, 6).moved(np.diag([22.0, 1, 1, 1]))
    grip_line = np.column_stack([0.06 * s, np.zeros(9), 0.175 + 0.035 * (1 - s**2)])
    place = shift(*(float(v) for v in np.asarray(at_m, float)[:2])) @ turn(Z, heading_rad)
    return (
        piece("sand bag", [h.moved(place) for h in halves], "fabric_black", smooth=True),
        piece("bag strap", [web.moved(place), tube(grip_line, 0.007, 8).moved(place)], "rope"),
    )


def grip_arm(column_top: Array, mount: Array) -> tuple[Piece, ...]:
    """Level arm between the top of a column and a mount off to its side, with both grip heads."""
    level = np.array([mount[0], mount[1], column_top[2]])
    ahead = unit(level - column_top)
    side = np.cross(Z, ahead)
    heads = [
        rod(spot - 0.028 * side, spot + 0.028 * side, 0.03, sections=20, bevel=0.004)
        for spot in (column_top, level)
    ]
    heads.append(_knob(column_top + 0.02 * side, side))
    heads.append(rod(level - 0.02 * Z, mount, 0.009))
    arm = rod(column_top - 0.12 * ahead, level + 0.03 * ahead, 0.008)
    return (
        piece("grip heads", heads, "steel", smooth=True),
        piece("arm", arm, "steel", smooth=True),
    )
