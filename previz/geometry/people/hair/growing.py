"""Strands as they grow: out of the skin, along the comb, over what is under them, and down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.hair import combing
from previz.geometry.people.hair.form import HeadForm
from previz.geometry.people.hair.locks import LOOSE, locks_of
from previz.geometry.people.hair.styles import Style
from previz.geometry.people.skeleton import unit
from previz.geometry.smooth import ramp

GRAVITY = np.array([0.0, 0.0, -1.0])
ROOT_M = 0.0006  # how deep a strand begins under the skin
WISPS = 0.30  # share of loose, fine hairs among those at the edge of hair that is drawn back


Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Roots:
    """Where hair grows, in the head's own axes.

    place, out   (n, 3) on the skin, and its normal
    grown        (n,) height over the hairline, metres
    """

    place: Array
    out: Array
    grown: Array

    def some(self, which: Mask) -> Roots:
        """Those roots alone."""
        return Roots(self.place[which], self.out[which], self.grown[which])


def scattered(
    vertices: Array, faces: Index, fields: Array, count: int, random: np.random.Generator
) -> Array:
    """`fields` (V, c) at `count` points evenly over a mesh: (count, c)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    pick = random.choice(len(faces), size=count, p=area / area.sum())
    uv = random.random((count, 2))
    over = uv.sum(axis=1) > 1.0
    uv[over] = 1.0 - uv[over]
    weights = np.stack([1.0 - uv.sum(axis=1), uv[:, 0], uv[:, 1]], axis=1)
    return np.asarray(np.einsum("nk,nkc->nc", weights, fields[faces[pick]]))


def grow(style: Style, form: HeadForm, roots: Roots, random: np.random.Generator) -> Array:
    """Walk every strand from its root, (n, points, 3) in the head's own axes."""
    at = roots.place / form.radii
    flow = combing.COMBS[style.comb](at, random)
    length = combing.lengths(style, at, roots.grown, random)
    return walk(style, form, roots, flow, length, random)


def walk(
    style: Style,
    form: HeadForm,
    roots: Roots,
    flow: Array,
    length: Array,
    random: np.random.Generator,
) -> Array:
    """As `grow`, along a `flow` (n, 3) for a `length` (n,) that are given."""
    own, out, n = roots.place, roots.out, len(roots.place)
    at = own / form.radii
    stray = random.normal(0.0, style.stray, (n, 3))
    stray[random.random(n) < LOOSE] *= 2.2
    along = flow - (flow * out).sum(axis=1, keepdims=True) * out
    top, side = style.lift
    lift = (side + (top - side) * combing.top_of(at))[:, None]
    # Young hair at the edge lies close.
    lift = lift * (0.5 + 0.5 * ramp(roots.grown, 0.0, 0.015)[:, None])
    way = unit(lift * out + (1.0 - lift) * unit(along + 1e-6 * out) + stray)
    down = GRAVITY @ form.turn
    # Locks lie over one another: most of a hair's height is that of its lock.
    group = locks_of(own, 1.3 * style.cell_m, random)
    layer = 0.75 * random.random(group.max() + 1)[group] + 0.25 * random.random(n)
    begin = own - ROOT_M * out
    points = [begin]
    step = length / (style.points - 1)
    body = style.body_m * np.minimum(1.0, length / 0.03)
    for i in range(1, style.points):
        share = i / (style.points - 1)
        here = points[-1] + way * step[:, None]
        # Close to the skull at the root, then fuller; long ends come in again.
        far = share * length
        full = ramp(far, 0.0, 0.030) * (1.0 - 0.45 * ramp(far, 0.12, 0.22))
        here = form.clear(here, 0.0012 + body * layer * full)
        if style.comb in ("parted", "middle") and not style.tight:
            here = _close(form, here, (0.004 + 1.2 * style.body_m) * (0.55 + 0.45 * layer))
        hangs = style.over_ears and style.comb != "out"
        if hangs:
            here = _beside_face(form, here, layer)
            here = here + _hang(form, here, layer, step)
            way = unit(here - points[-1] + 1e-9)
        bend = 0.25 + min(share, 0.6) if hangs else 0.25 + share
        # However many points, it bends as much over its length.
        bend *= min(1.0, 12.0 / style.points)
        way = unit(way + flow * 0.10 + down * (style.fall * bend))
        points.append(here)
    return np.stack(points, axis=1)


def _close(form: HeadForm, points: Array, most_m: Array) -> Array:
    """Hair combed aside lies on the head: above the ears none stands off more than `most_m`."""
    beyond = np.clip(form.over(points) - most_m, 0.0, None)
    level = unit(points * [1.0, 1.0, 0.0] + [0.0, 1e-9, 0.0])
    share = 0.7 * ramp(points[:, 2] / form.radii[2], -0.55, -0.15)
    return np.asarray(points - (share * beyond)[:, None] * level)


def _beside_face(form: HeadForm, points: Array, layer: Array) -> Array:
    """Keep hair that falls beside the face from crossing it; locks part at different places."""
    x, y, z = (points / form.radii).T
    low = ramp(-z, -0.62, -0.25)
    front = ramp(-y, 0.05, 0.6) * low
    side = np.where(x >= 0.0, 1.0, -1.0)
    wanted = side * (0.92 + 0.12 * layer)
    out = points.copy()
    near = np.abs(x) < np.abs(wanted)
    out[:, 0] += 0.6 * front * np.where(near, (wanted - x) * form.radii[0], 0.0)
    out[:, 1] += 0.35 * front * (-0.12 - y) * form.radii[1] * (y < -0.12)
    return out


def _hang(form: HeadForm, points: Array, layer: Array, step: Array) -> Array:
    """How far hair that hangs free turns in under the jaw, and before or behind the shoulders."""
    x, y, z = (points / form.radii).T
    low = ramp(-z, 0.35, 1.1)
    wide = np.hypot(x, y)
    turn = np.zeros_like(points)
    turn[:, 0] = -x / np.maximum(wide, 1e-6) * low * ramp(np.abs(x), 0.70, 1.20) * 0.18
    aft = np.where(y > -0.25 + 0.7 * layer, 1.0, -1.0)
    turn[:, 1] = 0.60 * aft * ramp(-z, 0.95, 1.5) * ramp(np.abs(x), 0.4, 0.9)
    turn[:, 1] -= 0.30 * low * ramp(y, 0.8, 1.3)
    return turn * step[:, None]


def cut_level(curve: Array, level: Array) -> Array:
    """Curves (n, k, 3) ended where they first pass below `level` (n,), and evenly drawn again."""
    n, k, _ = curve.shape
    below = curve[:, :, 2] < level[:, None]
    below[:, 0] = False
    crossing = below.any(axis=1)
    first = np.where(crossing, np.argmax(below, axis=1), k - 1)
    row = np.arange(n)
    before = np.maximum(first - 1, 0)
    z0, z1 = curve[row, before, 2], curve[row, first, 2]
    part = np.where(crossing, np.clip((z0 - level) / np.maximum(z0 - z1, 1e-9), 0.0, 1.0), 1.0)
    return drawn_again(curve, (before + part)[:, None] * np.linspace(0.0, 1.0, k)[None, :])


def drawn_again(curve: Array, where: Array) -> Array:
    """Points of curves (n, k, 3) at `where` (n, m), counted in points: (n, m, 3)."""
    low = np.minimum(np.floor(where).astype(int), curve.shape[1] - 2)
    part = (where - low)[..., None]
    row = np.arange(len(curve))[:, None]
    return np.asarray(curve[row, low] * (1.0 - part) + curve[row, low + 1] * part)
