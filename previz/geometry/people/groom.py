"""Hair as curves: seeded strands that grow, are combed, fall, curl and clump.

Lengths and shapes are judged by eye on rendered heads; a human hair is 0.04 to 0.10 mm thick and
a head carries about 100,000 (textbook figures, from memory). Fewer and thicker strands cover as
well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.skeleton import unit

POINTS = 8
BUN_M, KNOT_M = 0.019, 0.017  # radii of the ring and of its tube
GRAVITY = np.array([0.0, 0.0, -1.0])


@dataclass(frozen=True)
class Style:
    """How one kind of hair grows.

    count        strands; `radius_m` at the root
    lift         share of the way out of the skin at the root, 0..1
    fall         how strongly it bends down along its length
    clump        how far tips draw together, 0..1, in cells of `cell_m`
    curl_m       radius of the curl, and `pitch_m` of one turn
    """

    count: int
    radius_m: float
    lift: float
    fall: float
    clump: float
    cell_m: float
    curl_m: float = 0.0
    pitch_m: float = 0.012


STYLES = {
    "short": Style(20000, 0.000085, 0.50, 0.10, 0.45, 0.007),
    "medium": Style(18000, 0.000095, 0.12, 2.2, 0.55, 0.011),
    "long_tied": Style(22000, 0.000110, 0.12, 0.0, 0.40, 0.010),
    "curly": Style(15000, 0.000090, 0.75, 0.22, 0.75, 0.010, 0.0050, 0.016),
}


@dataclass(frozen=True, eq=False)
class Head:
    """The posed head that hair grows on.

    centre, radii   ellipsoid (3,) that fits the scalp, in the head's own axes
    turn            (3, 3) the head's rotation
    """

    centre: Array
    radii: Array
    turn: Array

    def local(self, points: Array) -> Array:
        """World points in the head's own axes, from its centre."""
        return np.asarray((points - self.centre) @ self.turn)

    def world(self, local: Array) -> Array:
        """Back from the head's own axes."""
        return np.asarray(local @ self.turn.T + self.centre)


def fit_head(scalp: Array, turn: Array) -> Head:
    """Ellipsoid round the scalp's points (n, 3), in the head's own axes."""
    own = scalp @ turn
    low, high = own.min(axis=0), own.max(axis=0)
    half = 0.5 * (high - low)
    # The scalp is open below: its width and depth are right, its height is from the top down.
    radii = np.array([half[0], half[1], 0.5 * (half[0] + half[1])])
    middle = 0.5 * (low + high)
    middle[2] = high[2] - radii[2]
    return Head(turn @ middle, radii, turn)


