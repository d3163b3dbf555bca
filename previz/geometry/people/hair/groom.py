"""All the hair of one head: strands of a style, and of a beard, with their colours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.figure import Figure, Strands
from previz.geometry.people.hair.form import HeadForm
from previz.geometry.people.hair.gathered import gathered
from previz.geometry.people.hair.growing import (
    Roots,
    cut_level,
    drawn_again,
    grow,
    scattered,
)
from previz.geometry.people.hair.locks import clump, locks_of, wind
from previz.geometry.people.hair.styles import BEARDS, Beard, Style
from previz.geometry.people.hair.tones import PIGMENTS, absorption, reflectance, tones_of
from previz.geometry.people.skeleton import unit

TIP = 0.35  # radius at the tip over that at the root
ROPES = 0.95  # locks drawn together more than this are ropes: no hair of them is loose
HOLLOW_M = 0.006  # how deep a face lies under its form, under the lip and beside the nose
BEFORE_EYES_M = 0.017  # how near to the line a pupil looks along no hair comes
FACE_M = (0.036, 0.012, -0.095)  # half the width of a face that stays free; from brow to chin


@dataclass(frozen=True, eq=False)
class Ground:
    """The skin that hair grows on.

    vertices, normals   (V, 3) in the world, `faces` over them
    hair, beard         (V,) metres over the hairline, and within the edge of the beard
    lip                 (V,) 0..1 how much a place is on the upper lip
    """

    vertices: Array
    normals: Array
    faces: Index
    hair: Array
    beard: Array
    lip: Array


@dataclass(frozen=True, eq=False)
class Curves:
    """Strands (n, k, 3) in the head's own axes with radii (n, k)."""

    points: Array
    radius_m: Array


def groom(
    figure: Figure, style: Style | None, form: HeadForm, ground: Ground, eyes: Array, hidden: Array
) -> Strands | None:
    """Hair and beard of a figure as strands in the world; None where there are none.

    style   of the head; None where no hair of it shows
    eyes    (2, 3) middles of the eyeballs
    hidden  (V,) over the skin, positive under headwear, where nothing grows that would show
    """
    random = np.random.default_rng(figure.seed + 21)
    parts = []
    if style is not None:
        found = _on_head(style, form, ground, hidden, random)
        parts.append(_not_before_eyes(found, form.local(eyes)))
    if figure.beard != "none":
        parts.append(_on_face(BEARDS[figure.beard], form, ground, random))
    parts = [part for part in parts if len(part.points)]
    if not parts:
        return None
    most = max(part.points.shape[1] for part in parts)
    parts = [_with_points(part, most) for part in parts]
    points = np.concatenate([part.points for part in parts])
    radius = np.concatenate([part.radius_m for part in parts])
    tones = tones_of(
        figure.hair_colour, figure.age_years, locks_of(points[:, 0], 0.009, random), figure.seed
    )
    eumelanin, pheomelanin, _ = PIGMENTS[figure.hair_colour]
    return Strands(
        form.world(points), radius, eumelanin, pheomelanin,
        absorption(figure.hair_colour), reflectance(figure.hair_colour),
        tones.of, tones.absorption, tones.colour,
    )  # fmt: skip


def _on_head(
    style: Style, form: HeadForm, ground: Ground, hidden: Array, random: np.random.Generator
) -> Curves:
    inside = (ground.hair[ground.faces] > -0.004).all(axis=1)
    fields = np.column_stack([ground.vertices, ground.normals, ground.hair, hidden])
    found = scattered(ground.vertices, ground.faces[inside], fields, style.count, random)
    found = found[found[:, 7] < 0.0]
    place, grown = form.local(found[:, :3]), found[:, 6]
    # A hairline is not a line: it wavers, and density fades over a centimetre.
    wavering = grown + 0.003 * np.sin(310.0 * place[:, 0]) * np.sin(270.0 * place[:, 2] + 1.0)
    dense = np.clip((wavering + 0.0055) / 0.0085, 0.03, 1.0)
    crown = np.linalg.norm(place / form.radii - np.array([0.0, 0.40, 0.90]), axis=1)
    dense *= 1.0 - style.thin * np.exp(-((crown / 0.42) ** 2))
    keep = random.random(len(found)) < dense
    roots = Roots(place[keep], unit(found[keep, 3:6]) @ form.turn, grown[keep])
    curve = gathered(style, form, roots, random) if style.tie else grow(style, form, roots, random)
    curve = _in_locks(style, curve, random)
    if style.level_m is not None:
        level = -style.level_m + 0.0045 * random.normal(size=len(curve))
        curve = cut_level(curve, level)
    curve = _kept_outside(form, curve)
    # Finer at the hairline, where it begins.
    edge = np.ones(len(curve))
    edge[: len(roots.grown)] = np.interp(roots.grown, [0.0, 0.012], [0.55, 1.0])
    return Curves(curve, _radii(style.radius_m * edge, curve, random))


