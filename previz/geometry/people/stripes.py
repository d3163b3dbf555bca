"""A garment in its colour, and the stripes it is cut along.

A shirt is sewn from panels, and its stripes run down each: the body's from the shoulders down,
a sleeve's along the arm. Where panels meet, stripes break off, as at a real armhole.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, Index
from previz.geometry.people.cloth import Suit, piece
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.figure import Figure
from previz.geometry.people.meshing import bands, cut
from previz.geometry.people.skeleton import unit
from previz.geometry.piece import Piece
from previz.geometry.smooth import smooth

SHARE = 0.3  # of a period that is stripe
ARM_RADIUS_M = 0.065  # of a sleeve, for the length round it
CHEST_M = (0.160, 0.115)  # half width and half depth of a chest, the body's stripes go round

Part = tuple[Index, Array]


def garment(
    suit: Suit, figure: Figure, name: str, sheet_of: tuple[Array, Index, Array], material: str
) -> tuple[Piece, ...]:
    """A garment in its colour: one piece, or with its stripes as a second.

    The cloth is cut along the stripes, so that they are sharp however fine they are.
    """
    vertices, faces, rest = sheet_of
    colour = np.array(figure.clothes_colour)
    if figure.stripe_m is None:
        return (piece(name, vertices, faces, material, colour, run(suit.cuts, rest)),)
    kept: tuple[list[Part], list[Part]] = ([], [])
    for (corners, points), across in _panels(suit.cuts, faces, rest, figure.stripe_m, vertices):
        if not len(corners):  # a panel that another piece has taken whole
            continue
        both = bands(corners, across, figure.stripe_m, SHARE, points)
        for parts, part in zip(kept, both, strict=True):
            parts.append((part[0], part[1][0]))
    stripes = np.array(figure.stripe_colour)
    return (
        _joined(name, kept[1], material, colour),
        _joined(f"{name}_stripes", kept[0], material, stripes),
    )


def run(cuts: Cuts, rest: Array) -> Array:
    """Where in its pattern cloth lies (n, 2), metres: down and round the trunk, along sleeves."""
    along, on = cuts.along_arm(rest)
    body = np.stack([-rest[:, 2], round_body(cuts, rest)], axis=1)
    sleeves = np.zeros_like(body)
    for sign in (1.0, -1.0):
        up, ahead = round_arm(cuts, rest, sign)
        arc = ARM_RADIUS_M * cuts.scale * np.arctan2(up, np.abs(ahead))
        here = sign * rest[:, 0] > 0.0
        sleeves[here] = np.stack([along, arc], axis=1)[here]
    return np.where(on[:, None] > 0.5, sleeves, body)


def _joined(name: str, parts: list[Part], material: str, colour: Array) -> Piece:
    starts = np.cumsum([0, *[len(points) for _, points in parts[:-1]]])
    faces = np.concatenate([f + s for (f, _), s in zip(parts, starts, strict=True)])
    points = np.concatenate([points for _, points in parts])
    return Piece(name, Mesh(points, faces), material, smooth=True, colour=colour, closed=False)


def _panels(
    cuts: Cuts, faces: Index, rest: Array, period_m: float, vertices: Array
) -> Iterator[tuple[Part, Array]]:
    """The panels of a garment, and the distance across the stripes on each, metres."""
    sleeve = cuts.along_arm(rest)[1] - 0.5
    body, (points, under) = cut(faces, -sleeve, vertices, rest)
    for half in (1.0, -1.0):
        behind = half * (under[:, 1] - sides_y(cuts))
        corners, (at, low) = cut(body, behind, points, under)
        yield (corners, at), round_body(cuts, low)
    arms, (points, under) = cut(faces, sleeve, vertices, rest)
    for sign in (1.0, -1.0):
        for half in (1.0, -1.0):
            # A sleeve in two halves: an angle once round would break within a triangle.
            ahead = half * round_arm(cuts, under, sign)[1]
            here = sign * under[:, 0] > 0.0
            one = arms[here[arms].all(axis=1)]
            corners, (at, low) = cut(one, ahead, points, under)
            yield (corners, at), _round_sleeve(cuts, low, sign, half, period_m)


def sides_y(cuts: Cuts) -> float:
    """y at rest of the seams down the sides."""
    return float(cuts.joint("spine02")[1]) - 0.01


def round_body(cuts: Cuts, rest: Array) -> Array:
    """Across the front and the back: sideways at the shoulders, round the chest below them."""
    k = cuts.scale / 0.9
    wide, deep = CHEST_M[0] * k, CHEST_M[1] * k
    x = rest[:, 0]
    angle = np.arctan2(np.abs(x) / wide, np.abs(rest[:, 1] - sides_y(cuts)) / deep)
    turns = np.linspace(0.0, 0.5 * np.pi, 65)
    step = np.hypot(wide * np.cos(turns), deep * np.sin(turns))
    run = np.concatenate([[0.0], np.cumsum(0.5 * (step[1:] + step[:-1]) * np.diff(turns))])
    arc = np.sign(x) * np.interp(angle, turns, run)
    armpit = float(cuts.joint("upperarm01.L")[2]) - 0.06 * k
    share = smooth(np.clip((armpit - rest[:, 2]) / (0.14 * k), 0.0, 1.0))
    return np.asarray(x + share * (arc - x))


def round_arm(cuts: Cuts, rest: Array, sign: float) -> tuple[Array, Array]:
    """Places across an arm, (n,) each: upward and forward off its middle line."""
    side = "L" if sign > 0 else "R"
    shoulder, elbow, wrist = (
        cuts.joint(f"{name}.{side}") for name in ("upperarm01", "lowerarm01", "wrist")
    )
    first, second = unit(elbow - shoulder), unit(wrist - elbow)
    rel = rest - elbow
    line = elbow + np.where(
        (rel @ (first + second) > 0.0)[:, None],
        (rel @ second)[:, None] * second,
        (rel @ first)[:, None] * first,
    )
    way = unit(wrist - shoulder)
    ahead = unit(np.array([0.0, -1.0, 0.0]) + way[1] * way)
    up = np.cross(way, ahead) * sign
    off = rest - line
    return off @ up, off @ ahead


def _round_sleeve(cuts: Cuts, rest: Array, sign: float, half: float, period_m: float) -> Array:
    """Round one half of a sleeve: an even number of stripes once round, so that halves meet."""
    up, ahead = round_arm(cuts, rest, sign)
    angle = np.arctan2(up, half * ahead)
    girth = 2.0 * np.pi * 0.062 * cuts.scale / 0.9
    pairs = max(1, round(girth / (2.0 * period_m)))
    return np.asarray(half * angle / np.pi * pairs * period_m)
