"""Hair as curves: seeded strands that grow, are combed, fall, curl and clump.

Lengths and shapes are judged by eye on rendered heads; a human hair is 0.04 to 0.10 mm thick and
a head carries about 100,000 (from memory). Fewer and thicker strands cover as
well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.locks import LOOSE, clump, locks_of, wind
from previz.geometry.people.skeleton import unit
from previz.geometry.turned import torus

BUN_M, KNOT_M = 0.0105, 0.0205  # radii of the ring and of its tube
BUN_HAIRS = 3500
GRAVITY = np.array([0.0, 0.0, -1.0])


@dataclass(frozen=True)
class Style:
    """How one kind of hair grows.

    count        strands of `points` points each; `radius_m` at the root
    lift         share of the way out of the skin at the root, 0..1
    fall         how strongly it bends down along its length
    clump        how far hairs draw together, 0..1, in locks of `cell_m`
    curl_m       radius of the curl or wave, and `pitch_m` of one turn
    """

    count: int
    points: int
    radius_m: float
    lift: float
    fall: float
    clump: float
    cell_m: float
    curl_m: float = 0.0
    pitch_m: float = 0.012


STYLES = {
    "short": Style(19000, 7, 0.000090, 0.46, 0.12, 0.55, 0.006),
    "medium": Style(15500, 11, 0.000105, 0.16, 1.9, 0.62, 0.012, 0.0042, 0.075),
    "long_tied": Style(19000, 8, 0.000105, 0.12, 0.0, 0.40, 0.010),
    "curly": Style(10900, 17, 0.000105, 0.75, 0.25, 0.86, 0.0085, 0.0046, 0.015),
}


@dataclass(frozen=True, eq=False)
class PosedHead:
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


def fit_head(scalp: Array, turn: Array) -> PosedHead:
    """Ellipsoid round the scalp's points (n, 3), in the head's own axes."""
    own = scalp @ turn
    low, high = own.min(axis=0), own.max(axis=0)
    half = 0.5 * (high - low)
    # The scalp is open below: its width and depth are right, its height is from the top down.
    radii = np.array([half[0], half[1], 0.5 * (half[0] + half[1])])
    middle = 0.5 * (low + high)
    middle[2] = high[2] - radii[2]
    return PosedHead(turn @ middle, radii, turn)


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
    name: str, head: PosedHead, place: Array, normal: Array, grown: Array, seed: int
) -> tuple[Array, Array]:
    """Strands (n, points, 3) and radii (n, points) of the style `name`."""
    style = STYLES[name]
    random = np.random.default_rng(seed)
    own = head.local(place)
    out = normal @ head.turn
    length = _length(name, own / head.radii, grown, random)
    flow = _flow(name, own, head, random)
    curve = _grow(style, head, own, out, flow, length, name, random)
    if name == "long_tied":
        bun = _bun(head, style.points, random)
        curve = np.concatenate([curve, bun])
        own = np.concatenate([own, bun[:, 0]])
        grown = np.concatenate([grown, np.full(len(bun), 0.1)])
    curve = _in_locks(style, curve, own, random)
    taper = np.linspace(1.0, 0.40, style.points)[None, :]
    # Finer at the hairline, where it begins.
    fine = np.interp(grown, [0.0, 0.015], [0.55, 1.0])[:, None]
    radius = style.radius_m * taper * fine * random.uniform(0.7, 1.25, (len(curve), 1))
    return head.world(curve), radius


def _in_locks(style: Style, curve: Array, own: Array, random: np.random.Generator) -> Array:
    """Hairs gathered in locks and those in larger ones, waved or wound where the style is."""
    group = locks_of(own, style.cell_m, random)
    if style.curl_m == 0.0:
        return clump(curve, group, style.clump, 1.2, random)
    tight = style.pitch_m < 0.03
    if tight:
        curve = clump(curve, group, style.clump, 0.5, random)
        return wind(curve, group, style.curl_m, style.pitch_m, 0.22, random)
    wide = locks_of(own, 2.2 * style.cell_m, random)
    curve = clump(curve, wide, 0.45 * style.clump, 1.6, random)
    curve = clump(curve, group, style.clump, 0.8, random)
    return wind(curve, wide, style.curl_m, style.pitch_m, 0.5, random)


def _length(name: str, at: Array, grown: Array, random: np.random.Generator) -> Array:
    """Length of every strand, metres; `at` (n, 3) roots over the ellipsoid's radii."""
    n = len(at)
    top = np.clip((at[:, 2] - 0.15) / 0.6, 0.0, 1.0)
    edge = np.clip(grown / 0.02, 0.0, 1.0)
    vary = random.uniform(0.82, 1.12, n)
    if name == "short":
        return np.asarray((0.009 + 0.028 * top**1.2) * (0.55 + 0.45 * edge) * vary)
    if name == "medium":
        # Cut to one level under the jaw, though no two hairs end alike.
        high = np.clip(at[:, 2] + 0.3, 0.0, 1.3)
        layered = 0.105 + 0.085 * high
        return np.asarray(layered * (0.55 + 0.45 * edge) * random.uniform(0.74, 1.10, n))
    if name == "curly":
        return np.asarray((0.032 + 0.036 * top) * (0.40 + 0.60 * edge) * vary)
    return np.full(n, 0.15)


