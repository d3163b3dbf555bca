"""What people wear: each garment says where it ends, how far it stands off, how it folds."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import trimesh

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cloth import Suit, piece, tailor
from previz.geometry.people.collar import JACKET, SHIRT, around, neck_loop, sheet, sweep
from previz.geometry.people.drape import Hang, folds, slow
from previz.geometry.people.figure import Figure
from previz.geometry.people.hairs import Surface
from previz.geometry.people.meshing import bands, cut, normals
from previz.geometry.people.skeleton import shortest
from previz.geometry.piece import Piece

LEATHER = np.array([0.018, 0.016, 0.015])


def dress(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """All garments of a figure."""
    colour = np.array(figure.clothes_colour)
    if figure.clothes == "dress":
        return (*frock(suit, figure), shoes(suit, low_m=-0.028))
    lower = (trousers(suit, figure), shoes(suit))
    if figure.clothes == "shirt":
        return (*shirt(suit, figure, colour), *lower)
    if figure.clothes == "jacket":
        return (*jacket(suit, figure, colour), *lower)
    return (*jumper(suit, figure), *lower)


def jumper(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A jumper with a round neck and a knitted band round it."""
    cuts = suit.cuts
    fields = (
        lambda p: -cuts.above_neckline(p, 0.005, 0.012),
        lambda p: -cuts.past_wrist(p, 0.012),
        lambda p: -cuts.below_height(p, "upperleg01.L", 0.0),
    )
    vertices, faces, rest = tailor(
        suit,
        fields,
        lambda p: (
            0.008
            - 0.005 * _over_deltoid(suit, p)
            + 0.008 * _at_hips(suit, p)
            + 0.010 * _over_cuff(suit, p)
        ),
        rounds=18,
        hang=Hang(0.28),
        folds=lambda p: folds(suit.cuts, suit.seed, p, 0.9),
        hem_m=(0.005, 0.02, 0.0022),
    )
    return garment(suit, figure, "jumper", (vertices, faces, rest), "cloth_wool")


def shirt(suit: Suit, figure: Figure, colour: Array, half_m: float = 9.0) -> tuple[Piece, ...]:
    """A shirt with a collar, a placket and buttons; only within `half_m` of the middle."""
    cuts = suit.cuts
    fields = (
        lambda p: half_m - np.abs(p[:, 0]),
        lambda p: -cuts.above_neckline(p, -0.010),
        lambda p: -cuts.past_wrist(p, 0.010),
        lambda p: -cuts.below_height(p, "upperleg01.L", 0.015),
    )
    vertices, faces, rest = tailor(
        suit,
        fields,
        lambda p: (
            0.007
            - 0.006 * _over_deltoid(suit, p)
            + 0.009 * _at_hips(suit, p)
            + 0.004 * _sleeve(suit, p)
        ),
        rounds=18,
        hang=Hang(0.24),
        folds=lambda p: folds(suit.cuts, suit.seed, p, 1.25),
        hem_m=(0.0018, 0.012, 0.0006),
    )
    body = garment(suit, figure, "shirt", (vertices, faces, rest), "cloth_cotton")
    loop = neck_loop(vertices, faces, suit.head_free)
    band = sweep("collar", loop, SHIRT, "cloth_cotton", colour)
    return (*body, band, *front(suit, vertices, faces, rest, colour))


def front(
    suit: Suit, vertices: Array, faces: Index, rest: Array, colour: Array
) -> tuple[Piece, Piece]:
    """Placket and buttons down the middle of a shirt."""
    used = np.abs(rest[:, 0]) < 0.06
    middle = faces[used[faces].all(axis=1)]
    middle = middle[rest[middle][:, :, 1].mean(axis=1) < suit.cuts.joint("spine01")[1] - 0.02]
    surface = Surface(rest, vertices, middle, normals(vertices, faces))
    top = suit.cuts.joint("neck01")[2] - 0.045 * suit.cuts.scale
    low = suit.cuts.joint("upperleg01.L")[2] + 0.03
    heights = np.linspace(top, low, 60)
    across = np.array([-0.016, -0.0145, -0.007, 0.0, 0.007, 0.0145, 0.016])
    grid = np.stack(np.meshgrid(across, heights), axis=-1).reshape(-1, 2)
    place, normal = surface.over(grid)
    rows = (place + 0.0016 * normal).reshape(len(heights), len(across), 3)
    strip = sheet("placket", rows, 0.0016, "cloth_cotton", colour)
    along = np.arange(top - 0.035, low, -0.085)
    at, way = surface.over(np.stack([np.zeros_like(along), along], axis=1))
    parts = []
    for centre, axis in zip(at, way, strict=True):
        disc = trimesh.creation.cylinder(radius=0.0055, height=0.0022, sections=24)
        turn = np.eye(4)
        turn[:3, :3] = shortest(np.array([0.0, 0.0, 1.0]), axis)
        turn[:3, 3] = centre + 0.0030 * axis
        parts.append(disc.apply_transform(turn))
    points = np.concatenate([part.vertices for part in parts])
    count = len(parts[0].vertices)
    corners = np.concatenate([part.faces + i * count for i, part in enumerate(parts)])
    buttons = trimesh.Trimesh(points, corners, process=False)
    return strip, Piece("buttons", buttons, "cloth_cotton", colour=np.clip(1.6 * colour, 0.05, 0.6))


