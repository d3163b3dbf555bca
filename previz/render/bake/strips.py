"""Hair as ribbons that lie on the head, fewer and broader than the strands they stand for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.figure import Strands
from previz.render.bake.surfaces import FACING, FIRST, PLACE, WIDTH, Kind, Net
from previz.stage.stage import Thing

PIECES = 36_000
"""Most straight pieces of ribbon on one head: what a still picture takes two hundredths of a
second to draw. Of as many strands as that makes necessary one ribbon is drawn."""
BROADER = 1.5
"""How much more of the head ribbons cover than their strands would, which cross each other."""
POINTS = 7
"""Most points along a ribbon."""
VARIED = 0.16
"""Standard deviation of brightness from ribbon to ribbon: without any, hair is a helmet."""


def hair_net(thing: Thing, number: int, seed: int) -> Net | None:
    """The ribbons of one person's hair; None without any."""
    if thing.strands is None or not len(thing.strands.points):
        return None
    strands = thing.strands
    rng = np.random.default_rng(seed)
    steps = np.unique(np.linspace(0, strands.points.shape[1] - 1, POINTS).round().astype(int))
    one_of = max(1.0, len(strands.points) * (len(steps) - 1) / PIECES)
    kept = np.sort(rng.permutation(len(strands.points))[: int(len(strands.points) / one_of) or 1])
    points = _along_curves(strands.points[kept])[:, steps]
    out = _outward(points, strands.points[:, 0].mean(axis=0))
    along = np.gradient(points, axis=1)
    across = np.cross(along, out)
    across /= np.maximum(np.linalg.norm(across, axis=2, keepdims=True), 1e-12)
    half = strands.radius_m[kept][:, steps] * (one_of * BROADER)
    sides = [points + sign * half[..., None] * across for sign in (-1.0, 1.0)]
    brightness = np.clip(1.0 + VARIED * rng.standard_normal(len(kept)), 0.5, 1.6)
    return _net(sides, out, _colours(strands, kept) * brightness[:, None], number)


def _along_curves(control: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (n, k, 3) of cubic B-splines beside their control points, the ends themselves."""
    inner = (control[:, :-2] + 4.0 * control[:, 1:-1] + control[:, 2:]) / 6.0
    return np.concatenate([control[:, :1], inner, control[:, -1:]], axis=1)


def _colours(strands: Strands, kept: NDArray[np.int64]) -> NDArray[np.float64]:
    """Reflectance (n, 3) of the mass round each of the strands `kept`."""
    if not len(strands.tone_colour):
        return np.tile(hair_colour(strands.colour), (len(kept), 1))
    return hair_colour(strands.tone_colour)[strands.tone[kept]]


def hair_colour(colour: NDArray[np.float64]) -> NDArray[np.float64]:
    """Reflectance (..., 3) of the mass: what one strand sends back meets others, as in snow."""
    colour = np.asarray(colour, float)
    return np.minimum(colour / (1.0 - FROM_STRAND_TO_STRAND * colour), 0.95)


FROM_STRAND_TO_STRAND = 1.0
"""Fitted by eye and by the mean of traced hair."""


def _outward(points: NDArray[np.float64], middle: NDArray[np.float64]) -> NDArray[np.float64]:
    """Out of the head at each point: below its middle, out of the axis through it."""
    out = points - middle
    out[..., 2] = np.maximum(out[..., 2], 0.0)
    return np.asarray(out / np.maximum(np.linalg.norm(out, axis=-1, keepdims=True), 1e-9))


def _net(
    sides: list[NDArray[np.float64]],
    out: NDArray[np.float64],
    colour: NDArray[np.float64],
    number: int,
) -> Net:
    """Ribbons (n, k, 3) by their two sides, with facing (n, k, 3) and colour (n, 3)."""
    count, length = out.shape[:2]
    carried = np.zeros((count, length, 2, WIDTH), np.float32)
    for side in (0, 1):
        carried[:, :, side, PLACE] = sides[side]
        carried[:, :, side, FACING] = out
        carried[:, :, side, FIRST] = colour[:, None, :]
    vertex = np.arange(count * length * 2).reshape(count, length, 2)
    a, b = vertex[:, :-1, 0].reshape(-1), vertex[:, :-1, 1].reshape(-1)
    c, d = vertex[:, 1:, 0].reshape(-1), vertex[:, 1:, 1].reshape(-1)
    faces = np.concatenate([np.stack([a, b, d], 1), np.stack([a, d, c], 1)])
    kind = Kind(number, "", 0.0, clear=False, patterned=False, hair=True)
    return Net(
        carried=carried.reshape(-1, WIDTH),
        faces=faces,
        kinds=np.zeros(len(faces), np.int32),
        patterns=np.full(len(faces), -1, np.int32),
        table=(kind,),
        materials=(),
        opened=np.ones(len(faces), np.float32),
    )
