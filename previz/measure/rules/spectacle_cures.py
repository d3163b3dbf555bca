"""The least that takes a light out of a pair of spectacles: raise it, move it round, tip them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from previz.geometry.shell import turn
from previz.measure.light.spectacles import SpectacleLens, Veil, veils
from previz.stage.stage import Array, Emitter, Stage, StagePerson

BOTHERS_PCT = 10.0
BOTHERS_STOPS = -2.0
"""A veil over more of a lens than this, and brighter, hides the eye (common practice, no
source)."""
RAISED_DEG = range(5, 41, 5)
ROUND_DEG = range(5, 61, 5)
TIPPED_DEG = range(1, 11)
"""Steps that are tried; spectacles tipped further look it: an estimate."""
STEEPEST_DEG = 80.0


def bothers(veil: Veil) -> bool:
    """Whether a veil hides enough of the eye to be told of."""
    return veil.covered_pct > BOTHERS_PCT and veil.stops_over_grey > BOTHERS_STOPS


@dataclass(frozen=True)
class Cures:
    """Each alone takes a light out of both lenses for all cameras; None: as far as tried, not.

    raised_deg  how much higher it must stand, as seen from the eyes, at the same distance
    round_deg   how far it must go round the eyes in plan; above 0 counter-clockwise from above
    tipped_deg  how far the lenses must face down; `tips_mm`: the temple tips up by so much
    """

    raised_deg: int | None
    round_deg: int | None
    tipped_deg: int | None
    tips_mm: float | None


@dataclass(frozen=True, eq=False)
class Fitting:
    """One light and one pair of spectacles on a stage. Walls between them are left out."""

    stage: Stage
    person: StagePerson
    lenses: tuple[SpectacleLens, ...]
    light: str

    def cures(self, ceiling_m: float, *, movable: bool) -> Cures:
        """What would do; a light that is not `movable` is neither raised nor moved round."""
        emitters = [e for e in self.stage.emitters if e.layer == self.light]
        tipped = next((d for d in TIPPED_DEG if self._clear(emitters, float(d))), None)
        return Cures(
            raised_deg=self._raised(emitters, ceiling_m) if movable else None,
            round_deg=self._round(emitters) if movable else None,
            tipped_deg=tipped,
            tips_mm=None if tipped is None else 1000.0 * self._tips_m(tipped),
        )

    def _raised(self, emitters: Sequence[Emitter], ceiling_m: float) -> int | None:
        eyes_m = self.person.landmarks["eyes"]
        offset = np.mean([e.shape.position_m for e in emitters], axis=0) - eyes_m
        level_m = math.hypot(offset[0], offset[1])
        now_deg = math.degrees(math.atan2(offset[2], level_m))
        if not level_m > 0.0:
            return None
        axis = np.array([offset[1], -offset[0], 0.0]) / level_m
        for deg in RAISED_DEG:
            higher = [_turned(e, deg, axis, eyes_m) for e in emitters]
            if now_deg + deg > STEEPEST_DEG or any(_top_m(e) > ceiling_m for e in higher):
                return None
            if self._clear(higher):
                return deg
        return None

    def _round(self, emitters: Sequence[Emitter]) -> int | None:
        up, eyes_m = np.array([0.0, 0.0, 1.0]), self.person.landmarks["eyes"]
        both_ways = (deg for size in ROUND_DEG for deg in (size, -size))
        for deg in both_ways:
            if self._clear([_turned(e, deg, up, eyes_m) for e in emitters]):
                return deg
        return None

    def _clear(self, emitters: Iterable[Emitter], tipped_deg: float = 0.0) -> bool:
        matrix = self._tip(tipped_deg)
        lenses, here = [lens.turned(matrix) for lens in self.lenses], list(emitters)
        nothing = np.zeros((0, 3, 3))
        return not any(
            bothers(veil)
            for camera in self.stage.cameras.values()
            for veil in veils(self.stage, camera, self.person.name, lenses, nothing, here)
        )

    def _tip(self, deg: float) -> Array:
        """Turn about the bridge of the nose that makes the lenses face down."""
        marks = self.person.landmarks
        axis = marks["ear_left"] - marks["ear_right"]
        pivot = marks["nose_root"]
        return _rotation(deg, axis, pivot)

    def _tips_m(self, deg: float) -> float:
        """How far the temples rise where they lie on the ears."""
        marks = self.person.landmarks
        ears = 0.5 * (marks["ear_left"] + marks["ear_right"])
        return float(np.linalg.norm(ears - marks["nose_root"])) * math.sin(math.radians(deg))


def _rotation(deg: float, axis: Array, pivot_m: Array) -> Array:
    return turn(axis, math.radians(deg), pivot_m)


def _turned(emitter: Emitter, deg: float, axis: Array, pivot_m: Array) -> Emitter:
    matrix = _rotation(deg, axis, pivot_m)
    return replace(emitter, shape=replace(emitter.shape, pose=matrix @ emitter.shape.pose))


def _top_m(emitter: Emitter) -> float:
    """Height of the highest point of a face."""
    shape = emitter.shape
    x, y, z = np.abs(shape.pose[2, :3])
    reach = {
        "rectangle": x * shape.width_m / 2.0 + y * shape.height_m / 2.0,
        "disc": shape.radius_m * math.sqrt(max(1.0 - z * z, 0.0)),
        "sphere": shape.radius_m,
        "cylinder": y * shape.length_m / 2.0 + shape.radius_m * math.sqrt(max(1.0 - y * y, 0.0)),
    }
    return float(shape.pose[2, 3] + reach[shape.kind])