def jacket(suit: Suit, figure: Figure, colour: Array) -> tuple[Piece, ...]:
    """A jacket with lapels over a white shirt."""
    cuts = suit.cuts
    button = cuts.joint("spine03")[2] - 0.02

    def opening(p: Array) -> Array:
        """Distance from the front opening: wide at the neck, closed at the button."""
        rise = np.clip(p[:, 2] - button, 0.0, None)
        fall = np.clip(button - p[:, 2], 0.0, None)
        wide = 0.004 + 0.30 * rise**1.08 + 0.25 * fall**1.3
        behind = np.clip((p[:, 1] - cuts.joint("upperarm01.L")[1] + 0.01) / 0.02, 0.0, 1.0)
        return np.asarray(np.abs(p[:, 0]) - wide + 0.6 * behind)

    fields = (
        opening,
        lambda p: -cuts.above_neckline(p, 0.006),
        lambda p: -cuts.past_wrist(p, 0.022),
        lambda p: -cuts.below_height(p, "upperleg01.L", -0.03),
    )
    vertices, faces, rest = tailor(
        suit,
        fields,
        lambda p: 0.016 + 0.006 * _at_hips(suit, p) + 0.004 * _sleeve(suit, p),
        rounds=26,
        hang=Hang(0.12),
        folds=lambda p: folds(suit.cuts, suit.seed, p, 0.7),
        hem_m=(0.004, 0.02, 0.001),
    )
    body = garment(suit, figure, "jacket", (vertices, faces, rest), "cloth_jacket")
    white = np.array([0.62, 0.62, 0.60])
    plain = replace(figure, stripe_m=None, clothes_colour=(0.62, 0.62, 0.60))
    under, collar, strip, buttons = shirt(suit, plain, white, 0.15 * cuts.scale)
    lapels = tuple(lapel(suit, vertices, faces, rest, sign, colour) for sign in (1, -1))
    loop = neck_loop(np.asarray(under.mesh.vertices), np.asarray(under.mesh.faces), suit.head_free)
    top = sweep("jacket_collar", around(loop, 0.012, -0.008), JACKET, "cloth_jacket", colour)
    return (*body, *lapels, top, _bib(suit, under), collar, strip, buttons)


def _bib(suit: Suit, under: Piece) -> Piece:
    """The part of a shirt that shows in a jacket's opening; the rest would only poke through."""
    mesh = under.mesh
    neck = suit.head_free
    x, z = mesh.vertices[:, 0] - neck[0], neck[2] - mesh.vertices[:, 2]
    field = 0.115 * suit.cuts.scale - np.abs(x) + 0.02 - 0.12 * np.clip(z, 0.0, 1.0)
    faces, (points,) = cut(np.asarray(mesh.faces), field, np.asarray(mesh.vertices))
    colour = under.colour if under.colour is None or under.colour.ndim == 1 else under.colour[0]
    return replace(
        under, mesh=trimesh.Trimesh(points, faces, process=False), colour=colour, name="shirt"
    )


