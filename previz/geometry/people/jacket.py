"""A jacket: its fronts, lapels, collar, buttons and pockets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.hairs import FaceSurface
from previz.geometry.people.lying import Ground, look_up, sheet
from previz.geometry.people.meshing import normals
from previz.geometry.people.neck import Neck
from previz.geometry.people.seams import STITCHED, Profile, Seam
from previz.geometry.piece import Piece
from previz.geometry.smooth import smooth

SEAM_M = -0.001  # the collar's seam over the base of the neck
CLOTH = "cloth_jacket"
ARMHOLE_M = 0.017  # past the end of the shoulder: a pad carries the cloth out to it
PAD_M = 0.017  # thickness of the pad where it ends
# The sleeve is eased in: it stands a little over the seam.
SLEEVE_HEAD: Profile = (
    (-0.0040, 0.0), (0.0, -0.0008), (0.0022, 0.0020), (0.0090, 0.0024), (0.0240, 0.0),
)  # fmt: skip
WRAP_M = 0.016  # by which the left front laps over the right
GORGE = 0.83  # how far up the roll line the lapel ends and the collar begins
BACK_STATIONS = 61
STAND_M = 0.030  # height of the collar's fold behind
FALL_M = 0.046  # length of the collar's leaf
FOLD_M = 0.024  # from the neck to the fold: the shirt's collar stands between


@dataclass(frozen=True, eq=False)
class JacketFront:
    """The front opening in the plane (x, z) of the body at rest, metres.

    button_z   height of the button that is closed
    top        (x, z) where the roll line meets the neckline on the left
    angle      of that point round the neck
    hem_z      height of the hem
    size       of the person against the base body
    """

    button_z: float
    top: Array
    angle: float
    hem_z: float
    size: float

    def half(self, z: Array) -> Array:
        """Half the width of the opening at a height."""
        rise = np.clip(z - self.button_z, 0.0, None)
        fall = np.clip(self.button_z - 0.10 * self.size - z, 0.0, None)
        slope = self.top[0] / (self.top[1] - self.button_z)
        return np.asarray(0.0012 + slope * rise + 1.6 * fall**2)

    def middle(self, z: Array) -> Array:
        """Where its middle lies: the left front laps over the right at the button."""
        share = np.clip((z - self.button_z) / (0.11 * self.size), 0.0, 1.0)
        return np.asarray(-WRAP_M * (1.0 - smooth(share)))

    def edge(self, z: Array, sign: float) -> Array:
        """x of the left (sign 1) or right (-1) edge at a height."""
        return self.middle(z) + sign * self.half(z)


def opening_of(cuts: Cuts, neck: Neck) -> JacketFront:
    """The opening on one body; `neck` is the ring the collar stands on."""
    angle = np.radians(72.0)
    top = neck.rest_at(angle)
    button = float(cuts.joint("spine03")[2]) - 0.015
    hem = float(cuts.joint("upperleg01.L")[2]) - 0.02
    return JacketFront(button, np.array([top[0], top[2]]), float(angle), hem, cuts.scale / 0.9)


class Front:
    """The front of the jacket's cloth, before it is cut open, found by (x, z) at rest."""

    def __init__(self, cuts: Cuts, cloth: ClothSheet) -> None:
        shoulder = cuts.joint("upperarm01.L")
        corner = cloth.rest[cloth.faces]
        ahead = corner[:, :, 1].mean(axis=1) < shoulder[1] + 0.03
        inside = np.abs(corner[:, :, 0]).max(axis=1) < shoulder[0] + 0.02
        normal = normals(cloth.vertices, cloth.faces)
        front = cloth.faces[ahead & inside]
        self.surface = FaceSurface(cloth.rest, cloth.vertices, front, normal)
        self.ground = Ground(cloth.vertices, normal)

    def on(self, xz: Array, off: Array) -> Array:
        """Posed points (..., 3) at `xz` (..., 2), `off` (...) metres off the cloth."""
        place, normal = look_up(self.surface, xz.reshape(-1, 2))
        place = place + off.reshape(-1, 1) * normal
        return np.asarray(place.reshape(*xz.shape[:-1], 3))


# Along a lapel's width: x against the edge in metres, and height off the cloth, where it folds.
RETURN_M = ((-0.0035, -0.0075), (-0.0052, -0.0045), (-0.0060, -0.0005), (-0.0052, 0.0035))


