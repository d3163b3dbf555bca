"""How cloth hangs: over the hollows of the trunk, down from what stands out, in folds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cuts import Cuts

SLICE_M = 0.012
SECTORS = 72
FADE_M = 0.06  # over which the hanging begins, below the armpits


@dataclass(frozen=True)
class Hang:
    """How a garment falls from the bust and the shoulder blades.

    slope   how fast it comes back to the body below what stands out, metres a metre
    """

    slope: float


def hang(points: Array, on_trunk: Array, top_z: float, low_z: float, how: Hang) -> Array:
    """Distance outwards (n, 3) by which the cloth of a trunk leaves what it lies on.

    points    (n, 3) of the garment, posed
    on_trunk  (n,) 0..1
    top_z     height of the armpits, where hanging begins; `low_z` where it ends
    """
    used = (on_trunk > 0.6) & (points[:, 2] < top_z + FADE_M) & (points[:, 2] > low_z)
    if used.sum() < 200:
        return np.zeros_like(points)
    z = points[:, 2]
    row = np.clip(((top_z + FADE_M - z) / SLICE_M).astype(np.int64), 0, None)
    count = int(row[used].max()) + 1
    centre = _centres(points[used], row[used], count)
    rel = points[:, :2] - centre[np.clip(row, 0, count - 1)]
    radius = np.maximum(np.linalg.norm(rel, axis=1), 1e-6)
    angle = np.arctan2(rel[:, 1], rel[:, 0])
    sector = ((angle / (2.0 * np.pi) + 0.5) * SECTORS).astype(np.int64) % SECTORS
    grid = np.zeros((count, SECTORS))
    np.maximum.at(grid, (row[used], sector[used]), radius[used])
    fall = _fall(_filled(grid), centre, how.slope)
    want = _lookup(fall, (top_z + FADE_M - z) / SLICE_M - 0.5, angle)
    fade = np.clip((top_z + FADE_M - z) / FADE_M, 0.0, 1.0)
    gap = np.clip(want - radius, 0.0, 0.06) * fade * on_trunk
    gap[z < low_z - 0.03] = 0.0
    out = np.zeros_like(points)
    out[:, :2] = rel / radius[:, None] * gap[:, None]
    return out


def _centres(points: Array, row: Index, count: int) -> Array:
    """Middle of each slice (count, 2), on a straight line."""
    rows = np.unique(row)
    middle = np.array(
        [0.5 * (points[row == r, :2].min(axis=0) + points[row == r, :2].max(axis=0)) for r in rows]
    )
    line = [np.polyfit(rows, middle[:, k], 1) for k in (0, 1)]
    every = np.arange(count)
    return np.stack([np.polyval(part, every) for part in line], axis=1)


def _filled(grid: Array) -> Array:
    """Radii without gaps: sectors nobody lies in take their neighbours' values."""
    out = grid.copy()
    at = np.arange(SECTORS)
    for r in range(len(grid)):
        has = grid[r] > 0.0
        if has.sum() < 3:
            out[r] = out[r - 1] if r else 0.0
            continue
        out[r] = np.interp(at, at[has], grid[r][has], period=SECTORS)
    return out


def _fall(radius: Array, centre: Array, slope: float) -> Array:
    """Each slice made convex, and none further in than the fall from the slices above."""
    angle = (np.arange(SECTORS) + 0.5) / SECTORS * 2.0 * np.pi
    apart = np.cos(angle[:, None] - angle[None, :])
    support = (radius[:, :, None] * apart[None]).max(axis=1)
    facing = np.where(apart > 0.2, apart, np.nan)
    hull = np.nanmin(support[:, :, None] / facing[None], axis=1)
    way = np.stack([-np.cos(angle), -np.sin(angle)], axis=1)
    # Less at the sides, where the arm holds the cloth.
    back_in = slope * SLICE_M * (1.0 + 1.6 * np.cos(angle) ** 2)
    out = hull.copy()
    for r in range(1, len(out)):
        step = (centre[r] - centre[r - 1]) @ way.T
        out[r] = np.maximum(out[r], out[r - 1] - step - back_in)
    return np.asarray(out)


def _lookup(grid: Array, row: Array, angle: Array) -> Array:
    """Values between the slices and sectors, by straight lines."""
    row = np.clip(row, 0.0, len(grid) - 1.001)
    sector = (angle / (2.0 * np.pi) + 0.5) * SECTORS - 0.5
    r0, s0 = np.floor(row).astype(np.int64), np.floor(sector).astype(np.int64)
    r, s = row - r0, sector - s0
    a, b = s0 % SECTORS, (s0 + 1) % SECTORS
    above = grid[r0, a] * (1.0 - s) + grid[r0, b] * s
    below = grid[r0 + 1, a] * (1.0 - s) + grid[r0 + 1, b] * s
    return np.asarray(above * (1.0 - r) + below * r)


