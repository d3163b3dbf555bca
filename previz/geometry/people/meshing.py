"""Meshes from meshes: subdividing, cutting along a smooth line, smoothing, hems."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.archive import Array, Index


@dataclass(frozen=True, eq=False)
class Subdivision:
    """One Catmull-Clark step as a matrix over whatever lies on the old vertices.

    Source: Catmull and Clark 1978, Computer-Aided Design 10(6), with the usual rule for open
    edges (midpoints, and 1/8 3/4 1/8 at the corners between).
    """

    rows: Index
    columns: Index
    values: Array
    faces: Index

    def __call__(self, x: Array) -> Array:
        """`x` (V, c) on the vertices of the finer mesh."""
        # Column by column: several times faster than rows of a few numbers.
        columns = [
            np.add.reduceat(self.values * np.take(column, self.columns), self._starts)
            for column in np.ascontiguousarray(x.T)
        ]
        return np.stack(columns, axis=1)

    @cached_property
    def _starts(self) -> Index:
        return np.flatnonzero(np.diff(self.rows, prepend=-1))


def catmull_clark(faces: Index, count: int) -> Subdivision:
    """The step for (F, 4) corners over `count` vertices; triangles repeat their last corner."""
    sides = np.where(faces[:, 2] == faces[:, 3], 3, 4)
    corner = np.arange(4)[None, :] < sides[:, None]
    face_of, at = np.nonzero(corner)
    this = faces[face_of, at]
    after = faces[face_of, (at + 1) % sides[face_of]]
    pairs = np.sort(np.stack([this, after], axis=1), axis=1)
    edges, edge_of = _unique_pairs(pairs, count)
    used = np.bincount(edge_of, minlength=len(edges))
    f0, e0 = count, count + len(faces)
    rows: list[Index] = []
    columns: list[Index] = []
    values: list[Array] = []

    def put(row: Index, column: Index, value: Array) -> None:
        rows.append(row)
        columns.append(column)
        values.append(np.broadcast_to(value, row.shape).astype(np.float64))

    share = 1.0 / sides[face_of]
    put(f0 + face_of, this, share)
    # Middles of edges: with the faces beside them where there are two.
    inner = used == 2
    ends = np.where(inner, 0.25, 0.5)
    for k in (0, 1):
        put(e0 + np.arange(len(edges)), edges[:, k], ends)
    beside = np.flatnonzero(inner[edge_of])
    for k in range(4):
        has = beside[sides[face_of[beside]] > k]
        put(e0 + edge_of[has], faces[face_of[has], k], 0.25 / sides[face_of[has]])
    # Old vertices.
    valence = np.bincount(edges.reshape(-1), minlength=count).astype(float)
    open_edges = edges[~inner]
    rim = np.bincount(open_edges.reshape(-1), minlength=count) > 0
    n = np.maximum(valence, 3.0)
    still = (valence < 2) | rim
    own = np.where(still, np.where(rim, 0.75, 1.0), (n - 3.0) / n)
    put(np.arange(count), np.arange(count), own)
    for a, b in ((0, 1), (1, 0)):
        put(open_edges[:, a], open_edges[:, b], np.full(len(open_edges), 0.125))
        inside = edges[~rim[edges[:, a]]]
        # 2R/n, R the mean of the edges' middles: half of it stays on the vertex itself.
        weight = 1.0 / n[inside[:, a]] ** 2
        put(inside[:, a], inside[:, b], weight)
        put(inside[:, a], inside[:, a], weight)
    touching = np.flatnonzero(~rim[this])
    for k in range(4):
        has = touching[sides[face_of[touching]] > k]
        weight = 1.0 / (n[this[has]] ** 2 * sides[face_of[has]])
        put(this[has], faces[face_of[has], k], weight)
    before_edge = edge_of[_before(face_of, at, sides)]
    quads = np.stack([this, e0 + edge_of, f0 + face_of, e0 + before_edge], axis=1)
    row, column = np.concatenate(rows), np.concatenate(columns)
    order = np.argsort(row, kind="stable")
    return Subdivision(row[order], column[order], np.concatenate(values)[order], quads)


def _unique_pairs(pairs: Index, count: int) -> tuple[Index, Index]:
    """Distinct rows of sorted index pairs below `count`, and which one each row is."""
    key, inverse = np.unique(pairs[:, 0] * count + pairs[:, 1], return_inverse=True)
    return np.stack([key // count, key % count], axis=1), inverse.reshape(-1)


def _before(face_of: Index, at: Index, sides: Index) -> Index:
    """Position, among the corners in order, of the corner before each corner of its face."""
    here = np.arange(len(at))
    return np.asarray(np.where(at == 0, here + sides[face_of] - 1, here - 1))


def triangles(faces: Index) -> Index:
    """(T, 3) of (F, 4) corners, without the halves that have no area."""
    both = np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]])
    a, b, c = both.T
    return np.asarray(both[(a != b) & (b != c) & (c != a)])


def normals(vertices: Array, faces: Index) -> Array:
    """Unit normals (V, 3) of a triangle mesh, weighted by area."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    face = np.cross(b - a, c - a)
    out = np.zeros_like(vertices)
    for axis in range(3):
        for k in range(3):
            out[:, axis] += np.bincount(faces[:, k], face[:, axis], minlength=len(vertices))
    size = np.linalg.norm(out, axis=1, keepdims=True)
    return np.asarray(out / np.maximum(size, 1e-30))


