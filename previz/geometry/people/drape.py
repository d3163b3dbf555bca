"""How cloth hangs: over the hollows of the trunk, and down from what stands out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index

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


def slow(p: Array, size_m: float, random: np.random.Generator) -> Array:
    """Slowly varying noise of about unit spread."""
    total = np.zeros(len(p))
    for _ in range(10):
        way = random.normal(size=3)
        way /= np.linalg.norm(way) * size_m * random.uniform(0.7, 1.5) / 3.0
        total += np.sin(p @ way + random.uniform(0.0, 6.28))
    return np.asarray(total / np.sqrt(5.0))
