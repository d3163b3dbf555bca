"""A light as it stands on set: head, yoke, stand, and the emitting surface apart."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.gear.lamp_heads import HeadShape, LampHead
from previz.geometry.gear.stands import StandShape, build_boom, build_stand, grip_arm
from previz.geometry.outlines import chamfered
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.primitives import rod, sweep
from previz.geometry.shell import Z, look_along, piece, turn, unit

SPIGOT_M = 0.05
COLUMN_CLEAR_M = 0.05
"""Room kept round the axis of a stand's column."""
LONGEST_YOKE_M = 0.30


@dataclass(frozen=True, eq=False)
class LightGear:
    """A light in the world: what is drawn, and the surface that emits."""

    pieces: tuple[Piece, ...]
    emitter: EmitterShape


def build_light(
    head: HeadShape,
    position_m: ArrayLike,
    aim_m: ArrayLike,
    stand: StandShape | None = None,
    roll_rad: float = 0.0,
) -> LightGear:
    """Light whose emitting face has its centre at `position_m` and looks at `aim_m`, both (3,).

    `roll_rad` turns the head about its own axis in its yoke, clockwise seen from behind.

    A lantern, a tube and a bulb stay plumb and only turn towards the aim. The stand's feet are on
    z = 0; where its column would run through the head it steps back and carries the head on an
    arm. Without a stand the head hangs free with its yoke.
    """
    position = np.asarray(position_m, float)
    toward = np.asarray(aim_m, float) - position
    shape = _built(head)
    if shape.plumb:
        toward = toward * [1, 1, 0]
        toward = toward if np.linalg.norm(toward) > 1e-9 else np.array([0, -1.0, 0])
    pose = look_along(position, toward)
    hung = stand is not None and stand.kind == "boom"
    over = turn(Z, np.pi) if hung and shape.plumb and shape.hang_m is None else np.eye(4)
    roll = turn(Z, roll_rad)
    housing = moved(shape.pieces, pose @ roll @ over)
    emitter = replace(shape.emitter, pose=pose @ roll @ shape.emitter.pose)
    back = -unit(toward * [1, 1, 0] + 1e-9 * pose[:3, 1])
    edges = _edge_points(housing)
    yoke, mount = _held(shape, pose, housing, edges, back, hung)
    parts = (*housing, *yoke)
    if stand is None:
        return LightGear(parts, emitter)
    if stand.kind == "boom":
        return LightGear((*parts, *build_boom(mount, stand)), emitter)
    foot = _clear_of(edges, mount, back)
    if np.allclose(foot, mount):
        return LightGear((*parts, *build_stand(mount, float(mount[2]), stand)), emitter)
    top = foot + np.array([0, 0, -0.02])
    column = build_stand(top, float(top[2]), stand)
    return LightGear((*parts, *column, *grip_arm(top, mount)), emitter)


@lru_cache(maxsize=32)
def _built(head: HeadShape) -> LampHead:
    """A head in its own frame: a lamp that is moved about keeps it."""
    return head.build()