def lapel(front: Front, gap: JacketFront, sign: float, colour: Array) -> Piece:
    """One lapel: folded back along the roll line, from the button to the gorge."""
    t = np.concatenate([np.linspace(0.0, 0.8, 22), np.linspace(0.83, 1.0, 10)])[:, None]
    across = np.array([[0.0, 0.06, 0.14, 0.26, 0.40, 0.56, 0.72, 0.87, 1.0]])
    z = gap.button_z + t * GORGE * (gap.top[1] - gap.button_z)
    wide = gap.size * np.interp(
        t, [0.0, 0.04, 0.2, 0.5, 0.8, 1.0], [0.004, 0.010, 0.032, 0.062, 0.080, 0.086]
    )
    drop = gorge_drop() * np.clip((t - 0.55) / 0.45, 0.0, 1.0) ** 2
    # Where the lapel starts at the button it is pressed flat.
    roll = np.clip(t / 0.10, 0.25, 1.0)
    start = np.array([RETURN_M])
    x = np.concatenate([roll * start[..., 0], across * wide], axis=1)
    off = 0.0030 + 0.0035 * roll * np.exp(-(((across - 0.06) / 0.20) ** 2))
    off = np.concatenate([roll * start[..., 1] + 0.0 * t, off], axis=1)
    height = z - drop * np.clip(x, 0.0, None)
    grid = np.stack([gap.edge(z, sign) + sign * x, height + 0.0 * x], axis=-1)
    name = "lapel_left" if sign > 0 else "lapel_right"
    return sheet(name, _smooth(front.on(grid, off), 3), 0.0022, CLOTH, colour)


def gorge_drop() -> float:
    """How far the seam between lapel and collar falls outwards, metres a metre."""
    return 0.24


def collar(front: Front, gap: JacketFront, neck: Neck, colour: Array) -> Piece:
    """The collar: from one notch round the back of the neck to the other."""
    left, right = (_collar_front(front, gap, sign) for sign in (1.0, -1.0))
    back = _collar_back(gap, neck)
    rows = np.concatenate([left, back, right[::-1]])
    count = len(left)
    for _ in range(6):
        inner = slice(count - 4, len(rows) - count + 4)
        before = rows[count - 5 : len(rows) - count + 3]
        after = rows[count - 3 : len(rows) - count + 5]
        rows[inner] = 0.5 * rows[inner] + 0.25 * (before + after)
    leaf = slice(3, rows.shape[1])
    down = np.linspace(0.0, 1.0, rows.shape[1] - 3)[None, :]
    high = np.where(down > 0.75, 0.0045 + (1.0 - down) * 0.03, 9.0)
    for _ in range(2):
        rows[:, leaf] = front.ground.lay(rows[:, leaf], 0.0042, high)
        rows[1:-1, leaf] = 0.5 * rows[1:-1, leaf] + 0.25 * (rows[2:, leaf] + rows[:-2, leaf])
    return sheet("jacket_collar", rows, 0.0024, CLOTH, colour)


# Shares of the leaf's width, from the fold to its edge; three rows of the stand come before.
LEAF = np.array([0.0, 0.06, 0.15, 0.3, 0.45, 0.6, 0.75, 0.88, 1.0])


def _collar_front(front: Front, gap: JacketFront, sign: float) -> Array:
    """Rows (8, 12, 3) of the collar's front: from the notch up towards the shoulder."""
    s, top = gap.size, gap.top
    low = gap.button_z + GORGE * (top[1] - gap.button_z)
    z = np.linspace(low, top[1] - 0.012, 8)
    wide = 0.086 * s
    seam = np.array([0.56 * wide, -gorge_drop() * 0.56 * wide])
    point = seam + s * np.array([0.012, 0.030])
    last = np.array([0.043 * s, -0.004])
    rows = []
    for share, height in zip(np.linspace(0.0, 1.0, 8), z, strict=True):
        fold = np.array([float(gap.edge(height, 1.0)) - 0.002, height])
        end = (1.0 - share) * (np.array([float(gap.edge(low, 1.0)), low]) + point)
        end = end + share * (np.array([float(gap.edge(z[-1], 1.0)), z[-1]]) + last)
        straight = fold + LEAF[:, None] * (end - fold)
        bent = np.stack(
            [
                np.interp(LEAF, [0.0, 0.62, 1.0], [fold[0], fold[0] + seam[0], end[0]]),
                np.interp(LEAF, [0.0, 0.62, 1.0], [fold[1], fold[1] + seam[1], end[1]]),
            ],
            axis=1,
        )
        part = float(np.clip(1.0 - share / 0.45, 0.0, 1.0))
        rows.append(part * bent + (1.0 - part) * straight)
    # In front nothing stands inside the fold: the cloth only turns round the edge.
    plane = np.stack(rows)
    turn = np.array(RETURN_M)[[0, 1, 2]]
    under = plane[:, :1] + np.stack([turn[:, 0], np.zeros(3)], axis=1)
    plane = np.concatenate([under, plane], axis=1)
    off = np.concatenate([turn[:, 1] + 0.0005, 0.0035 + 0.0035 * np.exp(-LEAF / 0.25)])
    plane[..., 0] *= sign
    if sign < 0:
        mirror = gap.edge(z, -1.0) + gap.edge(z, 1.0)
        plane[..., 0] += mirror[:, None]
    return front.on(plane, np.tile(off, (8, 1)))


