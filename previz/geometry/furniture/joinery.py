"""Parts that several makers of furniture share: round legs, rails, knobs, dished seats."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.outlines import circle, inset
from previz.geometry.piece import Array
from previz.geometry.primitives import box, lathe, loft
from previz.geometry.shell import Shell


def turned_leg(foot: ArrayLike, top: ArrayLike, radii: ArrayLike, sections: int = 16) -> Shell:
    """Round leg from `foot` to `top`, both ends cut level; `radii` evenly along its height.

    The bottom rim has a chamfer of 1.5 mm.
    """
    a, b = np.asarray(foot, float), np.asarray(top, float)
    widths = np.asarray(radii, float)
    steps = np.linspace(0, 1, len(widths))
    cut = 0.0015 / abs(float(b[2] - a[2]))
    steps = np.insert(steps, 1, cut)
    widths = np.insert(widths, 1, widths[0])
    widths[0] -= 0.0015
    rings = np.zeros((len(steps), sections, 3))
    rings[:, :, :2] = widths[:, None, None] * circle(1.0, sections)
    return loft(rings + (a + steps[:, None] * (b - a))[:, None, :])


def dished(outline: ArrayLike, thickness: float, dip: float, bevel: float = 0.004) -> Shell:
    """Seat board under z = 0: convex outline (n, 2), hollowed by `dip` (or swelling if < 0).

    A hollow seat has its rim at z = 0, a swelling one its middle.
    """
    flat = np.asarray(outline, float)
    inner = inset(flat, bevel)
    rim = min(dip, 0.0)
    levels = [(inner, -thickness), (flat, -thickness + bevel), (flat, rim - bevel), (inner, rim)]
    middle = flat.mean(axis=0)
    for share in (0.85, 0.65, 0.4, 0.2):
        hollow = dip * (1 - share**2) ** 1.5
        levels.append((middle + share * (inner - middle), rim - hollow))
    rings = [np.column_stack([ring, np.full(len(flat), z)]) for ring, z in levels]
    return loft(np.array(rings), last=(*middle, rim - dip))


def frame_rails(
    half: tuple[float, float], low_z: float, high_z: float, thickness: float
) -> tuple[list[Shell], list[Shell]]:
    """Rails between four posts at +-`half` (x, y): those along X, and those along Y."""
    half_x, half_y = half
    t = thickness / 2
    along_x = [
        box((-half_x, y - t, low_z), (half_x, y + t, high_z), 0.002) for y in (-half_y, half_y)
    ]
    along_y = [
        box((x - t, -half_y, low_z), (x + t, half_y, high_z), 0.002) for x in (-half_x, half_x)
    ]
    return along_x, along_y


def held(profile: ArrayLike, by: float = 0.002) -> Array:
    """Lathe profile (n, 2) with a point beside each sharp corner, for smooth shading.

    Without them the normals of a corner would run all along the neighbouring walls. Corners of
    more than 30 degrees are held, at `by` or a quarter of the segment away, whichever is nearer.
    """
    points = np.asarray(profile, float)
    out = [points[0]]
    for before, here, after in zip(points[:-2], points[1:-1], points[2:], strict=True):
        back, ahead = before - here, after - here
        a, b = float(np.hypot(*back)), float(np.hypot(*ahead))
        if -(back @ ahead) / (a * b) > np.cos(np.radians(30)):
            out.append(here)
            continue
        out += [here + back * min(by / a, 0.25), here, here + ahead * min(by / b, 0.25)]
    return np.array([*out, points[-1]])


def knob(radius: float, reach: float, sections: int = 16) -> Shell:
    """Turned drawer knob standing off the plane y = 0 by `reach` towards -Y."""
    r = radius
    profile = [
        (r * 0.75, 0.0),
        (r * 0.45, reach * 0.15),
        (r * 0.4, reach * 0.4),
        (r * 0.95, reach * 0.62),
        (r, reach * 0.75),
        (r * 0.85, reach * 0.93),
        (r * 0.45, reach),
    ]
    return lathe(profile, sections).moved(_towards_front())


def bow_handle(width: float, reach: float, radius: float = 0.004) -> list[Shell]:
    """Bar handle along X on two posts, standing off the plane y = 0 towards -Y."""
    bar = rod_x(width, radius).shifted(y=-reach + radius)
    posts = [
        lathe([(radius, 0), (radius, reach - radius)], 8).moved(_towards_front()).shifted(x=x)
        for x in (-width * 0.42, width * 0.42)
    ]
    return [bar, *posts]


def rod_x(length: float, radius: float, sections: int = 12) -> Shell:
    """Round bar along X centred at the origin."""
    turn_x = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
    cut = min(0.001, radius / 2)
    h = length / 2
    profile = [(radius - cut, -h), (radius, -h + cut), (radius, h - cut), (radius - cut, h)]
    return lathe(profile, sections).moved(turn_x)


def _towards_front() -> Array:
    """4x4 that turns local +Z to -Y."""
    return np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
