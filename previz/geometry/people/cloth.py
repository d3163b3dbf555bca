"""Cloth on the posed body: cut from a smooth suit, lifted off the skin, folded, hemmed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.cuts import Cuts, Field
from previz.geometry.people.meshing import (
    Net,
    Subdivision,
    catmull_clark,
    cut,
    hem,
    normals,
    triangles,
)
from previz.geometry.people.relax import Solid
from previz.geometry.piece import Piece

SUIT_M = 0.0022  # off the skin, before refining draws it in to where it is round


@lru_cache(maxsize=8)
def refined(data: BodyData, part: str, levels: int) -> tuple[tuple[Subdivision, ...], Index]:
    """Subdivision steps for a part of the body, and its triangles after them."""
    faces = data.faces[part] - data.ranges[part][0]
    count = data.ranges[part][1] - data.ranges[part][0]
    steps = []
    for _ in range(levels):
        step = catmull_clark(faces, count)
        steps.append(step)
        faces, count = step.faces, int(step.rows[-1]) + 1
    return tuple(steps), triangles(faces)


@dataclass(frozen=True, eq=False)
class Suit:
    """The smooth suit the clothes are cut from, at rest and posed, over the same triangles.

    body_rest, body_posed   (V, 3) what it was refined from: every part of the body
    """

    rest: Array
    posed: Array
    faces: Index
    body_rest: Array
    body_posed: Array
    cuts: Cuts
    seat_height_m: float | None
    seed: int
    part: str = "suit"

    @property
    def free(self) -> Suit:
        """Another such sheet, that hangs free between the legs: a skirt's."""
        return self._other("skirt", 2)

    @cached_property
    def coarse(self) -> Suit:
        """The same sheet with a quarter of the triangles."""
        return self._other(self.part, 1)

    def finer(self, coarse: Array) -> Array:
        """Points (n, 3) of the coarse sheet as points of this one."""
        return refined(self.cuts.rest.data, self.part, 2)[0][1](coarse)

    @cached_property
    def solids(self) -> tuple[Solid, Solid, Solid]:
        """The body that cloth lies on: trunk with legs, left arm, right arm; they overlap."""
        body = self._other("suit", 1)
        on = self.cuts.along_arm(body.rest)[1]
        normal = normals(body.posed, body.faces)
        arms = [(on > 0.15) & (sign * body.rest[:, 0] > 0.0) for sign in (1.0, -1.0)]
        trunk, left, right = (Solid(body.posed[one], normal[one]) for one in (on < 0.8, *arms))
        return trunk, left, right

    def _other(self, part: str, levels: int) -> Suit:
        data = self.cuts.rest.data
        rest, posed, faces = _refine(data, part, levels, self.body_rest, self.body_posed)
        return replace(self, rest=rest, posed=posed, faces=faces, part=part)


def make_suit(
    data: BodyData, rest: Array, posed: Array, cuts: Cuts, seat_height_m: float | None, seed: int
) -> Suit:
    """Subdivide the suit twice, at rest and posed."""
    rest, posed = (_drawn_in(data, cuts, rest, one) for one in (rest, posed))
    return Suit(*_refine(data, "suit", 2, rest, posed), rest, posed, cuts, seat_height_m, seed)


def _drawn_in(data: BodyData, cuts: Cuts, rest: Array, points: Array) -> Array:
    """`points` (V, 3), at rest or posed, with the suit close on shoulders and arms.

    The archive's suit stands half a centimetre off the skin: with a garment's own room over it
    every sleeve would be padded.
    """
    place = data.ranges["suit"]
    suit, count = rest[data.part("suit")], data.ranges["body"][1]
    skin = normals(rest[:count], triangles(data.faces["body"]))
    from scipy.spatial import KDTree  # noqa: PLC0415 - only who drapes anew needs it

    near = KDTree(rest[:count]).query(suit)[1]
    off = ((suit - rest[near]) * skin[near]).sum(axis=1)
    on = cuts.along_arm(suit)[1]
    high = (suit[:, 2] - cuts.joint("upperarm01.L")[2]) / 0.05 + 1.0
    beside = (np.abs(suit[:, 0]) - 0.07) / 0.05
    share = np.maximum(on, np.clip(high, 0.0, 1.0) * np.clip(beside, 0.0, 1.0))
    out = points.copy()
    faces = triangles(data.faces["suit"]) - place[0]
    way = normals(points[data.part("suit")], faces)
    out[place[0] : place[1]] -= (share * np.clip(off - SUIT_M, 0.0, 0.006))[:, None] * way
    return out