def lapel(
    suit: Suit,
    vertices: Array,
    faces: Index,
    rest: Array,
    sign: int,
    colour: Array,
) -> Piece:
    """One lapel, lying on the jacket beside its opening."""
    cuts = suit.cuts
    button = cuts.joint("spine03")[2] - 0.02
    top = cuts.joint("neck01")[2] - 0.036 * cuts.scale
    t = np.linspace(0.0, 1.0, 46)
    height = button + t * (top - button)
    rise = height - button
    edge = 0.004 + 0.30 * rise**1.08
    notch = np.interp(
        t, [0.0, 0.15, 0.70, 0.76, 0.79, 1.0], [0.0, 0.024, 0.078, 0.066, 0.056, 0.040]
    )
    across = np.linspace(0.0, 1.0, 10)
    x = sign * (edge[:, None] - 0.002 + across[None, :] * notch[:, None])
    droop = -0.010 * across[None, :] * np.sin(np.pi * t)[:, None]
    grid = np.stack([x, height[:, None] + droop], axis=-1).reshape(-1, 2)
    ahead = rest[faces][:, :, 1].mean(axis=1) < cuts.joint("upperarm01.L")[1] + 0.02
    surface = Surface(rest, vertices, faces[ahead], normals(vertices, faces))
    place, normal = surface.over(grid)
    puff = 0.0035 + 0.004 * np.sin(np.pi * across)[None, :] * np.ones((len(t), 1))
    rows = (place + puff.reshape(-1, 1) * normal).reshape(len(t), len(across), 3)
    for _ in range(4):
        rows[1:-1] = 0.5 * rows[1:-1] + 0.25 * (rows[2:] + rows[:-2])
    name = "lapel_left" if sign > 0 else "lapel_right"
    return sheet(name, rows, 0.0025, "cloth_jacket", colour)


