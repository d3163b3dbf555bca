"""Eyeballs: white, iris, pupil and a clear cornea, turned to where the person looks.

The ball that fits the lids of the base body is larger than an eye, whose radius is 12 mm. What one
sees of an eye keeps its own size on it: an iris of 11.6 mm across (Le Grand's schematic eye, from
memory), a pupil of 4 mm as in the light of a set, a cornea a little flatter than the eye's 7.8 mm,
so that it stands no farther out. All are shares of the ball's radius, which is 16 mm.
"""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.figure import EyeColour
from previz.geometry.people.skeleton import shortest, unit
from previz.geometry.piece import Piece

# Shares of the ball's radius: estimates about the sizes above.
LIMBUS = 5.8 / 16.0
CORNEA = 8.5 / 16.0
PUPIL = 1.9 / 16.0
IRIS_DEPTH = 0.5 / 16.0
WHITE = np.array([0.47, 0.42, 0.375])
# The white of people with dark skin has pigment too: what it takes, from memory and by eye.
PIGMENTED, UNPIGMENTED_DEG = np.array([0.16, 0.22, 0.30]), 28.0
IRISES = {
    "dark_brown": ((0.020, 0.008, 0.003), (0.090, 0.038, 0.014)),
    "brown": ((0.040, 0.017, 0.006), (0.190, 0.086, 0.030)),
    "hazel": ((0.036, 0.024, 0.008), (0.165, 0.110, 0.036)),
    "green": ((0.028, 0.036, 0.017), (0.130, 0.150, 0.074)),
    "blue": ((0.022, 0.038, 0.062), (0.120, 0.175, 0.240)),
    "grey": ((0.034, 0.042, 0.050), (0.155, 0.175, 0.190)),
}
"""Reflectance between the fibres, and of the fibres: estimates, judged by eye."""
HEART = (0.100, 0.056, 0.022)
IRIS_FIBRES = 160


def usual_colour(ita_deg: float, seed: int) -> EyeColour:
    """A colour of eyes that is common with such skin; how often is an estimate."""
    names: tuple[EyeColour, ...] = ("brown", "brown", "hazel", "blue", "green", "grey", "blue")
    if ita_deg < 41.0:
        names = ("brown", "brown", "brown", "dark_brown", "hazel", "hazel", "green")
    if ita_deg < 28.0:
        names = ("brown", "dark_brown", "dark_brown")
    if ita_deg < 0.0:
        names = ("dark_brown",)
    return names[int(np.random.default_rng(seed + 5).integers(len(names)))]


def pigment(ita_deg: float) -> float:
    """How much pigment eyes and lids have outside of the iris, 0 to 1, by the skin's angle."""
    return float(np.clip((UNPIGMENTED_DEG - ita_deg) / 60.0, 0.0, 1.0))


def eye_pieces(
    name: str,
    centre: Array,
    radius_m: float,
    axis: Array,
    colour: str,
    ita_deg: float,
    seed: int,
) -> tuple[Piece, ...]:
    """White, iris with pupil, and cornea of one eye looking along `axis`.

    ita_deg  typology angle of the skin
    """
    turn = shortest(np.array([0.0, 0.0, 1.0]), unit(axis))
    parts = (
        ("white", "eye_white", *_white(ita_deg, seed)),
        ("iris", "iris", *_iris(colour, seed)),
        ("cornea", "cornea", *_cornea(), None),
    )
    pieces = []
    for part, material, points, faces, paint in parts:
        vertices = points * radius_m @ turn.T + centre
        mesh = Mesh(vertices, faces)
        pieces.append(
            Piece(f"{name}_{part}", mesh, material, smooth=True, colour=paint, closed=False)
        )
    return tuple(pieces)


def _rings(polar: Array, radius: Array, count: int, close: bool) -> tuple[Array, Index]:
    """Surface of revolution about Z: rings at heights `polar`, from the front backwards."""
    around = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    points = np.stack(
        [
            np.outer(radius, np.cos(around)),
            np.outer(radius, np.sin(around)),
            np.repeat(polar[:, None], count, axis=1),
        ],
        axis=-1,
    ).reshape(-1, 3)
    i = np.arange(len(polar) - 1)[:, None] * count
    j = np.arange(count)[None, :]
    a, b = (i + j).reshape(-1), (i + (j + 1) % count).reshape(-1)
    faces = np.concatenate(
        [np.stack([a, a + count, b], axis=1), np.stack([b, a + count, b + count], axis=1)]
    )
    if close:
        last = (len(polar) - 1) * count
        points = np.concatenate([points, [[0.0, 0.0, float(polar[-1])]]])
        tip = len(points) - 1
        k = np.arange(count)
        faces = np.concatenate(
            [faces, np.stack([last + k, np.full(count, tip), last + (k + 1) % count], axis=1)]
        )
    return points, faces


