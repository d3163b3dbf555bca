"""A scanned room measured: how large it is, which way its floors face, who stands on what."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.model.room import ScannedMesh
from previz.stage.stage import Array, Stage

LEVEL = 0.9
"""Cosine within which a face counts as lying across an axis: some 26 degrees, an estimate."""
REACH_M = 2.5
"""How far over or under z = 0 a floor is looked for: an estimate."""


@dataclass(frozen=True, eq=False)
class Scanned:
    """A scan as it stands in the world.

    box_m     lowest and highest corner, (2, 3)
    flat_m2   by axis of the file: area of the faces that lie across it
    floors_m  by person: height of the scan's surface nearest to z = 0 under them; None: there is
              none, they are outside it or over a hole
    """

    scan: ScannedMesh
    box_m: Array
    flat_m2: Mapping[str, float]
    floors_m: Mapping[str, float | None]


def measure_scan(stage: Stage) -> Scanned | None:
    """The scan of a stage; None for a room that was built."""
    scan = stage.room.scan
    if scan is None:
        return None
    meshes = [p.mesh for t in stage.things if t.kind == "room" for p in t.pieces]
    corners = np.concatenate([np.asarray(m.vertices, float)[m.faces] for m in meshes])
    flat = corners.reshape(-1, 3)
    return Scanned(
        scan=scan,
        box_m=np.stack([flat.min(axis=0), flat.max(axis=0)]),
        flat_m2=_flat_m2(corners, scan),
        floors_m={
            name: _floor_under_m(corners, person.place[:2, 3])
            for name, person in stage.people.items()
        },
    )


def _flat_m2(corners: Array, scan: ScannedMesh) -> dict[str, float]:
    by_area = 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    turn = math.radians(-scan.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x, y, z = by_area.T
    # Back to the axes of the file, which `geometry.scan` names in this order.
    east, north = cos * x - sin * y, sin * x + cos * y
    order = {"x": "yzx", "y": "xzy", "z": "xyz"}[scan.up]
    area = np.linalg.norm(by_area, axis=1)
    along = dict(zip(order, (east, north, z), strict=True))
    return {a: float(area[np.abs(v) > LEVEL * area].sum()) for a, v in sorted(along.items())}


def _floor_under_m(corners: Array, at_m: Array) -> float | None:
    """Height of the triangle (n, 3, 3) over or under a plan point (2,) that is nearest to 0."""
    a, b, c = (corners[:, k, :2] - at_m for k in range(3))
    parts = np.stack([_cross(b, c), _cross(c, a), _cross(a, b)], axis=1)
    whole = parts.sum(axis=1)
    over = (np.abs(whole) > 0.0) & ((parts * np.sign(whole)[:, None]) >= 0.0).all(axis=1)
    heights = (parts[over] * corners[over, :, 2]).sum(axis=1) / whole[over]
    near = heights[np.abs(heights) <= REACH_M]
    return float(near[np.abs(near).argmin()]) if len(near) else None


def _cross(one: Array, other: Array) -> Array:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