def _in_locks(style: Style, curve: Array, random: np.random.Generator) -> Array:
    """Hairs gathered in locks and those in larger ones, waved or wound where the style is."""
    own = curve[:, 0]
    group = locks_of(own, style.cell_m, random)
    if style.tie is not None:
        return curve
    if style.tight:
        curve = clump(curve, group, style.clump, 0.5, random)
        if style.clump > ROPES:
            curve = clump(curve, group, style.clump, 0.5, random)
        return wind(curve, group, style.curl_m, style.pitch_m, 0.22, random)
    wide = locks_of(own, 2.4 * style.cell_m, random)
    curve = clump(curve, wide, 0.45 * style.clump, 1.6, random)
    curve = clump(curve, group, style.clump, 0.9, random)
    if style.curl_m == 0.0:
        return curve
    return wind(curve, wide, style.curl_m, style.pitch_m, 0.5, random)


def _kept_outside(form: HeadForm, curve: Array) -> Array:
    """No hair goes through the head: what locks drew inwards comes out again."""
    out = curve.copy()
    for i in range(1, curve.shape[1]):
        out[:, i] = form.clear(curve[:, i], 0.0008)
    return out


def _not_before_eyes(curves: Curves, eyes: Array) -> Curves:
    """Without the hairs that hang before an eye (2, 3) or a cheek: nobody leaves them there."""
    points, middle = curves.points, eyes.mean(axis=0)
    wide, high, low = FACE_M
    x, y, z = np.moveaxis(points - middle, -1, 0)
    before = (np.abs(x) < wide) & (y < 0.0) & (z < high) & (z > low)
    clear = ~before.any(axis=1)
    for eye in eyes:
        near = np.hypot(points[..., 0] - eye[0], points[..., 2] - eye[2]) < BEFORE_EYES_M
        clear &= ~(near & (points[..., 1] < eye[1])).any(axis=1)
    return Curves(points[clear], curves.radius_m[clear])


def _radii(root_m: Array, curve: Array, random: np.random.Generator) -> Array:
    taper = np.linspace(1.0, TIP, curve.shape[1])[None, :] ** 0.8
    return np.asarray((root_m * random.uniform(0.7, 1.25, len(curve)))[:, None] * taper)


def _on_face(beard: Beard, form: HeadForm, ground: Ground, random: np.random.Generator) -> Curves:
    """A beard: downwards, and out of the skin the more the longer it is."""
    inside = (ground.beard[ground.faces] > -0.004).all(axis=1)
    fields = np.column_stack([ground.vertices, ground.normals, ground.beard, ground.lip])
    found = scattered(ground.vertices, ground.faces[inside], fields, beard.count, random)
    edge, lip = found[:, 6], found[:, 7]
    dense = np.clip((edge + 0.001) / (0.004 + 0.006 * (1.0 - lip)), 0.02, 1.0)
    if beard.lip_alone:
        dense = dense * np.clip(2.0 * lip - 0.4, 0.0, 1.0)
    keep = random.random(len(found)) < dense
    found, edge, lip = found[keep], edge[keep], lip[keep]
    place, out = form.local(found[:, :3]), unit(found[:, 3:6]) @ form.turn
    at = place / form.radii
    chin = np.exp(-((at[:, 0] / 0.42) ** 2)) * np.clip(-at[:, 1] / 0.8, 0.0, 1.0) * (1.0 - lip)
    on_lip, cheek, on_chin = beard.length_m
    length = cheek + (on_chin - cheek) * chin + (on_lip - cheek) * lip
    length = length * np.clip(0.35 + edge / 0.02, 0.35, 1.0) * random.uniform(0.7, 1.15, len(at))
    # On the lip hair grows aside and down, on cheeks down and back, on the chin down and forward.
    aside = np.sign(at[:, 0]) * lip
    flow = np.stack(
        [0.8 * aside, 0.35 * (1.0 - lip) * (1.0 - chin) - 0.2 * chin, -1.0 + 0.3 * lip], 1
    )
    flow = unit(flow) - (unit(flow) * out).sum(axis=1, keepdims=True) * out
    way = unit(0.38 * out + unit(flow) + random.normal(0.0, 0.17, out.shape))
    points = [place - 0.0004 * out]
    for _ in range(1, beard.points):
        here = points[-1] + way * (length / (beard.points - 1))[:, None]
        # The form has a point every five degrees: it fills the hollows of a face.
        points.append(form.clear(here, -HOLLOW_M))
        way = unit(way + 0.18 * flow + 0.10 * np.array([0.0, 0.0, -1.0]))
    curve = np.stack(points, axis=1)
    if beard.clump:
        group = locks_of(place, 0.0045, random)
        curve = clump(curve, group, beard.clump, 1.0, random)
        curve = wind(curve, group, beard.curl_m, 0.012, 0.8, random)
    return Curves(curve, _radii(np.full(len(curve), beard.radius_m), curve, random))


def _with_points(part: Curves, points: int) -> Curves:
    """The same curves in more points."""
    now = part.points.shape[1]
    if now == points:
        return part
    where = np.broadcast_to(np.linspace(0.0, now - 1.0, points), (len(part.points), points))
    both = np.concatenate([part.points, part.radius_m[..., None].repeat(3, axis=2)], axis=2)
    both = np.concatenate([drawn_again(both[..., :3], where), drawn_again(both[..., 3:], where)], 2)
    return Curves(both[..., :3], both[..., 3])
