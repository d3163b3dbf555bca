"""A garment as it is sewn: what lengths its cloth has, told at rest, and how it hangs when posed.

The pattern is the body at rest, arms away from the trunk, with room added where a tailor adds it.
On the posed body the same cloth has too much inside the elbow and under the arm and folds there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cloth import ClothSheet, Suit, lie_on_seat, refined
from previz.geometry.people.cuts import Field
from previz.geometry.people.drape import Hang, hang, slow
from previz.geometry.people.ease import under_arm
from previz.geometry.people.folds import folds
from previz.geometry.people.meshing import Net, cut, normals, triangles
from previz.geometry.people.relax import Contact, Threads, relax
from previz.geometry.people.skeleton import unit

MARGIN_M = 0.022  # of cloth beyond where a garment is cut off: more than a mesh of the net
REACH_M = 0.05  # within which cloth finds the body below it
APART_M = 0.007  # between a sleeve and the side of the trunk, half of both cloths
PITCH = 0.85  # how far armholes are cut for where the arms are, and not for arms apart
SUNK_M = 0.0010  # to which a crease goes below where cloth would lie
UNEVEN = 0.02  # spread of the room that cloth has from place to place, as a share
DIAGONAL = (0.5, 0.25)  # how stiff cloth is on the bias, pulled and pushed, against its threads


@dataclass(frozen=True)
class Fabric:
    """How a cloth folds.

    give, stiff  what is taken back of a thread's compression, and of a bend, 0 to 1
    wide         how broad its creases are against those of a shirt
    """

    give: float = 0.55
    stiff: float = 0.10
    wide: float = 1.0


KNIT = Fabric(0.50, 0.16, 1.45)
COTTON = Fabric(0.60, 0.08)
HEAVY = Fabric(0.70, 0.35, 1.6)


@dataclass(frozen=True)
class Pattern:
    """How a garment is cut, and of what. Fields are of points at rest.

    room    metres of room between the body and the cloth as it is cut
    off     metres that it stays off the body at least, for what is worn below
    held    positive where it is held: by a collar's band or a waistband; None nowhere
    longer  by what share its sleeves are longer than the arm, the cloth that folds in them
    hang    how the trunk is cut down from the chest; None follows the body
    fine    whether it has four times the triangles that it is let fall with
    creases how deep the creases are that are finer than the net: 0 pressed, 1 slept in
    """

    room: Field
    off: Field
    fabric: Fabric = COTTON
    held: Field | None = None
    longer: float = 0.03
    hang: Hang | None = None
    creases: float = 0.5
    rounds: int = 140
    fine: bool = True


def sewn(suit: Suit, fields: tuple[Field, ...], pattern: Pattern) -> ClothSheet:
    """A garment on the posed body, cut off where any of `fields` is below 0."""
    coarse = suit.coarse
    keep = np.min([field(coarse.rest) for field in fields], axis=0) >= -MARGIN_M
    quads = refined(suit.cuts.rest.data, suit.part, 1)[0][0].faces
    quads = quads[keep[quads].any(axis=1)]
    used = np.unique(quads)
    place = np.zeros(len(coarse.rest), np.int64)
    place[used] = np.arange(len(used))
    posed = coarse.posed.copy()
    posed[used] = _hung(suit, used, place[quads], pattern)
    vertices, rest, faces = posed, coarse.rest, coarse.faces
    if pattern.fine:
        vertices, rest, faces = suit.finer(posed), suit.rest, suit.faces
    for field in fields:
        faces, (rest, vertices) = cut(faces, field(rest), rest, vertices)
    if pattern.creases > 0.0:
        seated = suit.seat_height_m is not None
        deep = folds(suit.cuts, suit.seed, rest, pattern.creases, seated, pattern.fabric.wide)
        vertices = vertices + normals(vertices, faces) * np.maximum(deep, -SUNK_M)[:, None]
    return ClothSheet(vertices, faces, rest)


def _hung(suit: Suit, used: Index, quads: Index, pattern: Pattern) -> Array:
    """Where the cloth over the coarse suit's vertices `used` comes to lie (n, 3)."""
    coarse = suit.coarse
    rest, posed = coarse.rest[used], coarse.posed[used]
    net = Net(triangles(quads), len(used))
    # A sleeve is set in close under the arm, or cloth would hang there like a wing.
    room, off = pattern.room(rest) * (1.0 - 0.8 * under_arm(suit, rest)), pattern.off(rest)
    at_rest = _cut_out(suit, net, rest, normals(coarse.rest, coarse.faces)[used], room, pattern)
    lifted = (
        posed + normals(coarse.posed, coarse.faces)[used] * np.maximum(0.7 * room, off)[:, None]
    )
    start = net.smooth(lifted, 4, 0.5)
    threads = _threads(suit, quads, rest, (at_rest, start), pattern)
    # The lowest part of an armhole is caught between arm and trunk.
    held = (under_arm(suit, rest) > 0.6) & (normals(coarse.rest, coarse.faces)[used, 2] < -0.2)
    if pattern.held is not None:
        held |= pattern.held(rest) > 0.0
    settle = partial(lie_on_seat, seat_height_m=suit.seat_height_m)
    contacts = _contacts(suit, rest, off)
    lain = relax(start, threads, contacts, pattern.rounds, held, settle)
    smooth = net.smooth(lain, 12, _knotted(lain, net))
    for contact in contacts:
        contact.look(smooth)
        contact.push(smooth, smooth.copy())
    return settle(smooth)


