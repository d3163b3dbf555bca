"""Symbols of things on a plan, told apart by shape alone, so that any print is read."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from previz.deliver.paper.figure import Array, Circle, Item, Path, Pen, area, line

HEAVY, MEDIUM, THIN, FINE = Pen(0.5), Pen(0.3), Pen(0.18), Pen(0.12, 0.25)
WALL = 0.72
"""Grey of walls cut through."""
SIGHT = Pen(0.15, 0.2)
FOCUS = Pen(0.45)
AXIS = Pen(0.15, 0.2, (3.0, 0.8))
BEAM = Pen(0.13, 0.3, (1.2, 0.7))
AIM = Pen(0.13, 0.15)
EYES = Pen(0.2, 0.0, (0.6, 0.7))
LINE = Pen(0.35, 0.0, (5.0, 1.2, 0.6, 1.2))
CABLE = Pen(0.45, 0.45, (2.2, 0.6))
CLEAR = Pen(0.12, 0.35)
HOT = Pen(0.25, 0.0, (0.25, 0.9))
WALK = 0.94
LEGS = Pen(0.12, 0.3)


def turned(points: Sequence[tuple[float, float]], at_mm: Array, ahead: Array) -> Array:
    """Points (ahead, to the left) of a symbol, on paper; `ahead` is its direction on paper."""
    own = np.asarray(points, float)
    ahead = np.asarray(ahead, float) / max(float(np.hypot(*ahead)), 1e-9)
    left = np.array([ahead[1], -ahead[0]])
    return np.asarray(at_mm + own[:, :1] * ahead + own[:, 1:] * left)


def camera(at_mm: Array, ahead: Array) -> tuple[Item, ...]:
    """A body behind a lens, whose front is where the lens is to be plumbed."""
    body = [(-5.2, 1.5), (-1.9, 1.5), (-1.9, -1.5), (-5.2, -1.5)]
    hood = [(-1.9, 0.7), (0.0, 1.3), (0.0, -1.3), (-1.9, -0.7)]
    return (
        area(turned(body, at_mm, ahead), MEDIUM, 0.0),
        area(turned(hood, at_mm, ahead), MEDIUM, 0.0),
        dot(at_mm),
    )


def camera_end_on(at_mm: Array) -> tuple[Item, ...]:
    """The same from before or behind: a frame round its lens."""
    body = np.array([(-1.8, -1.5), (1.8, -1.5), (1.8, 1.5), (-1.8, 1.5)]) + at_mm
    return area(body, MEDIUM), Circle((float(at_mm[0]), float(at_mm[1])), 0.95, MEDIUM), dot(at_mm)


def dot(at_mm: Array) -> Circle:
    """The point that is set out: white in black."""
    return Circle((float(at_mm[0]), float(at_mm[1])), 0.45, Pen(0.22), 1.0)


def soft(at_mm: Array, ahead: Array, width_mm: float) -> tuple[Item, ...]:
    """A box that opens to its face."""
    half, back = max(width_mm / 2.0, 2.2), max(width_mm / 2.0, 2.2) * 0.42
    shape = [(0.0, half), (-2.6, back), (-2.6, -back), (0.0, -half)]
    return area(turned(shape, at_mm, ahead), MEDIUM, 1.0), dot(at_mm)


def panel(at_mm: Array, ahead: Array, width_mm: float) -> tuple[Item, ...]:
    """A flat box with a line through it."""
    half = max(width_mm / 2.0, 2.0)
    shape = [(0.0, half), (-1.4, half), (-1.4, -half), (0.0, -half)]
    middle = turned([(-0.7, half), (-0.7, -half)], at_mm, ahead)
    return area(turned(shape, at_mm, ahead), MEDIUM, 1.0), line(*middle, pen=THIN), dot(at_mm)


def lensed(at_mm: Array, ahead: Array) -> tuple[Item, ...]:
    """A round-backed head with a lens before it."""
    turns = np.linspace(math.pi / 2.0, 1.5 * math.pi, 13)
    back = [(-1.6 + 1.9 * math.cos(t), 1.7 * math.sin(t)) for t in turns]
    head = [(0.0, 1.7), *back, (0.0, -1.7)]
    return area(turned(head, at_mm, ahead), MEDIUM, 0.55), dot(at_mm)


def globe(at_mm: Array, width_mm: float) -> tuple[Item, ...]:
    """A ball that shines all round."""
    radius = max(width_mm / 2.0, 2.0)
    x, y = float(at_mm[0]), float(at_mm[1])
    rays = []
    for turn in np.linspace(0.0, 2.0 * math.pi, 8, endpoint=False):
        out = np.array([math.cos(turn), math.sin(turn)])
        rays.append(line(at_mm + radius * out, at_mm + (radius + 0.9) * out, pen=THIN))
    return Circle((x, y), radius, MEDIUM, 1.0), *rays, dot(at_mm)


def room_lamp(at_mm: Array) -> tuple[Item, ...]:
    """A lamp of the room: a ring with a cross."""
    x, y = float(at_mm[0]), float(at_mm[1])
    arms = [
        line(at_mm - np.array(arm), at_mm + np.array(arm), pen=THIN)
        for arm in ((1.1, 1.1), (1.1, -1.1))
    ]
    return Circle((x, y), 1.6, MEDIUM, 1.0), *arms, dot(at_mm)


def board(at_mm: Array, ahead: Array, width_mm: float, *, black: bool) -> tuple[Item, ...]:
    """A board or frame: a double line; a flag: a thick black one."""
    half = max(width_mm / 2.0, 2.0)
    shape = [(0.0, half), (-0.7, half), (-0.7, -half), (0.0, -half)]
    return area(turned(shape, at_mm, ahead), MEDIUM, 0.0 if black else 1.0), dot(at_mm)


def stand(at_mm: Array) -> tuple[Item, ...]:
    """A column: a small black ring."""
    x, y = float(at_mm[0]), float(at_mm[1])
    return (Circle((x, y), 0.7, Pen(0.3), 1.0), Circle((x, y), 0.25, None, 0.0))


def person(eyes_mm: Array, ahead: Array) -> tuple[Item, ...]:
    """A head with a nose, seen from above."""
    middle = turned([(-0.8, 0.0)], eyes_mm, ahead)[0]
    nose = turned([(0.9, 0.6), (1.8, 0.0), (0.9, -0.6)], eyes_mm, ahead)
    return (
        area(nose, MEDIUM, 0.0),
        Circle((float(middle[0]), float(middle[1])), 1.9, MEDIUM, 1.0),
    )


def socket(at_mm: Array, inward: Array) -> tuple[Item, ...]:
    """A half disc on the wall with two pins."""
    turns = np.linspace(-math.pi / 2.0, math.pi / 2.0, 13)
    bowl = [(1.5 * math.cos(t), 1.5 * math.sin(t)) for t in turns]
    pins = [turned([(1.5, y), (2.5, y)], at_mm, inward) for y in (0.6, -0.6)]
    return area(turned(bowl, at_mm, inward), MEDIUM, 1.0), *(line(*p, pen=MEDIUM) for p in pins)


def arrow(start_mm: Array, end_mm: Array, pen: Pen, head_mm: float = 1.6) -> tuple[Item, ...]:
    """A line with an open head at its end."""
    along = end_mm - start_mm
    barbs = turned([(-head_mm, 0.5), (0.0, 0.0), (-head_mm, -0.5)], end_mm, along)
    solid = Pen(pen.width_mm, pen.grey)
    return line(start_mm, end_mm, pen=pen), line(*barbs, pen=solid)


def hatched(ring_mm: Array, step_mm: float = 1.6, pen: Pen = CLEAR) -> tuple[Item, ...]:
    """A shape with slanted lines."""
    shape = Polygon(ring_mm)
    left, top, right, bottom = shape.bounds
    tall = bottom - top
    lines = []
    for x in np.arange(left - tall, right, step_mm):
        cut = LineString([(x, bottom), (x + tall, top)]).intersection(shape)
        for part in shapely.get_parts(cut):
            if part.length > 0.05:
                lines.append(line(*np.asarray(part.coords), pen=pen))
    return area(ring_mm, pen), *lines


def tinted(rings_mm: Sequence[Array]) -> Path:
    """Floor where one can walk."""
    return Path(tuple(rings_mm), closed=True, pen=None, fill=WALK)