def _flow(name: str, own: Array, head: PosedHead, random: np.random.Generator) -> Array:
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
    # Parted on the left along a line that wavers, swept aside and back from the face.
    line = 0.30 + 0.035 * np.sin(23.0 * at[:, 1]) + 0.02 * random.normal(size=n)
    part = np.tanh((at[:, 0] - line) / 0.03)[:, None]
    front = np.clip((-at[:, 1:2] - 0.2) / 0.5, 0.0, 1.0)
    across = part * np.array([1.0, 0.0, 0.0]) + np.array([0.0, 0.25, 0.10])
    across = across + front * np.array([0.0, 0.30, 0.25])
    return unit(crown * across + (1.0 - crown) * down)


def _tie(head: PosedHead) -> Array:
    """Where long hair is tied, in the head's own axes."""
    return np.asarray(head.radii * np.array([0.0, 1.12, 0.12]))


def _grow(
    style: Style,
    head: PosedHead,
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
    jitter[random.random(n) < LOOSE] *= 2.5
    along = flow - (flow * out).sum(axis=1, keepdims=True) * out
    way = unit(style.lift * out + (1.0 - style.lift) * unit(along + 1e-6 * out) + jitter)
    down = GRAVITY @ head.turn
    # Locks lie over one another: most of a hair's height is that of its lock.
    group = locks_of(own, 1.3 * style.cell_m, random)
    layer = 0.75 * random.random(group.max() + 1)[group] + 0.25 * random.random(n)
    points = [own - 0.001 * out]
    goal = _tie(head) + 0.007 * random.normal(size=(n, 3))
    step = length / (style.points - 1)
    for i in range(1, style.points):
        share = i / (style.points - 1)
        here = points[-1] + way * step[:, None]
        if name == "long_tied":
            # All meet at the tie, close over the skull.
            here = own + (goal - own) * share
            here = _outside(head, here, 0.003 + 0.011 * np.sin(np.pi * share**0.5) * layer)
        else:
            # Close to the skull at the root, then fuller; the ends come in again.
            full = min(1.0, 2.5 * share) * (1.0 - 0.45 * max(0.0, share - 0.55) / 0.45)
            thick = 0.002 + 0.018 * layer * full
            here = _outside(head, here, thick if name == "medium" else 0.5 * thick)
            if name == "medium":
                here = _clear_of_face(head, here)
        way = unit(here - points[-1] + 1e-9)
        turn = flow * 0.10 + down * style.fall * (0.25 + share)
        way = unit(way + turn)
        points.append(here)
    return np.stack(points, axis=1)


def _outside(head: PosedHead, points: Array, margin_m: Array | float) -> Array:
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


def _clear_of_face(head: PosedHead, points: Array) -> Array:
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


def bun_core(head: PosedHead) -> tuple[Array, Index]:
    """The inside of the knot, which light does not get through: vertices and faces."""
    ring = torus(BUN_M, 0.75 * KNOT_M, sections=32, sides=16)
    # The knot is wound about the axis that points back.
    local = np.asarray(ring.vertices)[:, [0, 2, 1]] * np.array([1.0, -1.0, 1.0])
    return head.world(_knot(head) + local), np.asarray(ring.faces)


def _knot(head: PosedHead) -> Array:
    """Middle of the knot, in the head's own axes."""
    return np.asarray(_tie(head) + np.array([0.0, 0.018, 0.0]))


def _bun(head: PosedHead, points: int, random: np.random.Generator) -> Array:
    """A knot of hair at the tie: a rope of hair wound round an axis that points back."""
    count = BUN_HAIRS
    centre = _knot(head)
    start = random.uniform(0.0, 2.0 * np.pi, count)
    tube = random.uniform(0.0, 2.0 * np.pi, count)
    depth = KNOT_M * np.sqrt(random.uniform(0.60, 1.0, count))
    depth *= np.where(random.random(count) < LOOSE, random.uniform(1.02, 1.22, count), 1.0)
    turn = np.linspace(0.0, 1.6, points)[None, :]
    angle = start[:, None] + turn
    tubes = tube[:, None] + 1.1 * turn + random.normal(0.0, 0.10, (count, 1))
    # Three strands to the rope: its section swells and sinks as it goes round.
    strand = 1.0 + 0.10 * np.cos(3.0 * tubes - 2.0 * angle)
    thick = depth[:, None] * strand
    ring = np.abs(BUN_M + thick * np.cos(tubes))
    return np.asarray(
        centre
        + np.stack([ring * np.cos(angle), thick * np.sin(tubes), ring * np.sin(angle)], axis=2)
    )