def _knotted(points: Array, net: Net) -> Array:
    """0..1 (n,): where triangles round a point face many ways: cloth caught in a crease."""
    corner = points[net.faces]
    way = unit(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]) + 1e-12)
    at = net.faces.reshape(-1)
    total = [np.bincount(at, np.repeat(one, 3), minlength=net.count) for one in way.T]
    number = np.bincount(at, minlength=net.count)
    agree = np.linalg.norm(total, axis=0) / np.maximum(number, 1)
    wide = np.clip((0.80 - agree) / 0.2, 0.0, 1.0)
    for _ in range(2):
        np.maximum.at(wide, net.edges[:, 0], 0.8 * wide[net.edges[:, 1]])
        np.maximum.at(wide, net.edges[:, 1], 0.8 * wide[net.edges[:, 0]])
    return np.asarray(0.6 * wide)


def _cut_out(
    suit: Suit, net: Net, rest: Array, normal: Array, room: Array, pattern: Pattern
) -> Array:
    """The cloth as it is cut (n, 3): over the body at rest, straight over its hollows."""
    out = net.smooth(rest + normal * room[:, None], 5, 0.5)
    gap = ((out - rest) * normal).sum(axis=1)
    out += normal * np.clip(0.8 * room - gap, 0.0, None)[:, None]
    if pattern.hang is None:
        return out
    arm, hip = suit.cuts.joint("upperarm01.L")[2], suit.cuts.joint("upperleg01.L")[2]
    on_trunk = 1.0 - suit.cuts.along_arm(rest)[1]
    out += hang(out, on_trunk, float(arm) - 0.07, float(hip), pattern.hang)
    return net.smooth(out, 3, 0.5)


def _threads(
    suit: Suit, quads: Index, rest: Array, cut_out: tuple[Array, Array], pattern: Pattern
) -> Threads:
    threads, diagonals, across = links(quads)
    fabric = pattern.fabric
    kinds = ((threads, (1.0, fabric.give)), (diagonals, DIAGONAL), (across, (0.0, fabric.stiff)))
    pairs = np.concatenate([kind for kind, _ in kinds])
    share = np.concatenate([np.tile(part, (len(kind), 1)) for kind, part in kinds])
    way, posed = (one[pairs[:, 1]] - one[pairs[:, 0]] for one in cut_out)
    length = np.linalg.norm(way, axis=1)
    # Armholes are cut for arms that are down about as far as these are, or cloth would stand off
    # beside the chest like a wing.
    down = PITCH * under_arm(suit, rest)[pairs].mean(axis=1)
    length += down * (np.linalg.norm(posed, axis=1) - length)
    on = suit.cuts.along_arm(rest)[1][pairs].mean(axis=1)
    shoulder, wrist = suit.cuts.joint("upperarm01.L"), suit.cuts.joint("wrist.L")
    arm = unit(wrist - shoulder) * np.stack(
        [np.sign(rest[pairs[:, 0], 0]), *np.ones((2, len(way)))], 1
    )
    along = ((way * arm).sum(axis=1) / np.maximum(length, 1e-9)) ** 2
    # No cloth is even, and no two people's folds are alike.
    uneven = UNEVEN * slow(rest, 0.12, np.random.default_rng(suit.seed + 3))[pairs].mean(axis=1)
    length *= 1.0 + pattern.longer * on * along + uneven
    return Threads(pairs, length, share, len(rest))


def _contacts(suit: Suit, rest: Array, off: Array) -> list[Contact]:
    """The body against the cloth: first what may touch it, at last what it is worn on."""
    on = suit.cuts.along_arm(rest)[1] >= 0.5
    trunk, *arms = suit.solids
    sides = [on & (sign * rest[:, 0] > 0.0) for sign in (1.0, -1.0)]
    body = np.flatnonzero(~on)
    may: list[Contact] = []
    own = [Contact(trunk, body, off[body], REACH_M)]
    for arm, side in zip(arms, sides, strict=True):
        sleeve = np.flatnonzero(side)
        if len(sleeve) and len(body):
            may.append(Contact(trunk, sleeve, np.full(len(sleeve), APART_M), 3.0 * APART_M))
            may.append(Contact(arm, body, np.full(len(body), APART_M), 3.0 * APART_M))
        own.append(Contact(arm, sleeve, off[sleeve], REACH_M))
    return [*may, *own]


def links(quads: Index) -> tuple[Index, Index, Index]:
    """Pairs of corners of a net of quads: threads, diagonals, and pairs across a thread."""
    count = int(quads.max()) + 1
    a, b, c, d = (np.roll(quads, -k, axis=1).reshape(-1) for k in range(4))
    key = np.minimum(a, b) * count + np.maximum(a, b)
    order = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[order][1:] == key[order][:-1])
    one, two = order[same], order[same + 1]
    # The two quads run opposite ways along the thread between them.
    across = np.stack([np.concatenate([d[one], c[one]]), np.concatenate([c[two], d[two]])], axis=1)
    threads = np.unique(key)
    diagonals = np.concatenate([quads[:, [0, 2]], quads[:, [1, 3]]])
    return np.stack([threads // count, threads % count], axis=1), diagonals, across
