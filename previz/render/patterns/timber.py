"""Wood: staves glued side by side, floor boards, herringbone parquet.

Each plank is cut from a trunk whose rings are circles round a pith that wanders: where the cut
runs near the pith the rings open into arches, beside it they lie as straight lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import F32, Random, lines_of_noise, noise, smooth_step

SIZE_PX = 1024
RINGS_PER_PLANK = 26
GAP_M = 0.002


@dataclass(frozen=True, eq=False)
class Planks:
    """What differs from plank to plank, each (rows, n): per row of planks, along the grain.

    pith   where the pith lies across the plank, in plank widths
    depth  how far under the face it lies, in plank widths
    shift  start of the rings' count
    share  added to the second colour's share
    tone   factor
    """

    pith: F32
    depth: F32
    shift: F32
    share: F32
    tone: F32


def wood(random: Random, stave_m: float) -> PatternFigure:
    """A panel of staves `stave_m` wide."""
    staves = int(np.clip(round(1.2 / stave_m), 4, 12))
    planks = _planks(random, staves, np.arange(staves)[:, None] + np.zeros(SIZE_PX, int), 0.05)
    second, tone, _, _ = _sawn(random, planks)
    # Pores are open: the darkest of the tone lies deepest.
    height = np.clip((tone - 1.0) * 5.0, -1.0, 0.2) + 0.25 * second
    return PatternFigure(staves * stave_m, second, tone, height.astype(np.float32))


def boards(random: Random, width_m: float) -> PatternFigure:
    """Floor boards with open joints; two lengths to a row, staggered."""
    rows = int(np.clip(2 * round(1.1 / width_m), 4, 40))
    size_m = rows * width_m
    pixel_m = size_m / SIZE_PX
    along = (np.arange(SIZE_PX, dtype=np.float32) + 0.5) / SIZE_PX
    first = (np.arange(rows) * 0.37 + random.uniform(-0.06, 0.06, rows)) % 1.0
    length = random.uniform(0.4, 0.6, rows)
    from_joint = (along - first[:, None]) % 1.0
    other = from_joint >= length[:, None]
    planks = _planks(random, 2 * rows, 2 * np.arange(rows)[:, None] + other, 0.10)
    second, tone, row, across = _sawn(random, planks)

    nearest_end = np.minimum(
        np.minimum(from_joint, 1.0 - from_joint), np.abs(from_joint - length[:, None])
    )
    end_m = (nearest_end * size_m).astype(np.float32)[row]
    side_m = (np.minimum(across, 1.0 - across) * np.float32(width_m))[:, None]
    gap_m = np.minimum(end_m, side_m)
    open_share = np.clip((GAP_M / 2 + pixel_m / 2 - gap_m) / pixel_m, 0.0, 1.0)
    # A joint gathers dirt and a softened edge: darker for a few millimetres around.
    tone *= 1.0 - 0.72 * open_share - 0.10 * np.exp(-gap_m / 0.006)
    height = smooth_step(0.0, GAP_M + 1.5 * pixel_m, gap_m.astype(np.float32)) - 1.0
    # No board lies quite level or flat, which a low light shows.
    lean, cup = random.normal(0.0, (0.55, 0.4), (2 * rows, 2)).T.astype(np.float32)
    plank = (2 * np.arange(rows)[:, None] + other)[row]
    beside = (across - np.float32(0.5))[:, None]
    height += lean[plank] * beside + cup[plank] * (2.0 * beside) ** 2
    return PatternFigure(size_m, second, tone.astype(np.float32), height.astype(np.float32))


def parquet(random: Random, block_m: float, long: int = 6) -> PatternFigure:
    """Herringbone: blocks `long` times as long as wide, at 45 degrees to the tile."""
    cells = 2 * long
    size_m = cells * math.sqrt(2.0) * block_m
    pixel_m = size_m / SIZE_PX
    step = ((np.arange(SIZE_PX, dtype=np.float32) + 0.5) * (cells / SIZE_PX)).astype(np.float32)
    x, y = step[None, :] - step[:, None], step[None, :] + step[:, None]
    whole_x, whole_y = np.floor(x), np.floor(y)
    x, y = x - whole_x, y - whole_y
    # Everything else is known by cell: which block it is part of, and how far along it.
    i, j = np.mgrid[-cells : cells + 1, 0 : 2 * cells + 1]
    m = (i - j) % (2 * long)
    flat = m < long
    start = np.where(flat, m, 2 * long - 1 - m)
    i0, j0 = np.where(flat, i - m, i), np.where(flat, j, j - start)
    # Cells repeat under (cells, cells) and (cells, -cells).
    block = ((i0 + j0) % (2 * cells)) * (2 * cells) + (i0 - j0) % (2 * cells)
    cell = ((whole_x + cells) * (2 * cells + 1) + whole_y).astype(np.int32)
    lies = flat.astype(np.float32).reshape(-1)[cell]
    across = x + lies * (y - x)
    along = start.astype(np.float32).reshape(-1)[cell] + x + y - across
    number = block.astype(np.int32).reshape(-1)[cell]

    # Cut every block from a place of its own in one sheet of wood.
    sheet_planks = _planks(random, 16, np.arange(16)[:, None] + np.zeros(SIZE_PX, int), 0.0)
    second, tone, _, _ = _sawn(random, sheet_planks)
    count = 4 * cells * cells
    scale = np.float32(block_m / pixel_m)
    start_px = random.integers(0, SIZE_PX, count) * SIZE_PX + random.integers(0, SIZE_PX, count)
    place = (across * scale).astype(np.int32) * SIZE_PX + (along * scale).astype(np.int32)
    place += start_px.astype(np.int32)[number]
    place &= SIZE_PX * SIZE_PX - 1
    share = second.reshape(-1)[place]
    share += random.normal(0.0, 0.09, count).astype(np.float32)[number]
    cut = tone.reshape(-1)[place]
    cut *= random.normal(1.0, 0.08, count).astype(np.float32)[number]
    # Blocks of the two directions throw light back differently.
    cut *= 0.97 + 0.06 * lies
    edge_m = np.minimum(np.minimum(across, 1 - across), np.minimum(along, long - along)) * block_m
    cut *= 1.0 - 0.5 * np.clip((0.0005 + pixel_m / 2 - edge_m) / pixel_m, 0.0, 1.0)
    lean = random.normal(0.0, 0.9, (2, count)).astype(np.float32)[:, number]
    height = lean[0] * (across - 0.5) + 0.3 * lean[1] * (along / long - 0.5)
    height -= np.clip(1.0 - edge_m / 0.003, 0.0, 1.0)
    return PatternFigure(size_m, np.clip(share, 0.0, 1.0), cut, height.astype(np.float32))


def _planks(random: Random, count: int, which: NDArray[np.int64], spread: float) -> Planks:
    """`count` planks, laid out as `which` (rows, n) says; `spread` is how much tones differ."""

    def each(values: NDArray[np.float64]) -> F32:
        return np.asarray(values.astype(np.float32)[which])

    rows, n = which.shape
    # Half the planks are cut beside the pith, the rest across it.
    beside = random.random(count) < 0.5
    pith = np.where(beside, random.uniform(1.3, 2.2, count), random.uniform(0.2, 0.8, count))
    pith = np.where(random.random(count) < 0.5, pith, 1.0 - pith)
    depth = each(random.uniform(0.25, 0.9, count)) + 0.20 * lines_of_noise(random, rows, n, 2)
    return Planks(
        pith=each(pith) + 0.12 * lines_of_noise(random, rows, n, 3),
        depth=depth,
        shift=each(random.uniform(0.0, 40.0, count)),
        share=each(random.normal(0.0, 1.2 * spread, count)),
        tone=each(np.clip(random.normal(1.0, spread, count), 1 - 2 * spread, 1 + 2 * spread)),
    )


def _sawn(random: Random, planks: Planks) -> tuple[F32, F32, NDArray[np.int64], F32]:
    """Share of late wood and tone, both (n, n); row of planks and place across it, both (n,)."""
    n = SIZE_PX
    rows = planks.pith.shape[0]
    place = (np.arange(n, dtype=np.float32) + 0.5) / n * rows
    row = np.floor(place).astype(np.int64)
    across = (place - row).astype(np.float32)

    # Count the rings between the pith and each point of the face.
    away = across[:, None] - planks.pith[row]
    away *= away
    away += (planks.depth * planks.depth)[row]
    count = np.sqrt(away, out=away)
    count *= RINGS_PER_PLANK
    count += planks.shift[row]
    count += 0.9 * noise(random, n, 3 * rows, 5)
    count += 0.22 * noise(random, n, 12 * rows, 12)

    # Late wood darkens slowly within a ring and ends sharply; rings differ in strength.
    ring = count - np.floor(count)
    late = ring * ring * np.minimum((1.0 - ring) * np.float32(5.0), 1.0)
    fibre = noise(random, n, 512, 16)
    streak = noise(random, n, 10 * rows, 3)
    pores = noise(random, n, 512, 96)
    late *= 0.62 + 0.22 * streak
    late += 0.055 * fibre
    late += 0.07 * streak
    late += (0.12 + planks.share)[row]
    second = np.clip(late, 0.0, 1.0, out=late)
    tone = 1.0 + 0.02 * fibre - 0.16 * smooth_step(1.3, 2.3, pores)
    tone *= planks.tone[row]
    return second, tone, row, across
