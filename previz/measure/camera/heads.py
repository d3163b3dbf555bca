"""A person's head as points, for measuring where it lies in a frame."""

from __future__ import annotations

import functools
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from previz.geometry.turned import ball
from previz.stage.stage import Array, StagePerson, Thing

FEW = 5000
REACH = 0.95
"""Radius round the middle of the head, in head heights, that holds a head with its hair: an
estimate."""


def head_points(things: Iterable[Thing], person: StagePerson) -> Array:
    """Points (n, 3) on skin and hair of the head, the chin the lowest of them.

    Hair is where it is dense; single strands that fly off are not counted.
    Never empty: the landmarks stand in where `things` has no body.
    """
    top, chin = person.landmarks["head_top"], person.landmarks["chin"]
    up = (top - chin) / np.linalg.norm(top - chin)
    middle = 0.5 * (top + chin)
    radius = REACH * float(np.linalg.norm(top - chin))
    found = [np.stack([top, chin, person.landmarks["eye_left"], person.landmarks["eye_right"]])]
    for thing in things:
        if thing.name != f"people.{person.name}":
            continue
        found += [np.asarray(piece.mesh.vertices, float) for piece in thing.pieces]
    points = np.concatenate(found)
    near = np.linalg.norm(points - middle, axis=1) < radius
    over_chin = (points - chin) @ up >= 0.0
    return np.asarray(points[near & over_chin])


def outermost(points: Array) -> Array:
    """Points of a large cloud that are farthest out in some of 642 directions.

    They bound it from any side to 0.3 mm, for a cloud as large as a head.
    """
    if len(points) < FEW:
        return points
    reach = (points - points.mean(axis=0)).astype(np.float32) @ _directions().T
    return np.asarray(points[np.unique(reach.argmax(axis=0))])


@functools.cache
def _directions() -> NDArray[np.float32]:
    return np.asarray(ball(3).vertices, np.float32)


def head_top_m(points: Array) -> float:
    """Height of the highest point of the head or its hair."""
    return float(points[:, 2].max())
