"""A camera on its way as a body: itself, what carries it, what stands under it. Plan outlines."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import affinity
from shapely.geometry import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from previz.measure.gear.floor import BODY_M, LEGS_M, LOW_M
from previz.measure.gear.held import operator_of
from previz.stage.moving.move import StageMove
from previz.stage.stage import StageCamera
from previz.units import mm_to_m

# Sizes of middling gear: estimates.
CAMERA_WIDTH_M = 0.2
CAMERA_BODY_M = 0.25
CAMERA_OVER_M, CAMERA_UNDER_M = 0.15, 0.2
RAIL_WIDTH_M = 0.12
RAIL_UNDER_M = (0.35, 0.2)
LEGS_PER_HEIGHT = 0.42
DOLLY_RADIUS_M = 0.45
COLUMN_RADIUS_M = 0.1
HEIGHT_STEP_M = 0.05


@dataclass(frozen=True, eq=False)
class Body:
    """One part of what moves: its outline in plan between two heights."""

    part: str
    outline: BaseGeometry
    low_m: float
    high_m: float


def bodies_at(move: StageMove, time_s: float) -> Iterator[Body]:
    """Everything that is somewhere else at every moment; a tripod that only turns is not."""
    if move.kind in ("pan_and_tilt", "focus_pull"):
        return
    camera = move.camera_at(time_s)
    height = _stepped(float(camera.position_m[2]))
    head = _head(camera, mm_to_m(move.setup.kit.lens.length_mm) + CAMERA_BODY_M)
    yield Body("camera", head, height - CAMERA_UNDER_M, height + CAMERA_OVER_M)
    under = Point(_behind(camera, CAMERA_BODY_M))
    if move.kind == "dolly":
        yield Body("dolly", under.buffer(DOLLY_RADIUS_M), LOW_M, min(LEGS_M, height))
        if height - CAMERA_UNDER_M > LEGS_M:
            column = under.buffer(COLUMN_RADIUS_M)
            yield Body("column", column, LEGS_M, height - CAMERA_UNDER_M)
    elif move.kind == "gimbal_walk":
        yield Body("operator", operator_of(camera), LOW_M, BODY_M)


def bodies_standing(move: StageMove) -> Iterator[Body]:
    """What does not move with the camera: a slider's rail, and the tripod under its middle."""
    if move.kind != "slider":
        return
    height = _stepped(float(move.way.at(0.0)[2]))
    marks = [move.way.path.at(float(mark)) for mark in move.way.path.marks_m]
    ends = max(((a, b) for a in marks for b in marks), key=lambda pair: math.dist(pair[0], pair[1]))
    rail = LineString(ends).buffer(RAIL_WIDTH_M / 2.0)
    low, high = (height - under for under in RAIL_UNDER_M)
    if low <= LOW_M:
        return
    yield Body("rail", rail, low, high)
    legs = Point(np.mean(ends, axis=0)).buffer(LEGS_PER_HEIGHT * low)
    yield Body("tripod", legs, LOW_M, min(LEGS_M, low))


def _stepped(height_m: float) -> float:
    """Heights in steps, so that an outline serves for many moments."""
    return round(height_m / HEIGHT_STEP_M) * HEIGHT_STEP_M


def _head(camera: StageCamera, length_m: float) -> BaseGeometry:
    """Camera and lens from the pupil backwards."""
    x, y = (float(v) for v in camera.position_m[:2])
    half = CAMERA_WIDTH_M / 2.0
    turn = math.degrees(math.atan2(float(camera.forward[1]), float(camera.forward[0])))
    return affinity.rotate(box(x - length_m, y - half, x, y + half), turn, origin=(x, y))


def _behind(camera: StageCamera, away_m: float) -> tuple[float, float]:
    ahead = np.asarray(camera.forward[:2], float)
    ahead = ahead / max(float(np.linalg.norm(ahead)), 1e-9)
    x, y = camera.position_m[:2] - away_m * ahead
    return float(x), float(y)