def roots(
    vertices: Array,
    faces: Index,
    field: Array,
    normal: Array,
    count: int,
    random: np.random.Generator,
) -> tuple[Array, Array, Array]:
    """Roots (n, 3), normals (n, 3) and height over the hairline (n,), evenly over the scalp."""
    inside = (field[faces] > -0.002).all(axis=1)
    scalp = faces[inside]
    a, b, c = (vertices[scalp[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    pick = random.choice(len(scalp), size=count, p=area / area.sum())
    uv = random.random((count, 2))
    over = uv.sum(axis=1) > 1.0
    uv[over] = 1.0 - uv[over]
    weights = np.stack([1.0 - uv.sum(axis=1), uv[:, 0], uv[:, 1]], axis=1)
    corners = scalp[pick]
    place = np.einsum("nk,nkc->nc", weights, vertices[corners])
    way = unit(np.einsum("nk,nkc->nc", weights, normal[corners]))
    grown = np.einsum("nk,nk->n", weights, field[corners])
    # A hairline is not a line: density fades over two centimetres.
    keep = random.random(count) < np.clip((grown + 0.002) / 0.018, 0.03, 1.0)
    return place[keep], way[keep], grown[keep]


def groom(
    name: str, head: Head, place: Array, normal: Array, grown: Array, seed: int
) -> tuple[Array, Array]:
    """Strands (n, POINTS, 3) and radii (n, POINTS) of the style `name`."""
    style = STYLES[name]
    random = np.random.default_rng(seed)
    own = head.local(place)
    out = normal @ head.turn
    length = _length(name, own / head.radii, grown, random)
    flow = _flow(name, own, head, random)
    curve = _grow(style, head, own, out, flow, length, name, random)
    if name == "long_tied":
        bun = _bun(head, random)
        curve = np.concatenate([curve, bun])
        length = np.concatenate([length, np.full(len(bun), 0.2)])
        own = np.concatenate([own, bun[:, 0]])
    curve = _clump(style, curve, own, random)
    if style.curl_m > 0.0:
        curve = _curl(style, curve, own, length, random)
    taper = np.linspace(1.0, 0.45, POINTS)[None, :]
    radius = style.radius_m * taper * random.uniform(0.8, 1.2, (len(curve), 1))
    return head.world(curve), radius


def _length(name: str, at: Array, grown: Array, random: np.random.Generator) -> Array:
    """Length of every strand, metres; `at` (n, 3) roots over the ellipsoid's radii."""
    n = len(at)
    top = np.clip((at[:, 2] - 0.15) / 0.6, 0.0, 1.0)
    edge = np.clip(grown / 0.02, 0.0, 1.0)
    vary = random.uniform(0.82, 1.12, n)
    if name == "short":
        return np.asarray((0.009 + 0.028 * top**1.2) * (0.55 + 0.45 * edge) * vary)
    if name == "medium":
        return np.asarray((0.185 + 0.045 * top) * (0.75 + 0.25 * edge) * vary)
    if name == "curly":
        return np.asarray((0.032 + 0.036 * top) * (0.40 + 0.60 * edge) * vary)
    return np.full(n, 0.15)


def _flow(name: str, own: Array, head: Head, random: np.random.Generator) -> Array:
    """Direction each root is combed in, in the head's own axes: +X left, -Y front, +Z up."""
    at = own / head.radii
    n = len(own)
    if name == "long_tied":
        return unit(_tie(head) - own)
    crown = np.clip((at[:, 2] - 0.20) / 0.5, 0.0, 1.0)[:, None]
    down = np.tile([0.0, 0.30, -1.0], (n, 1))
    if name == "curly":
        return unit(unit(at) + 0.25 * down)
    if name == "short":
        # Combed over to the right from a low part, up and off the forehead in front.
        front = np.clip((-at[:, 1:2] - 0.1) / 0.6, 0.0, 1.0)
        over = np.array([-0.80, 0.25, 0.10]) + front * np.array([0.15, -0.40, 0.55])
        return unit(crown * over + (1.0 - crown) * (down + np.array([0.0, 0.35, 0.0])))
    # Parted a little to the left, not along a ruler; swept aside and back from the face.
    line = 0.12 + 0.14 * random.normal(size=n)
    part = np.tanh((at[:, 0] - line) / 0.03)[:, None]
    across = part * np.array([1.0, 0.0, 0.0]) + np.array([0.0, 0.30, 0.10])
    return unit(crown * across + (1.0 - crown) * down)


def _tie(head: Head) -> Array:
    """Where long hair is tied, in the head's own axes."""
    return np.asarray(head.radii * np.array([0.0, 1.12, 0.12]))


def _grow(
    style: Style,
    head: Head,
    own: Array,
    out: Array,
    flow: Array,
    length: Array,
    name: str,
    random: np.random.Generator,
) -> Array:
    """Walk every strand from its root, over the skull and down."""
    n = len(own)
    jitter = random.normal(0.0, 0.16 if name != "long_tied" else 0.05, (n, 3))
    along = flow - (flow * out).sum(axis=1, keepdims=True) * out
    way = unit(style.lift * out + (1.0 - style.lift) * unit(along + 1e-6 * out) + jitter)
    down = GRAVITY @ head.turn
    layer = random.uniform(0.0, 1.0, n) ** 0.8
    points = [own - 0.001 * out]
    goal = _tie(head) + 0.007 * random.normal(size=(n, 3))
    step = length / (POINTS - 1)
    for i in range(1, POINTS):
        share = i / (POINTS - 1)
        here = points[-1] + way * step[:, None]
        if name == "long_tied":
            # All meet at the tie, close over the skull.
            here = own + (goal - own) * share
            here = _outside(head, here, 0.003 + 0.011 * np.sin(np.pi * share**0.5) * layer)
        else:
            thick = 0.003 + 0.014 * layer * min(1.0, 2.5 * share)
            here = _outside(head, here, thick if name == "medium" else 0.5 * thick)
            if name == "medium":
                here = _clear_of_face(head, here)
        way = unit(here - points[-1] + 1e-9)
        turn = flow * 0.10 + down * style.fall * (0.25 + share)
        way = unit(way + turn)
        points.append(here)
    return np.stack(points, axis=1)


def _outside(head: Head, points: Array, margin_m: Array | float) -> Array:
    """Push points out of the skull to at least `margin_m` over it, and out of the neck."""
    radii = head.radii + 0.0
    # Below the skull's middle the head goes on down as a column: ears, jaw and neck.
    squash = points.copy()
    squash[:, 2] = np.where(points[:, 2] < 0.0, points[:, 2] * 0.22, points[:, 2])
    size = np.linalg.norm(squash / radii, axis=1)
    want = 1.0 + np.asarray(margin_m) / radii.mean()
    grow = np.where(size < want, want / np.maximum(size, 1e-6), 1.0)[:, None]
    pushed = squash * grow
    pushed[:, 2] = np.where(points[:, 2] < 0.0, points[:, 2], pushed[:, 2])
    return pushed


def _clear_of_face(head: Head, points: Array) -> Array:
    """Keep hair that falls beside the face from crossing it."""
    x, y, z = (points / head.radii).T
    low = z < 0.45
    front = np.clip((-y - 0.35) / 0.4, 0.0, 1.0) * low
    out = points.copy()
    side = np.where(x >= 0.0, 1.0, -1.0)
    wanted = side * head.radii[0] * 1.02
    out[:, 0] += front * np.where(np.abs(out[:, 0]) < np.abs(wanted), wanted - out[:, 0], 0.0)
    out[:, 1] += front * 0.35 * (-0.30 * head.radii[1] - out[:, 1])
    return out


def bun_core(head: Head) -> tuple[Array, Index]:
    """The inside of the knot, which light does not get through: vertices and faces."""
    torus = trimesh.creation.torus(BUN_M, 0.75 * KNOT_M, major_sections=32, minor_sections=16)
    # The knot is wound about the axis that points back.
    local = np.asarray(torus.vertices)[:, [0, 2, 1]] * np.array([1.0, -1.0, 1.0])
    return head.world(_knot(head) + local), np.asarray(torus.faces)


def _knot(head: Head) -> Array:
    """Middle of the knot, in the head's own axes."""
    return np.asarray(_tie(head) + np.array([0.0, 0.018, 0.0]))


def _bun(head: Head, random: np.random.Generator) -> Array:
    """A knot of hair at the tie: rings wound about an axis that leans back."""
    count = 3500
    centre, big, small = _knot(head), BUN_M, KNOT_M
    start = random.uniform(0.0, 2.0 * np.pi, count)
    tube = random.uniform(0.0, 2.0 * np.pi, count)
    depth = small * np.sqrt(random.uniform(0.55, 1.0, count))
    turn = np.linspace(0.0, 1.5, POINTS)[None, :]
    angle = start[:, None] + turn
    tubes = tube[:, None] + 0.9 * turn + random.normal(0.0, 0.05, (count, POINTS))
    ring = big + depth[:, None] * np.cos(tubes)
    points = np.stack(
        [ring * np.cos(angle), depth[:, None] * np.sin(tubes), ring * np.sin(angle)], axis=2
    )
    return np.asarray(centre + points)


def _clump(style: Style, curve: Array, own: Array, random: np.random.Generator) -> Array:
    """Draw the tips of neighbouring strands together, more towards the tip."""
    cell = np.floor((own + random.normal(0.0, 0.18 * style.cell_m, own.shape)) / style.cell_m)
    key = (cell @ np.array([1.0, 1009.0, 1018081.0])).astype(np.int64)
    _, group = np.unique(key, return_inverse=True)
    number = np.bincount(group).astype(float)
    middle = np.stack(
        [np.bincount(group, curve[:, i, k]) / number for i in range(POINTS) for k in range(3)],
        axis=1,
    ).reshape(-1, POINTS, 3)
    own_share = random.uniform(0.6, 1.0, len(curve))[:, None, None]
    share = style.clump * own_share * (np.linspace(0.0, 1.0, POINTS) ** 1.2)[None, :, None]
    return np.asarray(curve + share * (middle[group] - curve))


def _curl(
    style: Style, curve: Array, own: Array, length: Array, random: np.random.Generator
) -> Array:
    """Wind every strand round its own line; strands of one lock keep step."""
    cell = np.floor(own / style.cell_m)
    lock = np.sin(cell @ np.array([12.9898, 78.233, 37.719])) * 43758.5453
    phase = 2.0 * np.pi * (lock - np.floor(lock)) + random.normal(0.0, 0.35, len(own))
    along = unit(np.gradient(curve, axis=1))
    side = unit(np.cross(along, np.array([0.31, 0.27, 0.91])))
    other = np.cross(along, side)
    share = np.linspace(0.0, 1.0, POINTS)[None, :]
    angle = phase[:, None] + 2.0 * np.pi * share * (length / style.pitch_m)[:, None] * 0.55
    size = style.curl_m * np.minimum(1.0, 2.0 * share)
    return np.asarray(
        curve + (size * np.cos(angle))[..., None] * side + (size * np.sin(angle))[..., None] * other
    )
