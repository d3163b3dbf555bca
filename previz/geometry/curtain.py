"""What hangs before a window: curtains with real folds, roller blinds, venetian blinds.

Local axes: x along the rail with 0 at its middle, y into the room, z up from the lower edge of
a full-length hanging; the rail is at the top. Move the pieces into place with `piece.moved`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.random import Generator, default_rng

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array, Piece
from previz.geometry.smooth import smooth
from previz.geometry.solid import bevelled_box, box, swept, together
from previz.geometry.turned import bar, revolved

CLOTH = "cloth_linen"
METAL = "brushed_steel"
POLE_RADIUS_M = 0.014
STEPS_A_FOLD = 12
ROWS = 28
WIDER_AT_FOOT = 1.05
"""How much deeper than their mean folds are at the foot, and shallower at the heading: estimate."""
HEM_M = 0.08
HEM_GAP_M = 0.0015
"""A hem of a hand's breadth, and its distance from the cloth: estimates."""
# Beyond these a fold's loops would touch the next fold's; tighter stacks are squeezed sideways.
FULLEST_LOOP = 3.5
WIDEST_SWING = 2.0
FULLEST_STACK = 9.0
UP = np.array([0.0, 0.0, 1.0])


def curtain(
    width_m: float,
    height_m: float,
    fullness: float = 2.0,
    fold_depth_m: float = 0.09,
    seed: int = 0,
    *,
    material: str = CLOTH,
    rail_material: str = METAL,
) -> tuple[Piece, ...]:
    """One curtain, `width_m` wide as it hangs, on a pole of its own.

    `fullness` is the cloth's width over the width it hangs in (1 is flat; 2 common practice, no
    source); `fold_depth_m` is measured front to back. The same seed gives the same folds.
    """
    cloth = _cloth(width_m, height_m, fullness, fold_depth_m, seed)
    return _cloth_piece("curtain", cloth, material), _pole(width_m, height_m, rail_material)


def curtains(
    width_m: float,
    height_m: float,
    open_fraction: float = 0.7,
    *,
    fullness: float = 2.0,
    fold_depth_m: float = 0.09,
    seed: int = 0,
    material: str = CLOTH,
    rail_material: str = METAL,
) -> tuple[Piece, ...]:
    """A pair drawn apart to the ends of one pole: left cloth, right cloth, pole.

    `open_fraction` 0: they meet in the middle, with the given `fullness`; 1: pushed aside as
    far as the cloth stacks, to `fullness` / 9 of the width.
    """
    if not 0.0 <= open_fraction <= 1.0:
        raise ValueError(f"curtains are open by a fraction from 0 to 1, not {open_fraction}")
    half = width_m / 2
    covered = half * max(1.0 - open_fraction, fullness / FULLEST_STACK)
    drawn = fullness * half / covered
    pieces = []
    for index, (name, side) in enumerate((("curtain_left", -1.0), ("curtain_right", 1.0))):
        cloth = _cloth(covered, height_m, drawn, fold_depth_m, seed + index)
        hung = cloth.shifted((side * (half - covered / 2), 0.0, 0.0))
        pieces.append(_cloth_piece(name, hung, material))
    return (*pieces, _pole(width_m, height_m, rail_material))


def _cloth_piece(name: str, cloth: Mesh, material: str) -> Piece:
    return Piece(name, cloth, material, smooth=True, grain=UP, closed=False)


def _cloth(
    width_m: float, height_m: float, fullness: float, fold_depth_m: float, seed: int
) -> Mesh:
    """Sheet of folded cloth, its front towards +y, exactly `width_m` by `height_m`."""
    if min(width_m, height_m, fold_depth_m) <= 0 or fullness < 1.0:
        raise ValueError("a curtain needs a width, height and depth over 0 and a fullness from 1")
    swing = _swing(min(fullness, FULLEST_LOOP))
    folds = max(2, round(width_m * fullness * _depth_of_fold(swing) / fold_depth_m))
    rows = _folded_rows(swing, folds, default_rng(seed))
    x, y = rows[..., 0], rows[..., 1]
    x = (x - x[:, :1]) / (x[:, -1:] - x[:, :1])
    # Held by its heading above, the cloth's own weight opens the folds towards the foot.
    down = np.linspace(0.0, 1.0, ROWS)[:, None]
    y = y * width_m * fullness / folds * (WIDER_AT_FOOT * down + 1.0 / WIDER_AT_FOOT * (1.0 - down))
    z = (1.0 - down) * np.ones_like(x)
    grid = np.stack([(x - 0.5) * width_m, y, z * height_m], axis=2)
    return _sheet(np.concatenate([grid, _hem(grid[-1], height_m)]))


