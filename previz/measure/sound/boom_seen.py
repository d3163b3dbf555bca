"""A boom in a frame: which part of it is seen, and where its stand would be out of all frames."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Point

from previz.geometry.gear.sound import BoomAxes, boom_axes
from previz.geometry.mesh import Mesh, unique_edges
from previz.measure.camera.sight import Box
from previz.measure.gear.floor import BODY_M, LOW_M, Outlines, floor_of
from previz.measure.gear.held import operator_of
from previz.stage.gear import MICROPHONE
from previz.stage.placed import StageBoom
from previz.stage.stage import Array, Stage, StageCamera

PARTS = {
    "microphone": ("microphone", "foam", "shock mount", "plug"),
    "pole": ("pole", "pole joint", "cable", "counterweight"),
}
"""Which pieces are the microphone and the pole; all others are the stand."""
STEPS = 9
"""Points along each edge of a mesh: an estimate, so that a pole that crosses a frame is met."""
AROUND_PCT = 0.5
"""How far round the visible box a part still counts as in it: a pixel or two, an estimate."""
CLEAR_PCT = 2.0
"""A stand keeps this far out of a frame: an estimate."""
LEGS_M, CROWN_M, BAG_M = 0.6, 0.65, 0.25
"""Reach of the stand's legs and of the bag on them, how high the legs begin and the bag ends:
estimates."""
NEAREST_M, FARTHEST_M = 1.0, 3.0
"""Of the stand from the microphone, in plan: as long as a pole is held out, an estimate."""


def parts_seen(stage: Stage, camera: StageCamera, box: Box) -> tuple[str, ...]:
    """Which of `microphone`, `pole` and `stand` lie in the visible box of the boom in a frame."""
    thing = next(thing for thing in stage.things if thing.name == "sound.boom")
    found = {
        next((part for part, names in PARTS.items() if piece.name in names), "stand")
        for piece in thing.pieces
        if _meets(camera, _along_edges(piece.mesh), box, AROUND_PCT)
    }
    return tuple(part for part in (*PARTS, "stand") if part in found)


def stand_place_m(stage: Stage, boom: StageBoom) -> tuple[float, float] | None:
    """Plan position for the stand, nearest to where it is, that no camera sees; None: nowhere.

    On free floor, out of the way of people, gear and whoever holds a camera. What may hide it from
    a lens is not counted on.
    """
    now, hold = boom.axes.cradle[:2], boom.axes.hold[:2]
    outlines, floor = Outlines(stage), floor_of(stage.room.shape)
    taken = [
        outlines.of(thing, LOW_M, BODY_M)
        for thing in stage.things
        if thing.kind != "room" and thing.name != "sound.boom"
    ]
    taken += [operator_of(stage.cameras[n]) for n, setup in stage.setups.items() if setup.held]
    mouth = stage.people[boom.over].landmarks["mouth"]
    for at in sorted(_round(hold), key=lambda p: math.dist(p, now)):
        legs = Point(at).buffer(LEGS_M)
        if floor is not None and not floor.contains(legs):
            continue
        if any(legs.intersects(there) for there in taken):
            continue
        axes = boom_axes(MICROPHONE, boom.axes.tip, mouth, at)
        whole = Box(-CLEAR_PCT, -CLEAR_PCT, 100.0 + CLEAR_PCT, 100.0 + CLEAR_PCT)
        points = _outline(axes)
        if not any(_meets(camera, points, whole, 0.0) for camera in stage.cameras.values()):
            return at
    return None


def _round(hold: Array) -> list[tuple[float, float]]:
    """Places round a point, to whole centimetres."""
    return [
        (
            round(float(hold[0] + away * np.cos(turn)), 2),
            round(float(hold[1] + away * np.sin(turn)), 2),
        )
        for away in np.arange(NEAREST_M, FARTHEST_M + 0.01, 0.2)
        for turn in np.radians(np.arange(0, 360, 10))
    ]


def _outline(axes: BoomAxes) -> Array:
    """Points (n, 3) of a pole and its stand; the microphone stays where it is."""
    share = np.linspace(0.0, 1.0, 24)[:, None]
    pole = axes.hold + share * (axes.tail - axes.hold)
    foot = np.array([axes.cradle[0], axes.cradle[1], 0.0])
    column = foot + share * (axes.cradle - foot)
    around = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)[:, None]
    ring = np.hstack([np.cos(around), np.sin(around), np.zeros_like(around)])
    bag = foot + LEGS_M * ring + [0.0, 0.0, BAG_M]
    legs = [foot + (1.1 - t) * LEGS_M * ring + [0.0, 0.0, t * CROWN_M] for t in share[::3, 0]]
    return np.concatenate([pole, column, bag, *legs])


def _along_edges(mesh: Mesh) -> Array:
    points, (edges, _) = np.asarray(mesh.vertices, float), unique_edges(mesh.faces)
    start, end = points[edges[:, 0]], points[edges[:, 1]]
    return np.concatenate([start + t * (end - start) for t in np.linspace(0.0, 1.0, STEPS)])


def _meets(camera: StageCamera, points: Array, box: Box, around_pct: float) -> bool:
    """Whether any of some points (n, 3) lies in a box of a frame; none behind the lens does."""
    x, y = camera.project(points, 100, 100).T
    across = (x >= box.left_pct - around_pct) & (x <= box.right_pct + around_pct)
    down = (y >= box.top_pct - around_pct) & (y <= box.bottom_pct + around_pct)
    return bool((across & down).any())
