"""The same set at other hours of its day: the scene's variants, and how its windows drift."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np

from previz.measure.light.light import stops_between
from previz.model.room import Daylight
from previz.model.scene import Scene
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.stage.daylight import DUSK_DEG
from previz.stage.stage import Array, Stage
from previz.stage.sun import SunStands, levels, sun_stands

MOST = 48
"""Frames on a strip: more than a day at half an hour nobody compares: an estimate."""

DAY_FRAMES, DAY_STEP_MIN = 5, 120
"""Eight hours, a day's work, in steps that show the light move: common practice, no source."""


@dataclass(frozen=True)
class Hour:
    """One moment of the scene's day: the scene then, where the sun stands, a camera's name."""

    at: datetime
    scene: Scene
    stands: SunStands
    camera: str

    @property
    def label(self) -> str:
        """Time of day."""
        return f"{self.at:%H:%M}"


@dataclass(frozen=True)
class WindowLight:
    """What one window gives: lux by it on the face, mean luminance seen through it."""

    face_lx: float
    luminance_cd_m2: float


@dataclass(frozen=True)
class Drift:
    """Stops by which a window's light at the face and its luminance differ from another time.

    None where either is dark.
    """

    face_stops: float | None
    luminance_stops: float | None


def own_moment(scene: Scene) -> datetime:
    """When the scene plays. ValueError where it does not say where and when."""
    daylight = scene.daylight
    if daylight.place is None or daylight.at is None:
        raise ValueError(
            "give daylight a place and a time, such as place: {latitude_deg: 52.1, "
            "longitude_deg: 5.1} and at: 2026-05-12T10:30+02:00"
        )
    return datetime.fromisoformat(daylight.at)


def hours_of(scene: Scene, camera: str, start: time, end: time, every_min: int) -> list[Hour]:
    """The scene from `start` to `end` of its own day, its clock kept. ValueError in plain words."""
    own = own_moment(scene)
    if not scene.openings or all(o.kind != "window" for o in scene.openings.values()):
        raise ValueError("the scene has no window, so nothing changes with the hours")
    first, last = (
        own.replace(hour=t.hour, minute=t.minute, second=0, microsecond=0) for t in (start, end)
    )
    if last < first:
        raise ValueError(f"{end:%H:%M} lies before {start:%H:%M}; a strip runs within one day")
    count = (last - first) // timedelta(minutes=every_min) + 1
    if count > MOST:
        raise ValueError(f"that makes {count} frames; {MOST} at most, so take longer steps")
    return [hour_of(scene, camera, first + n * timedelta(minutes=every_min)) for n in range(count)]


def hour_of(scene: Scene, camera: str, at: datetime) -> Hour:
    """The scene at one moment. Its weather stays; night falls and day breaks with the sun."""
    moved = scene.daylight.model_copy(update={"at": at.isoformat()})
    stands = sun_stands(moved)
    assert stands is not None
    moved = moved.model_copy(update={"sky": _sky(scene.daylight.sky, stands.elevation_deg)})
    if scene.daylight.horizontal_lx is not None:
        moved = _in_proportion(scene.daylight, moved)
    return Hour(at, scene.model_copy(update={"daylight": moved}), stands, f"{camera}_{at:%H%M}")


def _sky(word: str, height_deg: float) -> str:
    if height_deg <= DUSK_DEG[0]:
        return "night"
    if height_deg <= 0.0:
        return "dusk"
    if word == "dusk" and height_deg <= DUSK_DEG[1]:
        return word
    return word if word in ("clear", "overcast") else "clear"


def _in_proportion(own: Daylight, moved: Daylight) -> Daylight:
    """A day as bright or dull at every hour as the scene says it is at its own."""
    usual, then = (
        _whole_lx(daylight.model_copy(update={"horizontal_lx": None})) for daylight in (own, moved)
    )
    assert own.horizontal_lx is not None
    scaled = own.horizontal_lx * then / usual if usual > 0.0 else then
    return moved.model_copy(update={"horizontal_lx": scaled})


def _whole_lx(daylight: Daylight) -> float:
    stands, light = sun_stands(daylight), levels(daylight)
    height = stands.elevation_deg if stands is not None else 0.0
    return light.sky_lx + light.sun_normal_lx * max(math.sin(math.radians(height)), 0.0)


def hours_stage(stage: Stage, camera: str, hours: Sequence[Hour]) -> Stage:
    """The stage with one camera at each hour in place of all; its own gear is taken away."""
    placed = stage.cameras[camera]
    return replace(
        stage,
        things=tuple(thing for thing in stage.things if thing.owner != camera),
        cameras={hour.camera: replace(placed, name=hour.camera) for hour in hours},
        setups={hour.camera: stage.setups[camera] for hour in hours},
    )


def windows_light(stage: Stage, on_face: Mapping[str, Array]) -> dict[str, WindowLight]:
    """What each window of a stage gives; `on_face` is illuminance by light layer, (3,)."""
    assert stage.environment is not None
    found = {}
    for emitter in stage.emitters:
        if emitter.window:
            seen = emitter.light_before(stage.environment)
            face = on_face.get(emitter.layer, np.zeros(3))
            found[emitter.layer] = WindowLight(
                float(face @ LUMINANCE_WEIGHTS), float(seen @ LUMINANCE_WEIGHTS)
            )
    return found


def drift(now: WindowLight, own: WindowLight) -> Drift:
    """How far a window has come from what it gives at the scene's own time."""
    return Drift(
        stops_between(now.face_lx, own.face_lx),
        stops_between(now.luminance_cd_m2, own.luminance_cd_m2),
    )


@dataclass(frozen=True)
class HoursRequest:
    """Which hours of the scene's day, for which camera (None: the first)."""

    start: time
    end: time
    every_min: int
    camera: str | None = None


def day_around(scene: Scene, camera: str) -> HoursRequest:
    """Five frames of the scene's day in even steps, its own time one of them, early if it can be.

    ValueError where the scene has no place, time or window.
    """
    own = own_moment(scene)
    steps = [timedelta(minutes=DAY_STEP_MIN * n) for n in range(DAY_FRAMES)]
    starts = [own - before for before in (*steps[1:], steps[0])]
    start = next(s for s in starts if s.date() == (s + steps[-1]).date() == own.date())
    end = start + steps[-1]
    hours_of(scene, camera, start.time(), end.time(), DAY_STEP_MIN)
    return HoursRequest(start.time(), end.time(), DAY_STEP_MIN, camera)


@dataclass(frozen=True, eq=False)
class Strip:
    """A camera over the hours.

    own      what each window gives at the scene's own time, to which drift refers
    windows  by the name of the hour's camera: what each window gives then
    """

    camera: str
    person: str
    own_at: datetime
    own: Mapping[str, WindowLight]
    hours: tuple[Hour, ...]
    windows: Mapping[str, Mapping[str, WindowLight]]

    def drifts(self, hour: Hour) -> dict[str, Drift]:
        """By window: how far it has come from the scene's own time."""
        return {n: drift(now, self.own[n]) for n, now in self.windows[hour.camera].items()}