def cut(faces: Index, field: Array, *attributes: Array) -> tuple[Index, list[Array]]:
    """Keep the part of a triangle mesh where `field` >= 0, split along the line `field` = 0.

    attributes   (V, c) each; on the new vertices they are interpolated
    returns      faces over the vertices still used, and the attributes on those
    """
    kept, _, more = split(faces, field, *attributes)
    return compact(kept, *more)


def split(faces: Index, field: Array, *attributes: Array) -> tuple[Index, Index, list[Array]]:
    """Split a triangle mesh along the line `field` = 0.

    attributes   (V, c) each; on the new vertices, which come last, they are interpolated
    returns      the faces where `field` >= 0, those where it is less, and the attributes
    """
    inside = field >= 0.0
    number = inside[faces].sum(axis=1)
    kept, left = [faces[number == 3]], [faces[number == 0]]
    turned: list[tuple[Index, Index, Index]] = []
    crossing: list[Index] = []
    for count in (1, 2):
        some = faces[number == count]
        first = np.argmax(inside[some] if count == 1 else ~inside[some], axis=1)
        a, b, c = (np.take_along_axis(some, ((first + k) % 3)[:, None], 1)[:, 0] for k in range(3))
        turned.append((a, b, c))
        crossing += [np.stack([a, b], axis=1), np.stack([a, c], axis=1)]
    pairs = np.sort(np.concatenate(crossing), axis=1)
    edges, which = _unique_pairs(pairs, len(field))
    ends = np.cumsum([len(part) for part in crossing])
    ab1, ac1, ab2, ac2 = np.split(which + len(field), ends[:-1])
    # One corner alone on its side of the line: a tip, and two triangles of what is beyond.
    for (a, b, c), ab, ac, tips, beyond in (
        (turned[0], ab1, ac1, kept, left),
        (turned[1], ab2, ac2, left, kept),
    ):
        tips.append(np.stack([a, ab, ac], axis=1))
        beyond += [np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)]
    share = np.zeros(len(edges))
    if len(edges):
        low, high = field[edges[:, 0]], field[edges[:, 1]]
        share = low / (low - high)
    more = [
        np.concatenate([x, x[edges[:, 0]] + share[:, None] * (x[edges[:, 1]] - x[edges[:, 0]])])
        for x in attributes
    ]
    return np.concatenate(kept), np.concatenate(left), more


def compact(faces: Index, *attributes: Array) -> tuple[Index, list[Array]]:
    """Drop the vertices no face uses."""
    used = np.zeros(len(attributes[0]), dtype=bool)
    used[faces] = True
    place = np.cumsum(used) - 1
    return place[faces], [x[used] for x in attributes]