def folds(cuts: Cuts, seed: int, p: Array, size: float) -> Array:
    """Creases of an upper garment (n,), metres, at points at rest (n, 3).

    They gather inside the elbow and over the wrist, wind along the sleeve, run from the armpit
    to the chest and across the waist. A seam runs round each shoulder.
    """
    along, on = cuts.along_arm(p)
    random = np.random.default_rng(seed)
    warp = slow(p, 0.10, random)
    # Creases come and go: nowhere a ripple of even strength.
    gate = np.clip(0.65 + 0.55 * slow(p, 0.07, random), 0.0, 1.6)
    sleeve = _sleeve_folds(cuts, p, along, warp, gate)
    trunk_part = (1.0 - on) * _trunk_folds(cuts, p, warp, gate)
    return np.asarray(size * (on * sleeve + trunk_part + _crumples(p, random)) - _seam(along, on))


def _crumples(p: Array, random: np.random.Generator) -> Array:
    """Dents that wearing leaves, a hand's breadth to a finger's, and the sharp lines between."""
    lines = np.exp(-((slow(p, 0.075, random) / 0.30) ** 2)) * np.clip(slow(p, 0.11, random), 0, 1.5)
    dents = 0.0013 * slow(p, 0.065, random) + 0.0006 * slow(p, 0.032, random)
    return np.asarray(dents + 0.0022 * lines)


def _seam(along: Array, on: Array) -> Array:
    """The seam of an armhole: a shallow groove round the shoulder."""
    return np.asarray(0.0014 * np.exp(-(((along - 0.034) / 0.0065) ** 2)) * (on > 0.0))


def _sleeve_folds(cuts: Cuts, p: Array, along: Array, warp: Array, gate: Array) -> Array:
    shoulder, elbow, wrist = (cuts.joint(f"{n}.L") for n in ("upperarm01", "lowerarm01", "wrist"))
    bend = float(np.linalg.norm(elbow - shoulder))
    end = bend + float(np.linalg.norm(wrist - elbow))
    mirrored = np.stack([np.abs(p[:, 0]), p[:, 1], p[:, 2]], axis=1)
    line = shoulder + np.clip(along / end, 0.0, 1.0)[:, None] * (wrist - shoulder)
    rel = mirrored - line
    round_arm = np.arctan2(rel[:, 2], -rel[:, 1])
    inner = 0.5 + 0.5 * np.cos(round_arm)
    from_bend = along - bend
    # A fan: tight where the arm folds, wide at the point of the elbow.
    fan = _ridge(2.0 * np.pi * from_bend / (0.040 + 0.030 * (1.0 - inner)) + 1.6 * warp)
    out = 0.0100 * np.exp(-((from_bend / 0.085) ** 2)) * (0.30 + 0.70 * inner) * fan
    drag = _ridge(2.0 * np.pi * along / 0.095 + np.sin(round_arm) * 2.2 + 2.2 * warp)
    out += 0.0050 * drag * np.clip((along - 0.08) / 0.10, 0.0, 1.0)
    stack = _ridge(2.0 * np.pi * along / 0.040 + 0.9 * np.sin(round_arm) + 2.0 * warp)
    out += 0.0055 * np.exp(-(((along - end + 0.075) / 0.040) ** 2)) * stack
    cuff = np.clip((end - 0.035 - along) / 0.02, 0.0, 1.0)
    return np.asarray(out * gate * cuff)


def _trunk_folds(cuts: Cuts, p: Array, warp: Array, gate: Array) -> Array:
    k = cuts.scale
    arm, waist = cuts.joint("upperarm01.L"), cuts.joint("spine04")[2]
    # From the armpit towards the chest: rays about a point under the shoulder.
    dx, dz = np.abs(p[:, 0]) - arm[0] + 0.02 * k, p[:, 2] - arm[2] + 0.075 * k
    far = np.hypot(dx, dz)
    rays = _ridge(9.0 * np.arctan2(dz, -dx) + 1.5 * warp)
    out = 0.0060 * np.exp(-(((far - 0.075 * k) / (0.05 * k)) ** 2)) * rays
    # Sagging between the sides, lower in the middle.
    sag = (p[:, 2] + 0.16 * np.abs(p[:, 0])) / 0.060
    belt = np.exp(-(((p[:, 2] - waist + 0.01) / (0.08 * k)) ** 2))
    out += 0.0085 * belt * _ridge(2.0 * np.pi * sag + 2.4 * warp)
    # Lengthwise falls below the chest.
    angle = np.arctan2(p[:, 0], -p[:, 1])
    under = np.clip((cuts.joint("spine02")[2] - p[:, 2]) / (0.12 * k), 0.0, 1.0)
    out += 0.0055 * under * _ridge(11.0 * angle + 2.0 * warp)
    # Where a front is buttoned it is doubled and stiff.
    stiff = np.exp(-((p[:, 0] / 0.030) ** 2)) * (p[:, 1] < 0.0)
    return np.asarray((out * gate + 0.0012 * warp) * (1.0 - 0.8 * stiff))


def _ridge(phase: Array) -> Array:
    """Round narrow ridges and broad valleys, about -0.4 to 1."""
    return np.asarray(1.4 * np.exp(1.5 * (np.cos(phase) - 1.0)) - 0.4)


def slow(p: Array, size_m: float, random: np.random.Generator) -> Array:
    """Slowly varying noise of about unit spread."""
    total = np.zeros(len(p))
    for _ in range(10):
        way = random.normal(size=3)
        way /= np.linalg.norm(way) * size_m * random.uniform(0.7, 1.5) / 3.0
        total += np.sin(p @ way + random.uniform(0.0, 6.28))
    return np.asarray(total / np.sqrt(5.0))
