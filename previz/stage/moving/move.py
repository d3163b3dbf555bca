"""A camera move on the stage: where its camera is, and how its lens is set, at every moment."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.model.moves import MoveKind
from previz.stage.cameras import glass_of, pose_on, to_nearer_eye_m
from previz.stage.kit import CameraSetup
from previz.stage.moving.path import Path
from previz.stage.moving.sway import Sway
from previz.stage.moving.tracks import Timing, value_at
from previz.stage.placing import looking
from previz.stage.stage import StageCamera, StagePerson
from previz.units import mm_to_m

Array = NDArray[np.float64]

NEAREST_FOCUS_M = 0.1
"""No lens on a film set focuses nearer; what lies behind the lens is taken for this: an estimate.
"""
STEEPEST_DEG = 89.9


@dataclass(frozen=True)
class Scalars:
    """A number over time, by its keys. Steady in its own measure: `steady` is what runs evenly."""

    timing: Timing
    values: tuple[float, ...]
    steady: Callable[[float], float] = float
    back: Callable[[float], float] = float

    def at(self, time_s: float) -> float:
        """The number at a moment."""
        if len(set(self.values)) == 1:
            return self.values[0]
        return self.back(value_at(self.timing, [self.steady(v) for v in self.values], time_s))


def in_proportion(timing: Timing, values: Sequence[float]) -> Scalars:
    """A number that grows by equal factors in equal times: a focal length, a stop."""
    return Scalars(timing, tuple(values), math.log, math.exp)


@dataclass(frozen=True, eq=False)
class Way:
    """Where the lens goes: a path in plan with its timing, heights, and what steps add."""

    path: Path
    timing: Timing
    heights_m: Scalars
    sway: Sway | None = None

    def along_m(self, time_s: float) -> float:
        """How far along its path it is."""
        return value_at(self.timing, [float(mark) for mark in self.path.marks_m], time_s)

    def at(self, time_s: float) -> Array:
        """Position of the lens (3,)."""
        along = self.along_m(time_s)
        position = np.append(self.path.at(along), self.heights_m.at(time_s))
        if self.sway is not None:
            up, across = self.sway.at(along)
            position += np.append(across * self.path.across(along), up)
        return position


@dataclass(frozen=True, eq=False)
class Aim:
    """What one key aims at: a point (3,), of a person where it is theirs; or turned by angles."""

    point_m: Array | None = None
    person: str | None = None
    pan_deg: float = 0.0
    tilt_deg: float = 0.0


@dataclass(frozen=True)
class Focus:
    """What one key focuses on: the nearer eye of a person, or a distance from the lens."""

    person: str | None = None
    distance_m: float = 0.0


@dataclass(frozen=True, eq=False)
class StageMove:
    """One camera move, ready to be filmed.

    before    the camera as it stands without the move; `setup` how it is set up
    aims      what each key of `aiming` aims at, focuses those of `focusing`
    rests_on  everything that it was built from: two moves of the same are the same
    """

    name: str
    kind: MoveKind
    before: StageCamera
    setup: CameraSetup
    duration_s: float
    way: Way
    aiming: Timing
    aims: tuple[Aim, ...]
    focusing: Timing
    focuses: tuple[Focus, ...]
    focal_lengths_mm: Scalars
    f_numbers: Scalars
    people: Mapping[str, StagePerson]
    rests_on: Hashable

    @property
    def fps(self) -> float:
        """Frames that its camera takes in a second."""
        return self.before.fps

    @property
    def frames(self) -> int:
        """How many frames its camera takes."""
        return max(round(self.duration_s * self.fps), 1)

    @property
    def frame_times_s(self) -> tuple[float, ...]:
        """When each frame is taken: at the opening of its shutter."""
        return tuple(frame / self.fps for frame in range(self.frames))

    def camera_at(self, time_s: float) -> StageCamera:
        """The camera at a moment; before the start as at it, after the end as at the end."""
        time_s = min(max(time_s, 0.0), self.duration_s)
        focal_mm = self.focal_lengths_mm.at(time_s)
        glass = glass_of(self.setup.kit, focal_mm, self.f_numbers.at(time_s))
        position = self.way.at(time_s)
        directions = [self._direction(aim, position, focal_mm, time_s) for aim in self.aims]
        pans = np.unwrap([pan for pan, _ in directions]).tolist()
        tilts = [tilt for _, tilt in directions]
        pan, tilt = value_at(self.aiming, pans, time_s), value_at(self.aiming, tilts, time_s)
        placed = replace(
            self.before,
            pose=looking(position, position + _along(pan, tilt)),
            focal_length_m=mm_to_m(glass.focal_length_mm),
            f_number=glass.f_number,
            t_number=glass.t_number,
        )
        return replace(placed, focus_distance_m=self._focus_m(placed, time_s))

    def _direction(
        self, aim: Aim, position: Array, focal_mm: float, time_s: float
    ) -> tuple[float, float]:
        """Bearing and elevation of the lens axis, radians, that this aim asks for from here."""
        if aim.point_m is None:
            pan, tilt = _angles(self.before.forward)
            steepest = math.radians(STEEPEST_DEG)
            up = min(max(tilt + math.radians(aim.tilt_deg), -steepest), steepest)
            return pan - math.radians(aim.pan_deg), up
        glass = glass_of(self.setup.kit, focal_mm, self.f_numbers.at(time_s))
        return _angles(-pose_on(self.setup, glass, position, aim.point_m)[:3, 2])

    def _focus_m(self, placed: StageCamera, time_s: float) -> float:
        """Focus distance. A focus ring turns evenly in one over the distance: an estimate."""
        wanted = [self._distance_m(focus, placed) for focus in self.focuses]
        return 1.0 / value_at(self.focusing, [1.0 / distance for distance in wanted], time_s)

    def _distance_m(self, focus: Focus, placed: StageCamera) -> float:
        """Along the lens axis; whoever is out of the picture is focused on as at its corner."""
        if focus.person is None:
            return max(focus.distance_m, NEAREST_FOCUS_M)
        person = self.people[focus.person]
        corner = math.hypot(placed.sensor_width_m, placed.sensor_height_m) / 2.0
        at_corner = placed.focal_length_m / math.hypot(placed.focal_length_m, corner)
        away = min(
            float(np.linalg.norm(person.landmarks[eye] - placed.position_m))
            for eye in ("eye_left", "eye_right")
        )
        return max(to_nearer_eye_m(placed.pose, person), away * at_corner, NEAREST_FOCUS_M)


def _along(pan: float, tilt: float) -> Array:
    """Unit vector (3,) of a bearing from east by way of north, and an elevation; radians."""
    flat = math.cos(tilt)
    return np.array([flat * math.cos(pan), flat * math.sin(pan), math.sin(tilt)])


def _angles(direction: Array) -> tuple[float, float]:
    """Bearing and elevation of a unit vector, radians."""
    x, y, z = (float(part) for part in direction)
    return math.atan2(y, x), math.asin(min(max(z, -1.0), 1.0))