def _refine(
    data: BodyData, part: str, levels: int, rest: Array, posed: Array
) -> tuple[Array, Array, Index]:
    steps, faces = refined(data, part, levels)
    both = np.concatenate([rest[data.part(part)], posed[data.part(part)]], axis=1)
    for step in steps:
        both = step(both)
    return both[:, :3].copy(), both[:, 3:].copy(), faces


@dataclass(frozen=True, eq=False)
class ClothSheet:
    """Cloth as it lies on the posed body, without its hems.

    vertices, rest   (V, 3) as it lies, and the points of the body at rest under them
    """

    vertices: Array
    faces: Index
    rest: Array

    def cut(self, field: Field) -> ClothSheet:
        """The part where `field` of the points at rest is >= 0."""
        faces, (vertices, rest) = cut(self.faces, field(self.rest), self.vertices, self.rest)
        return ClothSheet(vertices, faces, rest)

    def laid(self, by_m: float, rounds: int = 0) -> ClothSheet:
        """The same cloth `by_m` further out, smoothed for `rounds`: what is worn on top of it."""
        out = self.vertices + by_m * normals(self.vertices, self.faces)
        return replace(self, vertices=Net(self.faces, len(out)).smooth(out, rounds, 0.5))

    def banded(self, inside: Field, wide_m: float, out_m: float) -> tuple[ClothSheet, ClothSheet]:
        """The cloth without a band along an edge, and the band, which stands off by `out_m`.

        inside  distance from that edge into the cloth, from points at rest
        """
        plain = self.cut(lambda p: inside(p) - wide_m + 0.003)
        return plain, self.cut(lambda p: wide_m - inside(p)).laid(out_m)

    def hemmed(
        self, hem_m: tuple[float, float, float] = (0.003, 0.012, 0.001)
    ) -> tuple[Array, Index, Array]:
        """Vertices, faces and points at rest, with hems of a thickness, depth and bulge."""
        net = Net(self.faces, len(self.vertices))
        vertices, faces, origin = hem(self.vertices, net, *hem_m)
        return vertices, faces, self.rest[origin]


def settle(
    suit: Suit,
    fields: tuple[Field, ...],
    lift: Field,
    *,
    rounds: int,
    folds: Field | None = None,
    hold: Field | None = None,
) -> ClothSheet:
    """Cut, lift, smooth and fold.

    fields   each keeps where it is >= 0, in points at rest
    lift     distance off the suit, from points at rest
    folds    further distance, from points at rest
    hold     0..1, from points at rest: where the cloth may not sink into the body (everywhere)
    """
    faces, rest, posed = suit.faces, suit.rest, suit.posed
    for field in fields:
        faces, (rest, posed) = cut(faces, field(rest), rest, posed)
    off = lift(rest)
    net = Net(faces, len(posed))
    normal = normals(posed, faces)
    raised = posed + normal * off[:, None]
    settled = net.smooth(raised, rounds, 0.5)
    # Cloth spans hollows but never sinks into the body.
    gap = ((settled - posed) * normal).sum(axis=1)
    rise = np.clip(0.75 * off - gap, 0.0, None)
    if hold is not None:
        rise = rise * hold(rest)
    settled = settled + normal * rise[:, None]
    settled = net.smooth(settled, 2 if hold is None else 14, 0.4)
    if folds is not None:
        settled = settled + normals(settled, faces) * folds(rest)[:, None]
    return ClothSheet(lie_on_seat(settled, suit.seat_height_m), faces, rest)


def lie_on_seat(vertices: Array, seat_height_m: float | None) -> Array:
    """Press what would lie in the seat flat onto it."""
    if seat_height_m is None:
        return vertices
    x, y, z = vertices.T
    under = (z < seat_height_m) & (z > seat_height_m - 0.09) & (y > -0.30) & (np.abs(x) < 0.35)
    out = vertices.copy()
    out[under, 2] = seat_height_m + 0.0005
    return out


def piece(
    name: str, vertices: Array, faces: Index, material: str, colour: Array, uv: Array | None = None
) -> Piece:
    """A garment as a piece: an open sheet with hems; `uv` (V, 2) is its place in its pattern."""
    mesh = Mesh(vertices, faces)
    return Piece(name, mesh, material, smooth=True, colour=colour, closed=False, uv=uv)