def frock(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A dress with long sleeves over dark tights: a bodice, and a skirt to below the knee."""
    cuts = suit.cuts
    fields = (
        lambda p: -cuts.above_neckline(p, 0.010, 0.022),
        lambda p: -cuts.past_wrist(p, 0.012),
        lambda p: -cuts.below_height(p, "pelvis.L", 0.045),
    )
    vertices, faces, rest = tailor(
        suit,
        fields,
        lambda p: 0.006 + 0.006 * _at_hips(suit, p),
        rounds=16,
        hang=Hang(0.55),
        folds=lambda p: folds(suit.cuts, suit.seed, p, 0.8),
        hem_m=(0.003, 0.010, 0.002),
    )
    bodice = garment(suit, figure, "dress", (vertices, faces, rest), "cloth_cotton")
    vertices, faces, _ = tailor(
        suit,
        (
            # What the skirt hides is left out, and cannot poke through it.
            lambda p: cuts.below_height(p, "lowerleg01.L", 0.0),
            lambda p: -cuts.below_ankle(p, -0.045),
        ),
        lambda p: np.full(len(p), 0.002),
        rounds=3,
    )
    tights = piece("tights", vertices, faces, "cloth_cotton", np.array([0.02, 0.02, 0.022]))
    return (*bodice, *skirt(suit, figure), tights)


def skirt(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """The skirt of a dress, in soft folds that grow towards the hem."""
    cloth = suit.free
    cuts = suit.cuts
    knee, waist = cuts.joint("lowerleg01.L")[2], cuts.joint("pelvis.L")[2] + 0.06

    def pleats(p: Array) -> Array:
        down = np.clip((waist - p[:, 2]) / (waist - knee), 0.0, 1.2)
        angle = np.arctan2(p[:, 0], -p[:, 1] + 0.02)
        return np.asarray(0.007 * down * np.sin(15.0 * angle + 1.5 * np.sin(4.0 * angle)))

    sheet_of = tailor(
        cloth,
        (
            lambda p: cuts.below_height(p, "pelvis.L", 0.06),
            lambda p: -cuts.below_height(p, "lowerleg01.L", -0.10),
        ),
        lambda p: np.full(len(p), 0.008),
        rounds=30,
        folds=pleats,
        hem_m=(0.002, 0.015, 0.0006),
    )
    return garment(suit, figure, "skirt", sheet_of, "cloth_cotton")


def garment(
    suit: Suit, figure: Figure, name: str, sheet_of: tuple[Array, Index, Array], material: str
) -> tuple[Piece, ...]:
    """A garment in its colour: one piece, or with its stripes as a second.

    The cloth is cut along the stripes, so that they are sharp however fine they are; they run
    down the body and along the sleeves.
    """
    vertices, faces, rest = sheet_of
    colour = np.array(figure.clothes_colour)
    if figure.stripe_m is None:
        return (piece(name, vertices, faces, material, colour),)
    _, on = suit.cuts.along_arm(rest)
    across = (1.0 - on) * rest[:, 0] + on * rest[:, 1]
    normal = normals(vertices, faces)
    halves = bands(faces, across, figure.stripe_m, 0.3, vertices, normal)
    paints = (("stripes", np.array(figure.stripe_colour)), ("", colour))
    pieces = []
    for (part, (points, ways)), (end, paint) in zip(halves, paints, strict=True):
        mesh = trimesh.Trimesh(points, part, vertex_normals=ways, process=False)
        whole = f"{name}_{end}".rstrip("_")
        pieces.append(Piece(whole, mesh, material, smooth=True, colour=paint, closed=False))
    return (pieces[1], pieces[0])


def trousers(suit: Suit, figure: Figure) -> Piece:
    """Straight trousers."""
    cuts = suit.cuts
    knee = cuts.joint("lowerleg01.L")[2]
    ankle = cuts.joint("foot.L")[2]

    def lift(p: Array) -> Array:
        down = np.clip((knee + 0.1 - p[:, 2]) / (knee - ankle), 0.0, 1.0)
        return np.asarray(0.004 + 0.016 * down - 0.002 * _at_hips(suit, p))

    fields = (
        lambda p: cuts.below_height(p, "pelvis.L", 0.05),
        lambda p: -cuts.below_ankle(p, -0.005),
    )
    vertices, faces, _ = tailor(
        suit,
        fields,
        lift,
        rounds=10,
        folds=lambda p: leg_folds(suit, p),
        hem_m=(0.003, 0.02, 0.001),
    )
    colour = np.array(figure.trousers_colour)
    return piece("trousers", vertices, faces, "denim", colour)


def shoes(suit: Suit, low_m: float = 0.03) -> Piece:
    """Plain shoes that stand on the floor, cut `low_m` over the ankle."""
    cuts = suit.cuts
    vertices, faces, _ = tailor(
        suit,
        (lambda p: cuts.below_ankle(p, low_m),),
        lambda p: np.full(len(p), 0.006),
        rounds=4,
        hem_m=(0.003, 0.01, 0.001),
    )
    vertices[:, 2] = np.maximum(vertices[:, 2], 0.0)
    return piece("shoes", vertices, faces, "leather_black", LEATHER)


def leg_folds(suit: Suit, p: Array) -> Array:
    """Creases behind and over the knee, across the lap, and where the hem breaks."""
    random = np.random.default_rng(suit.seed + 7)
    warp = slow(p, 0.12, random)
    knee, hip = suit.cuts.joint("lowerleg01.L")[2], suit.cuts.joint("upperleg01.L")[2]
    ankle = suit.cuts.joint("foot.L")[2]
    size = 0.0030 * np.exp(-(((p[:, 2] - knee) / 0.07) ** 2))
    size += 0.0030 * np.exp(-(((p[:, 2] - hip + 0.02) / 0.06) ** 2))
    size += 0.0030 * np.exp(-(((p[:, 2] - ankle - 0.04) / 0.05) ** 2))
    creases = size * np.sin(p[:, 2] / 0.009 + 3.0 * warp) + 0.0012 * warp
    return np.asarray(creases * np.clip(1.0 - _at_hips(suit, p), 0.0, 1.0))


def _sleeve(suit: Suit, p: Array) -> Array:
    """1 on the sleeves, 0 elsewhere."""
    return suit.cuts.along_arm(p)[1]


def _over_deltoid(suit: Suit, p: Array) -> Array:
    """1 where a sleeve lies close on the shoulder, 0 elsewhere."""
    along, on = suit.cuts.along_arm(p)
    return np.asarray(on * np.exp(-(((along - 0.07) / 0.06) ** 2)))


def _over_cuff(suit: Suit, p: Array) -> Array:
    """1 where a knitted sleeve falls over its cuff, 0 elsewhere."""
    along, on = suit.cuts.along_arm(p)
    joints = [suit.cuts.joint(f"{name}.L") for name in ("upperarm01", "lowerarm01", "wrist")]
    end = sum(float(np.linalg.norm(b - a)) for a, b in pairwise(joints))
    return np.asarray(on * np.exp(-(((along - end + 0.085) / 0.030) ** 2)))


def _at_hips(suit: Suit, p: Array) -> Array:
    """1 where an upper garment hangs over the trousers, 0 elsewhere."""
    hip = suit.cuts.joint("upperleg01.L")[2]
    _, on_arm = suit.cuts.along_arm(p)
    return np.asarray(
        np.clip((hip + 0.16 - p[:, 2]) / 0.08, 0.0, 1.0) * (p[:, 2] > hip - 0.05) * (1.0 - on_arm)
    )