def _white(ita_deg: float, seed: int) -> tuple[Array, Index, Array]:
    start = np.arcsin(LIMBUS * 0.985)
    angle = np.concatenate([np.linspace(start, 1.45, 26), np.linspace(1.6, 2.9, 7)])
    points, faces = _rings(np.cos(angle), np.sin(angle), 96, close=True)
    from_axis = np.arccos(np.clip(points[:, 2] / np.linalg.norm(points, axis=1), -1, 1))
    around = np.arctan2(points[:, 1], points[:, 0])
    # Redder towards the corners, with vessels that wind towards the iris and end before it.
    out = np.clip((from_axis - start - 0.10) / 0.75, 0.0, 1.0)
    random = np.random.default_rng(seed + 3)
    vessels = np.zeros(len(points))
    for _ in range(34):
        bend = 0.10 * np.sin(from_axis * random.uniform(7.0, 14.0) + random.uniform(0.0, 6.28))
        away = np.angle(np.exp(1j * (around - random.uniform(0.0, 6.28) - bend)))
        vessels += random.uniform(0.3, 1.0) * np.exp(-((away / 0.035) ** 2))
    red = np.clip(0.55 * out + 0.8 * np.minimum(vessels, 1.0) * out, 0.0, 1.2)[:, None]
    # The edge of the iris shines through: a soft blue-grey ring.
    rim = np.clip(1.0 - (from_axis - start) / 0.13, 0.0, 1.0)[:, None] ** 2
    paint = (
        WHITE * (1.0 - pigment(ita_deg) * PIGMENTED) * (1.0 - red * np.array([0.08, 0.30, 0.30]))
    )
    return points, faces, paint * (1.0 - rim * np.array([0.62, 0.56, 0.50]))


def _iris(colour: str, seed: int) -> tuple[Array, Index, Array]:
    deep, bright = (np.array(c) for c in IRISES[colour])
    rim_z = np.cos(np.arcsin(LIMBUS)) - IRIS_DEPTH
    radius = np.concatenate([np.linspace(1.0, 0.335, 22) * LIMBUS, [PUPIL, PUPIL * 0.97]])
    radius = np.concatenate([radius, [PUPIL * 0.5]])
    height = rim_z - 0.02 * (1.0 - radius / LIMBUS)
    height[-2:] -= 0.02
    points, faces = _rings(height, radius, IRIS_FIBRES, close=True)
    share = np.hypot(points[:, 0], points[:, 1]) / LIMBUS
    angle = np.arctan2(points[:, 1], points[:, 0])
    random = np.random.default_rng(seed)
    # Fibres run from the pupil outwards; each wave bends a little on its way.
    fibres = np.zeros_like(angle)
    for wave in (13, 19, 29, 37, 43, 53, 61):
        bend = random.uniform(-1.5, 1.5)
        fibres += np.sin(wave * angle + random.uniform(0, 6.28) + bend * share) / 4.2
    # The collarette: a wavy bright frill a third of the way out, darker again inside it.
    wavy = 0.52 + 0.035 * np.sin(7 * angle + 1.0) + 0.025 * np.sin(11 * angle + seed)
    frill = np.exp(-(((share - wavy) / 0.07) ** 2))
    inside = np.clip((wavy - share) / 0.08, 0.0, 1.0)
    mix = np.clip(0.42 + 0.55 * fibres + 0.45 * frill - 0.20 * inside, 0.0, 1.0)[:, None]
    paint = deep + mix * (bright - deep)
    # Round the pupil even light eyes are brown.
    paint = paint + (0.5 * inside * (colour not in ("brown", "dark_brown")))[:, None] * (
        np.array(HEART) - paint
    )
    # The dark ring at the edge, and the ruff round the pupil.
    ring = np.clip((share - 0.86) / 0.13, 0.0, 1.0)[:, None]
    ruff = np.clip((share - PUPIL / LIMBUS) / 0.05, 0.25, 1.0)[:, None]
    paint = paint * (1.0 - 0.80 * ring**1.5) * ruff
    paint[share < (PUPIL / LIMBUS) * 1.01] = 0.002
    # The rings run inwards here, so the winding is turned round to face out of the eye.
    return points, faces[:, ::-1], paint


def _cornea() -> tuple[Array, Index]:
    rim = np.arcsin(LIMBUS * 1.03 / CORNEA)
    angle = np.linspace(rim, 0.03, 14)[::-1]
    base = np.cos(np.arcsin(LIMBUS)) - CORNEA * np.cos(rim)
    points, faces = _rings(CORNEA * np.cos(angle) + base, CORNEA * np.sin(angle), 48, close=False)
    tip = len(points)
    points = np.concatenate([points, [[0.0, 0.0, CORNEA + base]]])
    k = np.arange(48)
    faces = np.concatenate([faces, np.stack([np.full(48, tip), k, (k + 1) % 48], axis=1)])
    return points, faces