def _hem(foot: Array, height_m: float) -> Array:
    """The hem: the cloth turned up behind its foot (columns, 3), two rows of it."""
    high_m = min(HEM_M, 0.1 * height_m)
    behind = np.array([0.0, -HEM_GAP_M, 0.0])
    return np.stack([foot + behind + [0, 0, HEM_GAP_M], foot + behind + [0, 0, high_m]])


def _swing(fullness: float) -> float:
    """Greatest angle (rad) of cloth to rail in folds whose angle swings as a sine of length.

    Such folds take up 1 / J0(swing) times their width in cloth: J0 is found by its integral.
    """
    turn = np.sin(np.linspace(0.0, math.pi, 400, endpoint=False))
    low, high = 0.0, 2.3
    for _ in range(50):
        middle = (low + high) / 2
        if np.cos(middle * turn).mean() > 1.0 / fullness:
            low = middle
        else:
            high = middle
    return low


def _depth_of_fold(swing: float) -> float:
    """Depth of a fold, front to back, over the length of cloth in it."""
    quarter = np.sin(np.linspace(0.0, math.pi, 400))
    return float(np.sin(swing * quarter).mean() / 2)


def _folded_rows(swing: float, folds: int, random: Generator) -> Array:
    """Curves (rows, columns, 2) of the cloth seen from above, from the heading to the hem.

    The heading is pleated evenly; further down folds lean, widen and tighten by chance.
    """
    length = np.linspace(0.0, folds, folds * STEPS_A_FOLD + 1)
    down = np.linspace(0.0, 1.0, ROWS)[:, None]
    loose = down**0.7
    lean = 0.16 * loose * (_wander(length, random) + down * _wander(length, random))
    tight = 1.0 + 0.13 * loose * _wander(length, random) + 0.05 * _wander(length, random)
    angle = np.minimum(swing * tight, WIDEST_SWING) * np.sin(2 * math.pi * (length + lean))
    steps = np.stack([np.cos(angle), np.sin(angle)], axis=2) / STEPS_A_FOLD
    curve = np.cumsum(steps, axis=1)
    curve[..., 1] -= _local_mean(curve[..., 1], STEPS_A_FOLD)
    return np.asarray(curve)


def _wander(length: Array, random: Generator) -> Array:
    """Smooth chance values of order 1 along the cloth, changing from fold to fold."""
    knots = np.arange(0.0, length[-1] + 2.0, 1.0)
    values = random.uniform(-1.0, 1.0, len(knots))
    place = np.minimum(length.astype(int), len(knots) - 2)
    ease = smooth(length - place)
    return np.asarray(values[place] * (1.0 - ease) + values[place + 1] * ease)


def _local_mean(rows: Array, window: int) -> Array:
    """Mean of each row over one fold on either side, so that the cloth stays under its rail."""
    padded = np.pad(rows, ((0, 0), (window, window)), mode="reflect")
    kernel = np.ones(2 * window + 1) / (2 * window + 1)
    means = [np.convolve(row, kernel, mode="valid") for row in padded]
    return np.array(means)


def _sheet(grid: Array) -> Mesh:
    """Open mesh over a grid (rows, columns, 3), rows running down, columns along +x."""
    rows, columns = grid.shape[:2]
    index = np.arange(rows * columns).reshape(rows, columns)
    a, b = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
    c, d = index[1:, 1:].ravel(), index[1:, :-1].ravel()
    faces = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return Mesh(grid.reshape(-1, 3), faces)


