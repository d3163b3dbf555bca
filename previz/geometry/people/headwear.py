"""What is worn on the head: cloth laid round the form of the head, cut along an edge and folded.

Sizes and folds are estimates, judged by eye.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.figure import Headwear
from previz.geometry.people.hair.form import AROUND, DOWN, ROW_M, UP, HeadForm
from previz.geometry.people.meshing import Net, cut, hem, normals
from previz.geometry.people.scarf import outside_oval
from previz.geometry.piece import Piece
from previz.geometry.smooth import ramp

FINE = 4  # columns of cloth to one of the form
ROWS = 3  # rows of cloth to one of the form above the middle
SCARVES = ("headscarf", "loose_headscarf")


@dataclass(frozen=True, eq=False)
class Place:
    """Where on the head cloth lies, for every point of it.

    rest    (n, 3) as if the head were at rest, metres from between the eyes: +X left, -Y front
    angle   (n,) round the head from the front, radians, to the left positive
    """

    rest: Array
    angle: Array


@dataclass(frozen=True)
class Cut:
    """One kind of headwear: thickness and folds over the form, metres, and where it is kept.

    Each takes a Place and a seed. `edge` is positive on the cloth.
    """

    lift: Callable[[Place, int], Array]
    folds: Callable[[Place, int], Array]
    edge: Callable[[Place, float], Array]
    material: str
    span: int = 0  # rounds of smoothing that stretch it over hollows


@dataclass(frozen=True, eq=False)
class Head:
    """The head that is dressed.

    form        of skin and clothes, without the ears, which cloth holds flat
    to_rest     (4, 4) from the posed head to the head at rest
    middle      between the eyes at rest (3,); `chin` likewise
    """

    form: HeadForm
    to_rest: Array
    middle: Array
    chin: Array

    def at_rest(self, points: Array) -> Array:
        """World points as if the head were at rest, from between the eyes."""
        moved = points @ self.to_rest[:3, :3].T + self.to_rest[:3, 3]
        return np.asarray(moved - self.middle)


def headwear(kind: Headwear, head: Head, colour: Array, seed: int) -> list[Piece]:
    """The pieces of a kind of headwear in the world; none for "none"."""
    if kind == "none":
        return []
    how = CUTS[kind]
    points, faces = _laid(head.form, how.span)
    sheet = head.form.world(points)
    place = _place_of(head, sheet)
    edge = how.edge(place, float(head.chin[2] - head.middle[2]))
    faces, (sheet,) = cut(faces, edge, sheet)
    out = normals(sheet, faces)
    place = _place_of(head, sheet)
    off = how.lift(place, seed) + how.folds(place, seed)
    sheet = Net(faces, len(sheet)).smooth(sheet + off[:, None] * out, 3, 0.4)
    vertices, faces, _ = hem(sheet, Net(faces, len(sheet)), 0.003, 0.010, 0.0008)
    mesh = Mesh(vertices, faces)
    pieces = [Piece(kind, mesh, how.material, smooth=True, colour=colour, closed=False)]
    if kind == "flat_cap":
        pieces.append(_peak(head, colour))
    return pieces


def covered(kind: Headwear, rest: Array, chin_m: float) -> Array:
    """Positive (n,) where headwear hides the skin; `rest` (n, 3) from between the eyes."""
    if kind == "none":
        return np.full(len(rest), -1.0)
    angle = np.arctan2(rest[:, 0], -(rest[:, 1] - AXIS_M))
    return CUTS[kind].edge(Place(rest, angle), chin_m) - 0.004


AXIS_M = 0.085  # the axis of the head lies so far behind the eyes


def _place_of(head: Head, sheet: Array) -> Place:
    rest = head.at_rest(sheet)
    return Place(rest, np.arctan2(rest[:, 0], -(rest[:, 1] - AXIS_M)))


def _laid(form: HeadForm, span: int) -> tuple[Array, Index]:
    """A sheet all round the form, from far down to the top: local points and triangles."""
    reach = form.reach.copy()
    for _ in range(3):
        reach = 0.25 * np.roll(reach, 1, 0) + 0.5 * reach + 0.25 * np.roll(reach, -1, 0)
    loose = reach
    for _ in range(span):
        # Cloth spans hollows: it is nowhere nearer than what lies under it.
        middle = loose.copy()
        middle[:, 1:-1] = 0.5 * (loose[:, :-2] + loose[:, 2:])
        loose = np.maximum(reach, middle)
    columns = np.arange(AROUND * FINE) / FINE
    rows = np.concatenate([np.arange(0, DOWN, 1.0), DOWN + np.arange(0, UP * ROWS) / ROWS])
    c = np.floor(columns).astype(int)
    u = (columns - c)[:, None]
    wide = np.concatenate([loose, loose[:1]])
    fine = wide[c] * (1.0 - u) + wide[c + 1] * u
    r = np.floor(rows).astype(int)
    v = rows - r
    far = fine[:, r] * (1.0 - v) + fine[:, np.minimum(r + 1, DOWN + UP)] * v
    angle = columns[:, None] * (2.0 * np.pi / AROUND)
    up = np.where(rows < DOWN, 0.0, (rows - DOWN) * (0.5 * np.pi / UP))[None, :]
    height = np.where(rows < DOWN, (rows - DOWN) * ROW_M, 0.0)[None, :]
    side = far * np.cos(up)
    points = np.stack(
        [side * np.sin(angle), -side * np.cos(angle), far * np.sin(up) + height], axis=2
    )
    n, m = points.shape[:2]
    top = np.array([[0.0, 0.0, float(loose[:, -2].mean())]])
    index = np.arange(n * m).reshape(n, m)
    after = np.roll(index, -1, axis=0)
    a, b = index[:, :-1].reshape(-1), after[:, :-1].reshape(-1)
    d, e = index[:, 1:].reshape(-1), after[:, 1:].reshape(-1)
    crown = np.stack([index[:, -1], after[:, -1], np.full(n, n * m)], axis=1)
    faces = np.concatenate([np.stack([a, b, e], 1), np.stack([a, e, d], 1), crown])
    return np.concatenate([points.reshape(-1, 3), top]), faces


def _ridged(phase: Array) -> Array:
    """A fold: a round back and a narrow valley, -1 to 1."""
    return np.asarray(2.0 * np.abs(np.sin(0.5 * phase)) ** 0.8 - 1.0)


def _waver(at: Place, seed: int) -> Array:
    """Slow irregularity over the cloth, about -1 to 1."""
    x, y, z = at.rest.T
    shift = np.random.default_rng(seed + 51).uniform(0.0, 6.0, 3)
    wave = np.sin(31.0 * x + 17.0 * z + shift[0]) + np.sin(23.0 * y - 29.0 * z + shift[1])
    return np.asarray(0.4 * (wave + np.sin(47.0 * z + 13.0 * x + shift[2])))


def _oval(at: Place, chin_m: float) -> Array:
    """Distance outside the oval of the face, metres."""
    return outside_oval(at.rest, np.zeros(3), np.array([0.0, 0.0, chin_m]))


def _from_axis(at: Place) -> Array:
    """Distance from the axis of the head, metres."""
    return np.asarray(np.hypot(at.rest[:, 0], at.rest[:, 1] - AXIS_M))


def _below_chin(at: Place, chin_m: float) -> Array:
    """How far down cloth lies from the chin, along shoulders and chest as well as down, metres."""
    return np.asarray(chin_m - at.rest[:, 2] + 0.9 * np.clip(_from_axis(at) - 0.07, 0.0, None))


def _ring(at: Place) -> Array:
    """1 about the oval of the face, growing outwards."""
    return np.asarray(np.hypot(at.rest[:, 0] / 0.062, (at.rest[:, 2] + 0.035) / 0.092))


def _scarf_lift(at: Place, _seed: int) -> Array:
    low = ramp(-at.rest[:, 2], 0.06, 0.14)
    # It lies on the cheeks where it ends, and on shoulders and chest.
    lying = ramp(_from_axis(at), 0.085, 0.125)
    # There is hair under it, put up behind.
    behind = ramp(-np.cos(at.angle), -0.4, 0.8) * (1.0 - ramp(at.rest[:, 2], 0.02, 0.09))
    hair = 0.005 * ramp(_ring(at), 1.0, 1.35) + 0.008 * behind
    return np.asarray(0.002 + hair * (1.0 - low) + 0.009 * low - 0.005 * low * lying)


def _scarf_folds(at: Place, seed: int) -> Array:
    """Along the face, in swags round the throat, and out over the shoulders where it lies."""
    x, y, z = at.rest.T
    low, ring = ramp(-z, 0.05, 0.12), _ring(at)
    # From the temples down to the nape.
    beside = ramp(ring, 1.05, 1.5) * (1.0 - ramp(z, 0.01, 0.07)) * (1.0 - low)
    along = _rounded(2.0 * np.pi * (z + 0.55 * y) / 0.046 + 1.4 * _waver(at, seed))
    # Drawn to one shoulder: the swags hang lower on the other side.
    swag = z + 0.34 * x + 0.022 * np.cos(at.angle)
    lying = ramp(_from_axis(at), 0.080, 0.125)
    across = _rounded(2.0 * np.pi * swag / 0.036 + 1.5 * _waver(at, seed))
    falling = _rounded(6.0 * at.angle + 2.5 * _waver(at, seed))
    return np.asarray(
        0.0034 * beside * along + low * (0.0095 * (1.0 - lying) * across + 0.004 * lying * falling)
    )


def _rounded(phase: Array) -> Array:
    """A soft fold: a narrow round back and a broad valley, -0.4 to 1."""
    return np.asarray(1.4 * np.exp(1.3 * (np.cos(phase) - 1.0)) - 0.4)


def _loose_folds(at: Place, seed: int) -> Array:
    """Falling from the crown, the deeper the lower; one end is thrown over a shoulder."""
    x, _, z = at.rest.T
    low = ramp(-z, -0.06, 0.14)
    falling = _ridged(15.0 * at.angle + 3.0 * _waver(at, seed) + 9.0 * z)
    across = _ridged(70.0 * (z - 0.75 * x) + 2.4 * _waver(at, seed))
    front = ramp(np.cos(at.angle), 0.1, 0.8) * ramp(-z, 0.10, 0.17)
    deep = 0.0085 - 0.0055 * ramp(_from_axis(at), 0.11, 0.17)
    return np.asarray(
        0.0012 * falling + low * deep * ((1.0 - front) * falling + 0.9 * front * across)
    )


def _loose_lift(at: Place, _seed: int) -> Array:
    x, _, z = at.rest.T
    low = ramp(-z, -0.03, 0.13)
    lying = ramp(_from_axis(at), 0.11, 0.17)
    return np.asarray(0.010 + 0.016 * low + 0.010 * low * ramp(x, 0.0, 0.08) - 0.021 * low * lying)


def _band(front_m: float, side_m: float, back_m: float) -> Callable[[Place, float], Array]:
    """Over a line at a height over the eyes in front, over the ears and at the back."""

    def edge(at: Place, _chin_m: float) -> Array:
        turn = np.degrees(np.abs(at.angle))
        line = np.interp(
            turn, [0.0, 35.0, 85.0, 130.0, 180.0], [front_m, front_m, side_m, back_m, back_m]
        )
        return np.asarray(at.rest[:, 2] - line)

    return edge


def _turban_folds(at: Place, seed: int) -> Array:
    """Wraps that cross over the middle of the forehead."""
    x, _, z = at.rest.T
    lean = np.where(np.sin(0.9 + 55.0 * z) > 0.0, 1.0, -1.0)
    cross = z + 0.42 * np.abs(x) * ramp(np.cos(at.angle), -0.6, 0.6) + 0.05 * lean * x
    return np.asarray(0.0036 * _ridged(2.0 * np.pi * cross / 0.0145 + 0.7 * _waver(at, seed)))


def _turban_lift(at: Place, seed: int) -> Array:
    z = at.rest[:, 2]
    full = np.sin(np.pi * np.clip((z - 0.02) / 0.13, 0.0, 1.0)) ** 0.7
    return np.asarray(0.003 + 0.029 * full * (1.0 + 0.12 * _waver(at, seed)))


def _beanie_lift(at: Place, _seed: int) -> Array:
    z = at.rest[:, 2]
    line = _BEANIE(at, 0.0)
    brim = 1.0 - ramp(line, 0.038, 0.042)
    return np.asarray(0.006 + 0.0045 * brim + 0.020 * ramp(z, 0.09, 0.14))


def _beanie_folds(at: Place, seed: int) -> Array:
    ribs = np.sin(110.0 * at.angle) * (1.0 - ramp(at.rest[:, 2], 0.10, 0.135))
    return np.asarray(0.0007 * ribs + 0.0022 * _waver(at, seed) * ramp(at.rest[:, 2], 0.06, 0.11))


def _cap_lift(at: Place, _seed: int) -> Array:
    front = ramp(np.cos(at.angle), -0.2, 0.9)
    line = _CAP(at, 0.0)
    return np.asarray(0.006 + 0.022 * ramp(line, 0.0, 0.035) * (0.45 + 0.55 * front))


def _cap_folds(at: Place, seed: int) -> Array:
    return np.asarray(0.0016 * _waver(at, seed))


_BEANIE = _band(0.046, 0.010, -0.030)
_CAP = _band(0.058, 0.030, -0.006)


def _scarf_edge(at: Place, chin_m: float) -> Array:
    long = 0.148 + 0.026 * np.cos(at.angle) + 0.012 * np.sin(at.angle + 0.6)
    return np.minimum(_oval(at, chin_m), long - _below_chin(at, chin_m))


def _loose_edge(at: Place, chin_m: float) -> Array:
    # Open wider over the brow, and longer on the side that it is thrown over.
    oval = _oval(at, chin_m) - 0.006 - 0.010 * ramp(at.rest[:, 2], 0.0, 0.05)
    long = 0.215 + 0.5 * np.clip(at.rest[:, 0], -0.08, 0.08)
    return np.minimum(oval, long - _below_chin(at, chin_m))


CUTS: dict[Headwear, Cut] = {
    "headscarf": Cut(_scarf_lift, _scarf_folds, _scarf_edge, "cloth_shirt", span=60),
    "loose_headscarf": Cut(_loose_lift, _loose_folds, _loose_edge, "cloth_shirt", span=400),
    "turban": Cut(_turban_lift, _turban_folds, _band(0.050, 0.012, -0.030), "cloth_shirt"),
    "flat_cap": Cut(_cap_lift, _cap_folds, _CAP, "cloth_wool"),
    "beanie": Cut(_beanie_lift, _beanie_folds, _BEANIE, "cloth_wool"),
}


def _peak(head: Head, colour: Array) -> Piece:
    """The stiff peak of a cap, in front of its edge."""
    turn = np.radians(np.linspace(-58.0, 58.0, 49))
    share = np.linspace(0.0, 1.0, 9)
    out = np.stack([np.sin(turn), -np.cos(turn), np.zeros(len(turn))], axis=1)
    begin = out * 0.105 + np.array([0.0, AXIS_M, 0.064])
    local = head.form.local(_from_rest(head, begin))
    begin = head.at_rest(head.form.world(head.form.clear(local, 0.010)))
    long = 0.046 * np.cos(turn * np.pi / np.radians(120.0)) ** 0.6 + 0.004
    way = np.array([0.0, -1.0, -0.34])
    top = begin[:, None] + (share[None, :, None] * long[:, None, None]) * way
    # It bends down to the sides.
    top[..., 2] -= 0.16 * np.abs(begin[:, None, 0]) * share[None, :] + 0.004 * share[None, :] ** 2
    sheets = [top, top - np.array([0.0, 0.0, 0.004])]
    points = np.concatenate([sheet.reshape(-1, 3) for sheet in sheets])
    n, m = top.shape[:2]
    index = np.arange(n * m).reshape(n, m)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    quads = np.stack([a, b, c, d], axis=2).reshape(-1, 4)
    upper = np.concatenate([quads[:, [0, 2, 1]], quads[:, [0, 3, 2]]])
    rim = np.concatenate([index[0], index[1:-1, -1], index[-1, ::-1]])
    walls = np.stack([rim[:-1], rim[1:], rim[1:] + n * m, rim[:-1] + n * m], axis=1)
    walls = np.concatenate([walls[:, [0, 1, 2]], walls[:, [0, 2, 3]]])
    faces = np.concatenate([upper, upper[:, ::-1] + n * m, walls])
    mesh = Mesh(_from_rest(head, points), faces)
    return Piece("peak", mesh, "cloth_wool", smooth=True, colour=colour, closed=False)


def _from_rest(head: Head, rest: Array) -> Array:
    """Back from the head at rest to the world."""
    moved = rest + head.middle - head.to_rest[:3, 3]
    return np.asarray(moved @ np.linalg.inv(head.to_rest[:3, :3]).T)