class Net:
    """How a triangle mesh hangs together: its edges, and which of them are open."""

    def __init__(self, faces: Index, count: int) -> None:
        self.faces = faces
        self.count = count
        self._directed = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        low, high = self._directed.min(axis=1), self._directed.max(axis=1)
        key, first, used = np.unique(low * count + high, return_index=True, return_counts=True)
        self.edges = np.stack([key // count, key % count], axis=1)
        self.open = used == 1
        self._rim = self._directed[first[self.open]]

    def loops(self) -> list[Index]:
        """Closed loops of vertices along the open edges, each in the order of its faces."""
        follow = {int(a): int(b) for a, b in self._rim}
        loops = []
        while follow:
            start = next(iter(follow))
            loop = [start]
            here = follow.pop(start)
            while here != start and here in follow:
                loop.append(here)
                here = follow.pop(here)
            loops.append(np.array(loop))
        return loops

    def smooth(self, vertices: Array, rounds: int, share: float | Array = 0.5) -> Array:
        """Move every vertex `share` of the way to the mean of its neighbours, `rounds` times.

        Vertices on an open edge move along that edge alone, so that hems stay where they are cut.
        """
        rim = np.zeros(self.count, dtype=bool)
        rim[self.edges[self.open]] = True
        a, b = self.edges.T
        apart = rim[a] & rim[b] & self.open
        here = np.concatenate([a[~rim[a]], b[~rim[b]], a[apart], b[apart]])
        there = np.concatenate([b[~rim[a]], a[~rim[b]], b[apart], a[apart]])
        parts = np.broadcast_to(np.asarray(share, dtype=float), self.count)
        goes = parts[here] > 0.0
        here, there = here[goes], there[goes]
        order = np.argsort(here, kind="stable")
        here, there = here[order], there[order]
        starts = np.flatnonzero(np.diff(here, prepend=-1))
        moving = here[starts]
        number = np.diff(np.append(starts, len(here)))
        part = parts[moving]
        out = np.ascontiguousarray(vertices.T)
        for _ in range(rounds):
            for column in out:
                mean = np.add.reduceat(np.take(column, there), starts) / number
                column[moving] += part * (mean - column[moving])
        return np.ascontiguousarray(out.T)


def hem(
    vertices: Array, net: Net, thickness_m: float, depth_m: float, bulge_m: float = 0.0
) -> tuple[Array, Index, Index]:
    """Fold every open edge inwards, so that cloth has a thickness where it ends.

    thickness_m   of the folded edge
    depth_m       how far the inner side runs back under the cloth
    bulge_m       how far the fold stands out over the cloth
    returns       vertices, faces, and for every vertex the old one it comes from
    """
    out, more = [vertices], [net.faces]
    origin = [np.arange(len(vertices))]
    normal = normals(vertices, net.faces)
    total = len(vertices)
    for loop in net.loops():
        if len(loop) < 6:
            continue
        n = _along_loop(normal[loop], 12)
        n /= np.linalg.norm(n, axis=1, keepdims=True)
        back = _inward(vertices, loop, n)
        at = vertices[loop]
        deep = depth_m * _straight(at)[:, None]
        profile = (
            (bulge_m, -0.25 * thickness_m),
            (0.5 * bulge_m - 0.3 * thickness_m, -0.5 * thickness_m),
            (-0.8 * thickness_m, -0.35 * thickness_m),
            (-thickness_m, 0.2 * thickness_m),
            (-thickness_m - 0.3 * deep, deep),
        )
        rings = [at + up * n + inward * back for up, inward in profile]
        last = loop
        for ring in rings:
            new = np.arange(len(loop)) + total
            total += len(loop)
            out.append(ring)
            origin.append(loop)
            more.append(_strip(last, new))
            last = new
    return np.concatenate(out), np.concatenate(more), np.concatenate(origin)


def bands(
    faces: Index, field: Array, period: float, share: float, *attributes: Array
) -> list[tuple[Index, list[Array]]]:
    """Split a mesh along the lines `field` = k * period and (k + share) * period.

    returns  two meshes: where the phase is below `share`, and the rest
    """
    on: list[tuple[Index, list[Array]]] = []
    off: list[tuple[Index, list[Array]]] = []
    low, high = field[faces].min(axis=1), field[faces].max(axis=1)
    for k in range(int(np.floor(field.min() / period)), int(np.ceil(field.max() / period))):
        for kept, start, end in ((on, k, k + share), (off, k + share, k + 1)):
            a, b = start * period, end * period
            near = faces[(high > a) & (low < b)]
            if not len(near):
                continue
            part, (height, *rest) = cut(near, field - a, field[:, None], *attributes)
            if not len(part):
                continue
            part, rest = cut(part, b - height[:, 0], *rest)
            if len(part):
                kept.append((part, rest))
    return [_gathered(on), _gathered(off)]


def _gathered(parts: list[tuple[Index, list[Array]]]) -> tuple[Index, list[Array]]:
    starts = np.cumsum([0, *[len(attributes[0]) for _, attributes in parts[:-1]]])
    faces = np.concatenate([f + s for (f, _), s in zip(parts, starts, strict=True)])
    columns = zip(*[attributes for _, attributes in parts], strict=True)
    return faces, [np.concatenate(column) for column in columns]


def _strip(first: Index, second: Index) -> Index:
    """Triangles between two closed loops of equal length, wound to continue the first's faces."""
    a, b = first, np.roll(first, -1)
    c, d = second, np.roll(second, -1)
    return np.concatenate([np.stack([b, a, c], axis=1), np.stack([b, c, d], axis=1)])


def _inward(vertices: Array, loop: Index, normal: Array) -> Array:
    """Unit directions along the cloth, from each point of an open loop into the cloth."""
    at = vertices[loop]
    along = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
    along = _along_loop(along, 12)
    back = np.cross(normal, along)
    return np.asarray(back / np.maximum(np.linalg.norm(back, axis=1, keepdims=True), 1e-12))


def _straight(at: Array) -> Array:
    """1 where a closed loop runs straight, towards 0 where it bends within a finger's breadth.

    A fold deeper than the bend is wide would come out through the cloth.
    """
    way = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-12)
    way = _along_loop(way, 2)
    bend = np.linalg.norm(np.roll(way, -3, axis=0) - np.roll(way, 3, axis=0), axis=1)
    wide = np.max([np.roll(bend, k) for k in range(-4, 5)], axis=0)
    return np.asarray(_along_loop(np.clip(1.15 - 1.4 * wide, 0.08, 1.0), 3))


def _along_loop(x: Array, rounds: int) -> Array:
    """Values along a closed loop, smoothed."""
    out = x.copy()
    for _ in range(rounds):
        out = 0.5 * out + 0.25 * (np.roll(out, 1, axis=0) + np.roll(out, -1, axis=0))
    return out


def edges_within(quads: Index, chosen: NDArray[np.bool_]) -> Index:
    """Edges (n, 2) of quads (m, 4), without repeats, both of whose ends are chosen."""
    edges = np.concatenate([quads[:, [k, (k + 1) % 4]] for k in range(4)])
    edges = edges[chosen[edges].all(axis=1) & (edges[:, 0] != edges[:, 1])]
    return np.asarray(np.unique(np.sort(edges, axis=1), axis=0))


def crossing(edges: Index, field: Array) -> tuple[Index, Array]:
    """Those of `edges` (m, 2) along which `field` (n,) changes its sign, and what share (k,) of
    the way from the first end it does."""
    edges = edges[field[edges[:, 0]] * field[edges[:, 1]] < 0.0]
    start, end = edges.T
    return edges, np.asarray(field[start] / (field[start] - field[end]))


def where_zero(edges: Index, points: Array, field: Array) -> Array:
    """Points (k, 3) at which `field` (n,) changes its sign along edges between `points` (n, 3)."""
    edges, share = crossing(edges, field)
    start, end = edges.T
    return np.asarray(points[start] + share[:, None] * (points[end] - points[start]))