def _collar_back(gap: JacketFront, neck: Neck) -> Array:
    """Rows (BACK_STATIONS, 12, 3) of the collar from shoulder to shoulder."""
    angle = np.linspace(gap.angle + 0.10, 2.0 * np.pi - gap.angle - 0.10, BACK_STATIONS)
    from_end = np.minimum(angle - angle[0], angle[-1] - angle)
    share = smooth(np.clip(from_end / np.radians(60.0), 0.0, 1.0))
    stand = (0.008 + (STAND_M - 0.008) * share) * gap.size
    base = neck.radius(angle)
    fold = np.clip(neck.section(0.022, angle) + FOLD_M, 0.0, base + 0.006)
    rows = [
        neck.at(angle, base - 0.001, np.full(len(angle), -0.012)),
        neck.at(angle, 0.5 * (base + fold) - 0.001, 0.5 * stand),
        neck.at(angle, fold - 0.002, stand - 0.003),
    ]
    steep = np.radians(32.0 + 40.0 * share)
    for part in LEAF:
        out = FALL_M * gap.size * part
        arch = 0.004 * np.sin(np.pi * np.clip(part / 0.3, 0.0, 1.0))
        radius = fold + 0.002 + np.cos(steep) * out + arch
        rows.append(neck.at(angle, radius, stand - np.sin(steep) * out + 0.3 * arch))
    return np.stack(rows, axis=1)


def darts(cuts: Cuts, gap: JacketFront) -> Seam:
    """From below the breast down to the pockets, one a side, leaning outwards."""
    s, side = gap.size, float(cuts.joint("upperarm01.L")[1])

    def where(p: Array) -> Array:
        z = p[:, 2] - gap.button_z
        return np.asarray(np.min([0.11 * s - z, z + 0.16 * s, side - p[:, 1]], axis=0))

    def line(p: Array) -> Array:
        # Behind there is none.
        behind = 2.0 * np.clip(p[:, 1] - side, 0.0, None)
        at = 0.088 * s - 0.12 * (p[:, 2] - gap.button_z)
        return np.asarray(np.abs(p[:, 0]) - at + behind)

    return Seam(line, STITCHED, where)


def pockets(front: Front, gap: JacketFront, colour: Array, welt: bool) -> list[Piece]:
    """Flaps at the hips, and a `welt` on the left breast of a man's jacket."""
    s = gap.size
    low = gap.hem_z + 0.40 * (gap.button_z - gap.hem_z)
    found = []
    for name, sign in (("flap_left", 1.0), ("flap_right", -1.0)):
        x, z = np.linspace(0.055, 0.145, 14) * s, np.linspace(0.024, -0.024, 7) * s
        grid = np.stack(np.meshgrid(sign * x, low + z, indexing="ij"), axis=-1)
        grid[..., 1] += 0.06 * (x[:, None] - 0.1 * s)
        off = np.broadcast_to(np.linspace(0.0012, 0.0032, 7), grid.shape[:-1])
        found.append(sheet(name, _smooth(front.on(grid, off), 2), 0.0022, CLOTH, colour))
    if not welt:
        return found
    high = gap.button_z + 0.52 * (gap.top[1] - gap.button_z)
    x, z = np.linspace(0.088, 0.165, 12) * s, np.linspace(0.011, -0.011, 5) * s
    grid = np.stack(np.meshgrid(x, high + z, indexing="ij"), axis=-1)
    grid[..., 1] += 0.14 * (x[:, None] - 0.13 * s)
    off = np.broadcast_to(np.full(5, 0.0016), grid.shape[:-1])
    found.append(sheet("welt", _smooth(front.on(grid, off), 2), 0.0018, CLOTH, colour))
    return found


def patches(front: Front, cuts: Cuts, colour: Array) -> list[Piece]:
    """Patch pockets of a work jacket: one on the left breast, two at the hips."""
    s = cuts.scale / 0.9
    breast = float(cuts.joint("spine01")[2]) - 0.075 * s
    # Above the hem: below it there is no cloth to lie on.
    hip = float(cuts.joint("upperleg01.L")[2]) + 0.040 + 0.080 * s
    found = []
    for name, x, z, half, high in (
        ("patch_breast", 0.092, breast, 0.052, 0.062),
        ("patch_left", 0.090, hip, 0.062, 0.080),
        ("patch_right", -0.090, hip, 0.062, 0.080),
    ):
        across = np.linspace(-half, half, 17) * s + x * s
        up = np.linspace(high, -high, 17) * s + z
        grid = np.stack(np.meshgrid(across, up, indexing="ij"), axis=-1)
        off = np.full(grid.shape[:-1], 0.0022)
        found.append(sheet(name, _smooth(front.on(grid, off), 2), 0.0026, "denim", colour))
    return found


def button_places(front: Front, gap: JacketFront) -> tuple[Array, Array]:
    """Where the buttons sit, and which way they face: the closed one, and one below."""
    z = np.array([gap.button_z - 0.004, gap.button_z - 0.10 * gap.size])
    return front.surface.over(np.stack([np.zeros_like(z), z], axis=1))


def _smooth(rows: Array, rounds: int) -> Array:
    out = rows.copy()
    for _ in range(rounds):
        out[1:-1] = 0.5 * out[1:-1] + 0.25 * (out[2:] + out[:-2])
    return out