def _pole(width_m: float, height_m: float, material: str) -> Piece:
    """Pole just over the cloth, a hand's breadth longer at either end, with turned finials."""
    half = width_m / 2 + 0.08
    radius = POLE_RADIUS_M
    outline = [
        (-half - 0.05, 0.0),
        (-half - 0.044, radius),
        (-half - 0.025, 1.9 * radius),
        (-half - 0.006, 1.3 * radius),
        (-half, radius),
    ]
    outline += [(-x, r) for x, r in reversed(outline)]
    mesh = revolved([(r, x) for x, r in outline], sections=24)
    mesh = mesh.moved([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    mesh = mesh.shifted((0.0, 0.0, height_m + radius))
    return Piece("curtain_rail", mesh, material, smooth=True)


def roller_blind(
    width_m: float,
    height_m: float,
    drop_fraction: float = 1.0,
    material: str = CLOTH,
    rail_material: str = METAL,
) -> tuple[Piece, ...]:
    """Flat cloth drawn down from a tube by `drop_fraction` of the height: cloth, tube, bar.

    The cloth is a single sheet, so that a material that lets light through works on it.
    """
    if not 0.0 <= drop_fraction <= 1.0:
        raise ValueError(f"a blind is drawn down by a fraction from 0 to 1, not {drop_fraction}")
    half, radius = width_m / 2, 0.022
    low = height_m - max(0.06, drop_fraction * height_m)
    grid = np.array([[(x, 0.0, z) for x in (-half, half)] for z in (height_m, low + 0.01)])
    ends = [(x, radius, height_m) for x in (-half - 0.01, half + 0.01)]
    tube = bar(radius, ends)
    foot = bevelled_box((-half, -0.006, low), (half, 0.006, low + 0.028), 0.003)
    return (
        _cloth_piece("blind_cloth", _sheet(grid), material),
        Piece("blind_tube", tube, rail_material),
        Piece("blind_bar", foot, rail_material),
    )


def venetian_blind(
    width_m: float,
    height_m: float,
    slat_angle_deg: float = 30.0,
    slat_width_m: float = 0.05,
    material: str = "painted_wood",
) -> tuple[Piece, ...]:
    """Slats on cords between a head rail and a foot rail: slats, rails, cords.

    `slat_angle_deg` 0 lies flat and lets most light in; positive tips the edge on the room's
    side down; 75 either way is as far as slats close.
    """
    angle = math.radians(float(np.clip(slat_angle_deg, -75.0, 75.0)))
    half, rail = width_m / 2, 0.04
    pitch = 0.85 * slat_width_m
    count = max(1, int((height_m - 2 * rail) / pitch))
    section = _slat_section(slat_width_m, angle)
    middle = height_m - rail - slat_width_m / 2
    slats = [_along_x(section + np.array([0.0, middle - pitch * i]), half) for i in range(count)]
    foot = middle - pitch * count
    depth = slat_width_m / 2
    rails = [
        bevelled_box((-half, -depth, height_m - rail), (half, depth, height_m), 0.002),
        bevelled_box((-half, -depth, foot - 0.009), (half, depth, foot + 0.009), 0.002),
    ]
    return (
        Piece("blind_slats", together(slats), material),
        Piece("blind_rails", together(rails), material),
        Piece("blind_cords", together(_cords(half, depth, foot, height_m - rail)), CLOTH),
    )


def _slat_section(width_m: float, angle: float) -> Array:
    """Crowned slat 1.2 mm thick, (n, 2) in y and z about its middle, tipped by `angle`."""
    across = np.linspace(-0.5, 0.5, 7)
    crown = 0.07 * width_m * (1.0 - (2 * across) ** 2)
    top = np.column_stack([across * width_m, crown + 0.0006])
    under = np.column_stack([across * width_m, crown - 0.0006])[::-1]
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return np.asarray(np.vstack([top, under]) @ turn.T)


def _along_x(section: Array, half: float) -> Mesh:
    return swept(np.array([[(x, y, z) for y, z in section] for x in (-half, half)]))


def _cords(half: float, depth: float, low: float, high: float) -> list[Mesh]:
    """Ladder cords before and behind the slats, at most 0.6 m apart."""
    inset = min(0.15, half / 3)
    places = np.linspace(-half + inset, half - inset, max(2, round((half - inset) / 0.3) + 1))
    thin = 0.0009
    return [
        box((x - thin, y - thin, low), (x + thin, y + thin, high))
        for x in places
        for y in (-depth - 2 * thin, depth + 2 * thin)
    ]