def _held(
    head: LampHead,
    pose: Array,
    housing: tuple[Piece, ...],
    edges: Array,
    back: Array,
    hung: bool,
) -> tuple[tuple[Piece, ...], Array]:
    """The yoke, and the point where the stand's spigot ends.

    A boom hangs the head from above. A head tilted so far that it would swing into a yoke below
    it is held level from behind.
    """
    pivot = pose[:3, :3] @ head.pivot_m + pose[:3, 3]
    if head.half_span_m == 0:
        if not hung:
            return (), pivot
        hang = pose @ np.append(-head.pivot_m if head.hang_m is None else head.hang_m, 1.0)
        # Long enough that a falling boom passes over a wide head.
        wide = max(float(np.ptp(item.mesh.bounds[:, :2], axis=0).max()) for item in housing)
        mount = hang[:3] + (SPIGOT_M + 0.125 * wide) * Z
        return (piece("hook", rod(hang[:3] - 0.01 * Z, mount, 0.005), "steel_black"),), mount
    side = pose[:3, 0]
    way = Z if hung else -Z
    drop = _yoke_drop(edges, pivot, way, side, head.half_span_m)
    if drop > LONGEST_YOKE_M:
        way = back
    elif not hung:
        way = _behind_face(pose, head, back, drop)
    drop = min(_yoke_drop(edges, pivot, way, side, head.half_span_m), LONGEST_YOKE_M)
    reach = head.half_span_m
    corner = 0.03
    path = [pivot - reach * side - 0.02 * way, pivot - reach * side + (drop - corner) * way]
    path += [pivot - (reach - corner) * side + drop * way]
    path += [pivot + (reach - corner) * side + drop * way]
    path += [pivot + reach * side + (drop - corner) * way, pivot + reach * side - 0.02 * way]
    strap = sweep(path, chamfered(0.006, 0.03, 0.001), up=np.cross(way, side))
    mount = pivot + (drop + SPIGOT_M) * way
    cup = rod(pivot + drop * way, mount - 0.004 * way, 0.014, sections=16)
    knobs = [
        rod(pivot + s * (reach - 0.012) * side, pivot + s * (reach + 0.03) * side, 0.009 + k, 0.009)
        for s, k in ((-1, 0.009), (1, 0.009))
    ]
    return (
        piece("yoke", strap, "steel_black"),
        piece("yoke socket", cup, "plastic_black", smooth=True),
        piece("yoke knobs", knobs, "plastic_black", smooth=True),
    ), mount


def _behind_face(pose: Array, head: LampHead, back: Array, drop: float) -> Array:
    """Downward direction of a yoke, leant back just enough for its bar to stay behind the face."""
    tilt = float(np.arcsin(np.clip(-pose[2, 2], -1, 1)))
    room = max(0.0, -float(head.pivot_m[2]) - 0.03) / drop
    lean = max(0.0, tilt - float(np.arcsin(min(1.0, room))))
    return np.asarray(np.sin(lean) * back - np.cos(lean) * Z, float)


def _yoke_drop(edges: Array, pivot: Array, way: Array, side: Array, reach: float) -> float:
    """How far the yoke's bar must lie from the pivot for the tilted head to swing clear of it.

    `edges` (n, 3) are points along the edges of the head.
    """
    local = edges - pivot
    between = np.abs(local @ side) < reach
    level = np.abs(local @ np.cross(way, side)) < 0.035
    depth = local[between & level] @ way
    return max(0.08, float(depth.max(initial=0.0)) + 0.03)


def _edge_points(pieces: tuple[Piece, ...], spacing_m: float = 0.02) -> Array:
    """Points along every triangle's edges, no two neighbours further apart than the spacing."""
    clouds = []
    for item in pieces:
        edges = item.mesh.vertices[item.mesh.edges]
        length = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
        steps = int(np.clip(np.ceil(length.max() / spacing_m), 1, 60))
        share = np.linspace(0, 1, steps + 1)[:, None, None]
        cloud = (1 - share) * edges[:, 0]
        cloud += share * edges[:, 1]
        clouds.append(cloud.reshape(-1, 3))
    return np.concatenate(clouds)


def _clear_of(points: Array, mount: Array, back: Array) -> Array:
    """Where the column goes: under the mount, or back until no point of the head is in its way."""
    # What is higher is in no column's way, wherever it steps on the level.
    points = points[points[:, 2] - mount[2] < 0.07]
    for step in np.arange(0.0, 1.5, 0.05):
        spot = mount + step * back
        beside = points - spot
        near = np.hypot(beside[:, 0], beside[:, 1]) < COLUMN_CLEAR_M
        if not np.any(near & (beside[:, 2] < (-0.002 if step == 0 else 0.06))):
            return np.asarray(spot, float)
    return np.asarray(mount + 1.5 * back, float)
