"""Woven cloth, carpet and leather."""

from __future__ import annotations

import numpy as np

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.noise import Random, cells, fractal, lines_of_noise, noise, smooth_step

WEAVE_PX, PX_PER_THREAD = 1024, 4
FINE_PX = 1024
PX_PER_WALE, COURSES_PER_WALE = 16, 1.5
CARPET_PX, PX_PER_TUFT = 1024, 5
LEATHER_PX, LEATHER_CELLS = 512, 64


def weave(random: Random, thread_m: float) -> PatternFigure:
    """Plain weave of threads `thread_m` apart.

    A single thread is finer than a picture's pixel from a few metres on; what is seen from
    there are the thick and thin places that run along threads, so each thread has its own.
    """
    n = WEAVE_PX
    threads = n // PX_PER_THREAD
    across = (np.arange(n) % PX_PER_THREAD + 0.5) / PX_PER_THREAD - 0.5
    index = np.arange(n) // PX_PER_THREAD
    round_up = (1.0 - 0.9 * across**2).astype(np.float32)
    warp_over = (index[:, None] + index[None, :]) % 2 == 0

    # Slubs: (threads, n) lines along each thread, short and long.
    slubs = [
        0.6 * lines_of_noise(random, threads, n, 20)
        + 0.5 * lines_of_noise(random, threads, n, 5)
        + 0.7 * random.standard_normal((threads, 1), np.float32)
        for _ in range(2)
    ]
    # Neighbouring threads come off one bobbin: bands a few threads wide.
    weft, warp = slubs[0][index], slubs[1][index].T
    band = noise(random, n, 64, 4) + noise(random, n, 4, 64)
    thick = np.where(warp_over, warp, weft)
    shade = np.where(warp_over, round_up[None, :], round_up[:, None])
    # Where a thread dives under its neighbour it lies in shadow.
    dive = np.where(warp_over, round_up[:, None], round_up[None, :])
    tone = shade * (0.75 + 0.25 * dive) * (1.0 + 0.055 * thick + 0.022 * band)
    second = np.where(warp_over, np.float32(0.18), np.float32(0.78)) + 0.10 * thick
    return PatternFigure(
        threads * thread_m,
        np.clip(second, 0.0, 1.0).astype(np.float32),
        np.clip(tone, 0.3, 1.6).astype(np.float32),
        # Crowns of the threads that lie on top, thick ones higher.
        (4.0 * (shade - 1.0) + 2.0 * (dive - 1.0) + 0.06 * thick).astype(np.float32),
    )


def fine_weave(random: Random, thread_m: float) -> PatternFigure:
    """Plain weave of even yarns `thread_m` apart, as shirts, suits and jersey are made of.

    A camera sees a face before it sees these yarns: the figure is even from yarn to yarn and low
    in contrast, so that it vanishes into the cloth's colour and never beats with the pixels.
    """
    n = FINE_PX
    across = (np.arange(n) % PX_PER_THREAD + 0.5) / PX_PER_THREAD - 0.5
    index = np.arange(n) // PX_PER_THREAD
    round_up = (1.0 - 0.35 * across**2).astype(np.float32)
    warp_over = (index[:, None] + index[None, :]) % 2 == 0
    shade = np.where(warp_over, round_up[None, :], round_up[:, None])
    nap = 0.008 * noise(random, n, 192, 192)
    second = np.where(warp_over, np.float32(0.30), np.float32(0.55)) + nap
    height = (2.0 * (shade - 1.0)).astype(np.float32)
    return PatternFigure(
        n // PX_PER_THREAD * thread_m,
        second.astype(np.float32),
        (shade + nap).astype(np.float32),
        height,
    )


def knit(random: Random, wale_m: float) -> PatternFigure:
    """Plain knitting: columns of stitches `wale_m` apart, each stitch a V of two legs."""
    n = WEAVE_PX
    place = (np.arange(n) + 0.5) / n
    # Rows of the figure run across the columns of stitches.
    across = place[:, None] * (n // PX_PER_WALE)
    along = place[None, :] * (n // PX_PER_WALE * COURSES_PER_WALE)
    side = across - np.floor(across) - 0.5
    slant = along + 1.1 * np.abs(side)
    leg = slant - np.floor(slant) - 0.5
    crown = np.cos(np.pi * leg) * np.cos(np.pi * (2.0 * np.abs(side) - 0.5))
    yarn = 0.020 * noise(random, n, 96, 96) + 0.012 * noise(random, n, 24, 24)
    tone = 0.94 + 0.10 * crown + yarn
    second = np.clip(0.5 - 0.45 * crown, 0.0, 1.0)
    return PatternFigure(
        n // PX_PER_WALE * wale_m,
        second.astype(np.float32),
        tone.astype(np.float32),
        (0.8 * crown).astype(np.float32),
    )


def carpet(random: Random, tuft_m: float) -> PatternFigure:
    """Cut pile of tufts `tuft_m` apart, yarns of two colours, brushed this way and that."""
    n = CARPET_PX
    tufts = n // PX_PER_TUFT
    pile = noise(random, n, tufts, tufts)
    yarn = noise(random, n, tufts - 20, tufts - 20)
    brushed = fractal(random, n, 5, 5, 4, 0.7)
    tone = np.clip(1.0 + 0.12 * pile + 0.035 * brushed, 0.4, 1.6)
    second = np.clip(0.30 + 0.16 * yarn - 0.06 * pile, 0.0, 1.0)
    height = (0.16 * pile + 0.10 * brushed).astype(np.float32)
    return PatternFigure(tufts * tuft_m, second.astype(np.float32), tone.astype(np.float32), height)


def leather(random: Random, cell_m: float) -> PatternFigure:
    """Grain of cells `cell_m` wide with creases between them."""
    n = LEATHER_PX
    grain = cells(random, n, LEATHER_CELLS, 1.0)
    crease = 1.0 - smooth_step(0.0, 0.45, grain.second - grain.nearest)
    own = random.normal(0.0, 1.0, LEATHER_CELLS**2).astype(np.float32)[grain.number]
    cloud = fractal(random, n, 6, 6, 3, 0.6)
    second = np.clip(0.10 + 0.60 * crease * crease + 0.05 * own + 0.10 * cloud, 0.0, 1.0)
    tone = 1.0 + 0.04 * own + 0.05 * cloud
    height = -0.7 * crease - 0.3 * np.minimum(grain.nearest, 1.0) ** 2
    return PatternFigure(
        LEATHER_CELLS * cell_m,
        second.astype(np.float32),
        tone.astype(np.float32),
        height.astype(np.float32),
    )
