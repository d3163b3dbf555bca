"""Where each light and window is mirrored in each eye, as a camera sees it.

Seen is what lies on the cornea and is not behind the lids, the brow or the nose. Hair, lashes,
spectacles and what else stands between light and eye are left out, and so are boards that only
pass on light. Lengths are those on an adult's cornea, whatever the size of the modelled eye.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.memory import remembered
from previz.physics.catchlight import (
    Cornea,
    clock_hours,
    cornea_of_eye,
    mirror_normals,
)
from previz.physics.colour import luminance
from previz.physics.rays import blocked
from previz.stage.stage import Array, Emitter, Stage, StageCamera, StagePerson, Thing

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")
NEAR_EYE_M = 0.05
"""Lids, brow and bridge of the nose lie within this of the eye: an estimate."""
CLEAR_OF_SKIN_M = 2e-4
FAINTEST_CD_M2 = 20.0
"""A light darker than this is not noticed in an eye, which mirrors 2.5 % of it:
an estimate."""
WIDEST_BUNDLE = 0.2
"""Cosine of the angle from which rays are no bundle: they go everywhere."""
SLACK_M = 1e-6
"""More than rounding can take from a distance, so that no triangle is left out by it."""
_TURNS = np.arange(12) * np.pi / 6.0
_RIM = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)
DISC = np.vstack([_RIM, 0.5 * _RIM, [[0.0, 0.0]]])


@dataclass(frozen=True)
class Catchlight:
    """One light in one eye (the person's own left and right).

    clock_h         as on a clock's face round the pupil, in the picture
    from_centre_mm  from the middle of the pupil, across the line of sight
    width_mm, height_mm  size in the picture
    visible         whether the camera sees any of it; `hidden` says why not

    Place and size are those of the part that is seen, within a step of the points tried where
    it is cut. Where nothing is seen, the place is that of the whole.
    """

    light: str
    eye: Side
    clock_h: float
    from_centre_mm: float
    width_mm: float
    height_mm: float
    visible: bool
    hidden: Literal["", "off_cornea", "lids"]


def eyes_of(stage: Stage, person: StagePerson) -> Eyes:
    """The eyes of a person on a stage."""
    thing = next((t for t in stage.things if t.name == f"people.{person.name}"), None)
    return remembered(("eyes", thing, person), lambda: Eyes(thing, person))


class Eyes:
    """Both eyes of a person, with the skin round them; made once for all cameras."""

    def __init__(self, thing: Thing | None, person: StagePerson) -> None:
        self.corneas = {side: _cornea(thing, person, side) for side in SIDES}
        self.skin = {side: Skin(thing, person.landmarks[f"eye_{side}"]) for side in SIDES}

    def catchlights(self, stage: Stage, camera: StageCamera) -> tuple[Catchlight, ...]:
        """All lights that shine towards an eye, left eye first."""
        found = []
        bright = [e for e in stage.emitters if _luminance_cd_m2(e, stage) > FAINTEST_CD_M2]
        for side in SIDES:
            for emitter in bright:
                points = face_points(emitter.shape, self.corneas[side].centre_m)
                if len(points):
                    found.append(self._one_once(emitter.layer, side, points, camera))
        return tuple(found)

    def _one_once(self, light: str, side: Side, points: Array, camera: StageCamera) -> Catchlight:
        key = ("catchlight", self, light, side, points.tobytes(), camera.pose.tobytes())
        return remembered(key, lambda: self._one(light, side, points, camera))

    def _one(self, light: str, side: Side, points: Array, camera: StageCamera) -> Catchlight:
        eye = self.corneas[side]
        normals = mirror_normals(points, camera.position_m, eye.centre_m, eye.radius_m)
        spots = eye.centre_m + eye.radius_m * normals
        seen = (spots - eye.pupil_m) @ camera.pose[:3, :2] * (1000.0 / eye.scale)
        on_cornea = eye.reaches(normals)
        free = on_cornea.copy()
        if on_cornea.any():
            starts = spots[on_cornea]
            free[on_cornea] = ~(
                self.skin[side].blocks(starts, camera.position_m - starts)
                | self.skin[side].blocks(starts, points[on_cornea] - starts)
            )
        left = seen[free] if free.any() else seen
        middle = left.mean(axis=0)
        width, height = np.ptp(left, axis=0) if free.any() else (0.0, 0.0)
        return Catchlight(
            light=light,
            eye=side,
            clock_h=clock_hours(float(middle[0]), float(middle[1])),
            from_centre_mm=float(np.hypot(*middle)),
            width_mm=float(width),
            height_mm=float(height),
            visible=bool(free.any()),
            hidden="" if free.any() else "lids" if on_cornea.any() else "off_cornea",
        )


def _cornea(thing: Thing | None, person: StagePerson, side: Side) -> Cornea:
    """The modelled cornea as a ball; of a person without one, an adult's."""
    ball_m = person.landmarks[f"eye_{side}"]
    pieces = thing.pieces if thing is not None else ()
    mesh = next((p.mesh for p in pieces if p.name == f"eye_{side}_cornea"), None)
    if mesh is None:
        return cornea_of_eye(ball_m, person.gaze)
    points = np.asarray(mesh.vertices, float)
    # Sphere by least squares: |p|^2 = 2 p.c + (r^2 - |c|^2), from near the points.
    local = points - ball_m
    rows = np.concatenate([2.0 * local, np.ones((len(local), 1))], axis=1)
    found = np.linalg.lstsq(rows, (local**2).sum(axis=1), rcond=None)[0]
    axis = found[:3] / np.linalg.norm(found[:3])
    return Cornea(ball_m + found[:3], axis, float(np.sqrt(found[3] + found[:3] @ found[:3])))


class Skin:
    """Triangles of the face near an eye; none for a person without modelled eyes."""

    def __init__(self, thing: Thing | None, eye_m: Array) -> None:
        pieces = thing.pieces if thing is not None else ()
        found = np.zeros((0, 3, 3))
        if any(piece.name.endswith("_cornea") for piece in pieces):
            faces = [np.asarray(p.mesh.triangles, float) for p in pieces if p.name == "skin"]
            found = np.concatenate([found, *faces])
        near = np.linalg.norm(found.mean(axis=1) - eye_m, axis=1) < NEAR_EYE_M
        self.triangles = found[near]
        self.middles = self.triangles.mean(axis=1)
        self.reach_m = float(
            np.linalg.norm(self.triangles - self.middles[:, None], axis=2).max(initial=0.0)
        )

    def blocks(self, starts: Array, directions: Array) -> NDArray[np.bool_]:
        """Whether rays (n, 3) from a cornea run into it."""
        ways = directions / np.linalg.norm(directions, axis=1, keepdims=True)
        # All starts lie on one cornea: from there, numbers are small and differences exact.
        here = starts.mean(axis=0)
        offsets, middles = starts - here, (self.middles - here).T
        reach_m = self.reach_m + SLACK_M
        close = np.flatnonzero(_in_bundle(middles, offsets, ways, reach_m))
        middles = middles[:, close]
        along_m = ways @ middles - np.sum(ways * offsets, axis=1)[:, None]
        away_m2 = (middles**2).sum(axis=0) - 2.0 * (offsets @ middles)
        away_m2 += np.sum(offsets**2, axis=1)[:, None]
        # Only what is as near to the ray as a triangle reaches can be hit.
        near = (away_m2 - along_m**2 < reach_m**2) & (along_m > -reach_m)
        return np.array(
            [
                some.any()
                and blocked(start, way, np.inf, self.triangles[close[some]], CLEAR_OF_SKIN_M)
                for start, way, some in zip(starts, ways, near, strict=True)
            ],
            dtype=bool,
        )


def _in_bundle(points: Array, offsets: Array, ways: Array, reach_m: float) -> NDArray[np.bool_]:
    """Which points (3, m) may lie within reach of a ray that starts at (n, 3), about the origin."""
    axis = ways.mean(axis=0)
    axis /= max(float(np.linalg.norm(axis)), 1e-12)
    steepest = float((ways @ axis).min())
    if steepest < WIDEST_BUNDLE:
        return np.ones(points.shape[1], bool)
    spread = math.sqrt(max(1.0 - steepest**2, 0.0)) / steepest
    start_m = float(np.linalg.norm(offsets, axis=1).max()) + SLACK_M
    along_m = axis @ points
    away_m2 = (points**2).sum(axis=0) - along_m**2
    ahead_m = along_m + reach_m + start_m
    wide_m = start_m + reach_m + np.maximum(ahead_m, 0.0) * spread
    return np.asarray((ahead_m > 0.0) & (away_m2 < wide_m**2))


def _luminance_cd_m2(emitter: Emitter, stage: Stage) -> float:
    """Luminance of an emitting face, or of what is seen through a window."""
    return float(luminance(emitter.light_before(stage.environment)))


def face_points(shape: EmitterShape, eye_m: Array) -> Array:
    """Points (n, 3) spread over an emitting face as an eye sees it; none if it is turned away.

    A large face near by, such as a window, has more of them: the eye may mirror a part only.
    """
    towards = eye_m - shape.position_m
    if shape.kind in ("rectangle", "disc") and float(towards @ shape.direction) <= 0.0:
        return np.zeros((0, 3))
    right, up = shape.pose[:3, 0], shape.pose[:3, 1]
    if shape.kind == "rectangle":
        far_m = float(np.linalg.norm(towards))
        large = max(shape.width_m, shape.height_m) > far_m
        offsets = _grid(17 if large else 5) * [shape.width_m / 2.0, shape.height_m / 2.0]
    elif shape.kind == "disc":
        offsets = DISC * shape.radius_m
    else:
        # Round bodies are seen as flat shapes across the line of sight.
        if shape.kind == "sphere":
            up = np.array([0.0, 0.0, 1.0])
        right = np.cross(up, towards)
        right = right / max(float(np.linalg.norm(right)), 1e-9)
        if shape.kind == "sphere":
            up = np.cross(towards, right) / np.linalg.norm(towards)
            offsets = DISC * shape.radius_m
        else:
            offsets = _grid(5) * [shape.radius_m, shape.length_m / 2.0]
    return np.asarray(shape.position_m + offsets @ np.stack([right, up]))


def _grid(steps: int) -> Array:
    """Points (steps^2, 2) evenly from -1 to 1 both ways."""
    line = np.linspace(-1.0, 1.0, steps)
    return np.stack(np.meshgrid(line, line), axis=-1).reshape(-1, 2)
