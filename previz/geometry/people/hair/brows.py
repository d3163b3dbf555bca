"""Brows and lashes: single tapering hairs as meshes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.hair.tones import reflectance
from previz.geometry.people.hairs import FaceSurface, tapered
from previz.geometry.people.skeleton import unit
from previz.geometry.piece import Piece
from previz.physics.colour import LUMINANCE_WEIGHTS

BROW_M = 0.000050  # radius of a hair at its root
# Brows are darker than the hair of the head, the fairer it is the more: their reflectance is that
# much, and a share of the hair's, and never more than another share. Estimates, judged by eye.
BROW_DARK, BROW_SHARE, BROW_MOST = 0.035, 0.20, 0.75


@dataclass(frozen=True)
class BrowShape:
    """One person's brows, on a head of the usual size; both alike but for their hairs.

    inner_m, outer_m   where they begin and end, outwards from the eye's middle
    high_m             over the eye's middle; `arch_m` more at `peak` of the way
    thick_m            half the height where they are fullest
    count              hairs of one brow
    """

    inner_m: float
    outer_m: float
    high_m: float
    arch_m: float
    peak: float
    drop_m: float
    thick_m: float
    count: int


def brow_shape(male: bool, seed: int) -> BrowShape:
    """Brows of one person by seed; the spread is an estimate, judged by eye."""
    random = np.random.default_rng(seed)
    full = random.uniform(0.75, 1.2)
    return BrowShape(
        inner_m=random.uniform(-0.0205, -0.0170),
        outer_m=random.uniform(0.0270, 0.0315),
        high_m=(0.0190 if male else 0.0200) + random.uniform(-0.0012, 0.0014),
        arch_m=random.uniform(0.0016, 0.0044) if male else random.uniform(0.0032, 0.0066),
        peak=random.uniform(0.58, 0.72),
        drop_m=random.uniform(0.0, 0.0022),
        thick_m=(0.0066 if male else 0.0048) * full,
        count=int((490 if male else 400) * full),
    )


def brow_curves(
    surface: FaceSurface, eye: Array, side: float, scale: float, male: bool, seed: int
) -> Array:
    """Hairs of one brow: (n, 4, 3) on the posed skin.

    surface  the skin of the face; `eye` the eyeball's centre at rest; `side` +1 left, -1 right
    """
    shape = brow_shape(male, seed)
    random = np.random.default_rng(seed + (1 if side > 0.0 else 2))
    count = shape.count
    # Thin where it begins and ends; a few stray hairs keep it from being a stripe.
    t = np.clip(random.beta(1.25, 1.75, count), 0.0, 1.0)
    stray = np.where(random.random(count) < 0.07, 1.9, 1.0)
    across = np.clip(random.normal(0.0, 0.50, count) * stray, -1.6, 1.6)
    thick = shape.thick_m * np.interp(t, [0, 0.18, 0.5, 0.8, 1], [0.80, 1.0, 0.84, 0.58, 0.40])
    x = side * (np.abs(eye[0]) + scale * np.interp(t, [0, 1], [shape.inner_m, shape.outer_m]))
    arch = shape.arch_m * np.interp(t, [0, shape.peak, 1.0], [0.0, 1.0, 0.0])
    arch = arch - shape.drop_m * np.clip(t - shape.peak, 0.0, 1.0) / (1.0 - shape.peak)
    z = eye[2] + scale * (shape.high_m + arch + across * thick)
    place, normal = surface.over(np.stack([x, z], axis=1))
    # Inner hairs rise, outer ones lie along the brow; above the middle they bend down to it.
    lean = np.interp(t, [0, 0.12, 0.35, 0.7, 1.0], [1.45, 1.05, 0.55, 0.12, -0.30])
    lean = lean - np.interp(t, [0.0, 0.4], [0.15, 0.50]) * across
    lean = lean + random.normal(0.0, 0.13, count) * stray
    length = scale * random.uniform(0.0050, 0.0090, count) * np.interp(t, [0, 0.2], [0.8, 1.0])
    steps = np.linspace(0.0, 1.0, 4)
    points, here = [place], place
    for low, high in pairwise(steps):
        # Bent along the brow towards its tip.
        now = lean - 0.35 * low
        way = np.stack([side * np.cos(now), np.zeros(count), np.sin(now)], axis=1)
        way = unit(way - (way * normal).sum(axis=1, keepdims=True) * normal)
        lift = 0.0010 * (np.sin(1.9 * high) - np.sin(1.9 * low))
        here = here + ((high - low) * length)[:, None] * way + lift * normal
        points.append(here)
    return np.stack(points, axis=1)


def brows(
    surface: FaceSurface, eyes: list[Array], scale: float, male: bool, hue: Array, seed: int
) -> Piece:
    """Both brows; `eyes` are the left and the right eyeball's centre at rest."""
    both = [
        brow_curves(surface, eye, side, scale, male, seed)
        for eye, side in zip(eyes, (1.0, -1.0), strict=True)
    ]
    points, faces = tapered(np.concatenate(both), BROW_M, 0.35 * BROW_M)
    return Piece("brows", Mesh(points, faces), "hair", colour=brow_colour(hue))


def brow_colour(hue: Array) -> Array:
    """Reflectance (3,) of the brows of somebody with hair of `hue`, linear BT.709."""
    luminance = float(hue @ LUMINANCE_WEIGHTS)
    wanted = min(BROW_MOST * luminance, BROW_DARK + BROW_SHARE * luminance)
    return np.asarray(hue * wanted / luminance)


def lashes(
    strips: Array, faces: Index, eyes: Array, random: np.random.Generator, each: int
) -> Piece:
    """Single lashes over the body's lash strips, bent away from the eye, a few crossed.

    strips  (V, 3) posed vertices; `faces` (F, 4) quads of the strips, `each` lashes on one
    eyes    (2, 3) middles of the eyeballs
    """
    ends, away = [], []
    for quad in faces:
        a, b, c, d = strips[quad]
        eye = eyes[int(np.argmin(np.linalg.norm(eyes - a, axis=1)))]
        sides = [(a, b, d, c), (b, c, a, d), (c, d, b, a), (d, a, c, b)]
        a, b, d, c = min(sides, key=lambda q: float(np.linalg.norm(0.5 * (q[0] + q[1]) - eye)))
        for t, u in random.uniform(0.0, 1.0, (each, 2)):
            reach = 0.75 + 0.25 * u
            root, tip = a + t * (b - a), d + np.clip(t + 0.5 * (u - 0.5), 0.0, 1.0) * (c - d)
            ends.append((root, root + reach * (tip - root)))
            away.append(np.sign(root[2] - eye[2]))
    line, up = np.array(ends), np.array(away)
    steps = np.linspace(0.0, 1.0, 4)[None, :, None]
    curve = line[:, :1] + steps * (line[:, 1:] - line[:, :1])
    # The line sags towards the eye's middle and turns up again at its tip.
    size = np.linalg.norm(line[:, 1] - line[:, 0], axis=1)
    curve[..., 2] -= (0.16 * up * size)[:, None] * np.sin(np.pi * steps[..., 0])
    points, triangles = tapered(curve, 0.000058, 0.000014)
    colour = reflectance("dark_brown")
    return Piece(
        "lashes", Mesh(points, triangles), "hair", smooth=False, colour=colour, closed=True
    )
