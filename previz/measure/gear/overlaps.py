"""Furniture, seats, lamps of the room and people that are in one another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from shapely.geometry import Point

from previz.geometry.mesh import Mesh
from previz.geometry.piece import bounds
from previz.geometry.solid import to_solid
from previz.measure.gear.floor import floor_of
from previz.measure.roles import practicals_of
from previz.memory import remembered
from previz.stage.stage import Array, Stage, Thing

MARGIN_M = 0.05
"""A cushion gives, a chair touches the table it is pushed under: what overlaps by less, on the
narrowest side of the overlap, is let be. An estimate."""


@dataclass(frozen=True)
class Overlap:
    """Two things in one place: the narrowest side of the box round what they share, metres."""

    first: str
    other: str
    depth_m: float


def overlaps(stage: Stage) -> list[Overlap]:
    """Every two things that share more than a margin; a seat and who sits on it are one."""
    lamps = practicals_of(stage)
    furniture = [t for t in stage.things if t.kind == "furniture" or t.name in lamps]
    people = [t for t in stage.things if t.kind == "person"]
    pairs = [*combinations(furniture, 2), *((f, p) for f in furniture for p in people)]
    found = []
    for one, other in pairs:
        if _is_seat(one) and other.kind == "person":
            continue
        if not _boxes_meet(bounds(one.pieces), bounds(other.pieces)):
            continue
        depth_m = _shared_once_m(one, other)
        if depth_m > MARGIN_M:
            found.append(Overlap(one.name, other.name, depth_m))
    return found


def over_ceiling_m(stage: Stage) -> dict[str, float]:
    """Furniture of the room that reaches over its ceiling by more than a margin, and by how much.

    What stands outside the walls, such as a tree before a window, may be higher.
    """
    shape, floor = stage.room.shape, floor_of(stage.room.shape)
    if shape is None or floor is None:
        return {}
    found = {}
    for thing in (t for t in stage.things if t.kind == "furniture"):
        low, high = bounds(thing.pieces)
        over_m = float(high[2]) - shape.height_m
        if over_m > MARGIN_M and floor.contains(Point((low + high)[:2] / 2.0)):
            found[thing.name] = over_m
    return found


def _is_seat(thing: Thing) -> bool:
    """Whether somebody was seated on it: bodies are built to fit their seats."""
    return thing.name.startswith("people.")


def _boxes_meet(one: Array, other: Array) -> bool:
    return bool((np.minimum(one[1], other[1]) - np.maximum(one[0], other[0]) > MARGIN_M).all())


def _shared_once_m(one: Thing, other: Thing) -> float:
    key = ("overlap", one.pieces, other.pieces)
    return remembered(key, lambda: max(_shared_m(one, other), default=0.0))


def _shared_m(one: Thing, other: Thing) -> Iterator[float]:
    """Narrowest side of the box round what each two of their pieces share."""
    for piece in (p for p in one.pieces if p.closed):
        for part in other.pieces:
            if not _boxes_meet(piece.mesh.bounds, part.mesh.bounds):
                continue
            if other.kind == "person":
                yield _dipped_m(piece.mesh, part.mesh)
            elif part.closed:
                yield _cut_m(piece.mesh, part.mesh)


def _cut_m(one: Mesh, other: Mesh) -> float:
    try:
        shared = to_solid(one) ^ to_solid(other)
    except ValueError:
        return 0.0  # a mesh that bounds no volume shares none
    if shared.is_empty():
        return 0.0
    low, high = np.reshape(shared.bounding_box(), (2, 3))
    return float((high - low).min())


def _dipped_m(solid: Mesh, skin: Mesh) -> float:
    """How much of a body's skin is inside a convex or boxy piece, by its corners."""
    low, high = solid.bounds
    points = np.asarray(skin.vertices, float)
    points = points[((points > low) & (points < high)).all(axis=1)]
    try:
        whole = to_solid(solid)
    except ValueError:
        return 0.0
    if len(points) < 4:
        return 0.0
    shared = whole ^ type(whole).hull_points(points)
    if shared.is_empty():
        return 0.0
    least, most = np.reshape(shared.bounding_box(), (2, 3))
    inside = points[((points >= least) & (points <= most)).all(axis=1)]
    return float(np.ptp(inside, axis=0).min()) if len(inside) else 0.0
