"""Light in numbers: on faces and meters, in the frames, against what the cameras are set for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from previz.measure.light.in_frame import FrameLight, frame_light
from previz.measure.light.judged import judged_lx, sees_side
from previz.measure.roles import (
    cameras_on,
    fill_lights_of,
    guest_of,
    hair_light_of,
    key_light_of,
)
from previz.physics.colour import cct_and_duv_of_rgb, luminance
from previz.physics.exposure import illuminance_for_stop_lx
from previz.render.metering import Array, Reading
from previz.render.readings import Readings
from previz.stage.stage import Stage, StageCamera
from previz.units import ratio_to_stops

TOTAL = "total"
TOLD_ERROR = 0.01
"""Standard error from which on it stands beside a reading: what is read as sure is within 2 % (two
standard errors), a thirtieth of a stop, which nobody sees: common practice, no source."""
SMALL_SHARE = 0.1
"""Lights that give less than this of a face's light do not mix visibly: common practice, no
source."""


@dataclass(frozen=True)
class MeterLight:
    """What a meter reads: lux by light and in total, colour temperature and Duv of the mix.

    The colour is None in the dark and where the mix is far from white. `error` is the standard
    error of the total, as a share of it.
    """

    illuminance_lx: Mapping[str, float]
    cct_k: float | None
    duv: float | None
    error: float = 0.0

    @property
    def error_pct(self) -> float | None:
        """The standard error in per cent, where it is large enough to be told; else None."""
        return 100.0 * self.error if self.error > TOLD_ERROR else None

    @property
    def total_lx(self) -> float:
        """All lights together."""
        return self.illuminance_lx[TOTAL]


@dataclass(frozen=True)
class FaceLight:
    """Light on one face.

    facing         the camera that `toward` is read for; None: straight ahead
    toward         receptor facing that camera
    by_camera      the same for every camera on the person
    ahead          receptor facing straight ahead: what a grey card in the person's hand gets
    key, fill      lights the ratio is of; where none is for fill, all but key and hair are
    lit, shadow    the two sides, 60 degrees off
    hair_over_key_stops
                   hair light on the head, facing that light, against the key toward the camera
    mired          mired by light, of those that give a tenth of the light or more
    """

    facing: str | None
    toward: MeterLight
    by_camera: Mapping[str, MeterLight]
    ahead: MeterLight
    key: str | None
    fill: tuple[str, ...]
    lit: MeterLight
    shadow: MeterLight
    hair: str | None
    hair_over_key_stops: float | None
    mired: Mapping[str, float]

    @property
    def key_lx(self) -> float:
        """Of the key alone, toward the camera."""
        return self.toward.illuminance_lx.get(self.key or "", 0.0)

    @property
    def fill_lx(self) -> float:
        """Of the fill alone, toward the camera."""
        return sum(self.toward.illuminance_lx.get(name, 0.0) for name in self.fill)

    @property
    def key_to_fill(self) -> float | None:
        """Key : fill, each alone."""
        return self.key_lx / self.fill_lx if self.key_lx > 0.0 and self.fill_lx > 0.0 else None

    @property
    def lighting_ratio(self) -> float | None:
        """(Key + fill) : fill."""
        ratio = self.key_to_fill
        return None if ratio is None else ratio + 1.0

    @property
    def contrast(self) -> float | None:
        """Lit side : shadow side, all lights."""
        low = self.shadow.total_lx
        return self.lit.total_lx / low if low > 0.0 else None


@dataclass(frozen=True)
class ExposureLight:
    """One camera against the light.

    set_for_lx             illuminance its settings are right for (ISO 2720, C = 250)
    face_stops_over_grey   a grey card at the subject's face, facing the camera, over mid grey
    judged_by              the camera whose view decides how all on this subject are set: the first
    judged_lx              light that the subject counts as having there; None without a subject
    from_skin              whether that is by the lit skin in its frame, not by a meter toward it
    frame                  what the picture holds: skin, background, windows, lamps
    """

    subject: str | None
    set_for_lx: float
    face_lx: float | None
    frame: FrameLight
    judged_by: str | None = None
    judged_lx: float | None = None
    from_skin: bool = False

    @property
    def face_stops_over_grey(self) -> float | None:
        """Stops; None without a subject or in the dark."""
        return stops_between(self.face_lx, self.set_for_lx)

    @property
    def judged_stops(self) -> float | None:
        """Stops by which the subject is over what this camera is set for, as it is judged."""
        return stops_between(self.judged_lx, self.set_for_lx)


@dataclass(frozen=True, eq=False)
class LightNumbers:
    """All there is to read of the light on a stage."""

    faces: Mapping[str, FaceLight]
    meters: Mapping[str, MeterLight]
    cameras: Mapping[str, ExposureLight]
    readings: Readings


def light_numbers(stage: Stage, readings: Readings) -> LightNumbers:
    """Turn readings into the numbers a cinematographer asks for."""
    faces = {name: _face(name, stage, readings) for name in stage.people}
    meters = {name: meter_light(readings.points[f"meter/{name}"]) for name in stage.meters}
    cameras: dict[str, ExposureLight] = {}
    for name, camera in stage.cameras.items():
        subject = stage.setups[name].subject
        face = faces[subject].by_camera[name].total_lx if subject else None
        frame = frame_light(stage, camera, readings.pictures[name], subject)
        seen = ExposureLight(subject, set_for_lx(camera), face, frame)
        cameras[name] = _judged(name, seen, stage, faces, cameras)
    return LightNumbers(faces, meters, cameras, readings)


def _judged(
    name: str,
    seen: ExposureLight,
    stage: Stage,
    faces: Mapping[str, FaceLight],
    before: Mapping[str, ExposureLight],
) -> ExposureLight:
    """The same with what its subject counts as lit by: as the first camera on it has it."""
    subject = seen.subject
    if subject is None or seen.face_lx is None:
        return seen
    first = next((other for other in before.values() if other.subject == subject), None)
    if first is not None:
        return replace(
            seen,
            judged_by=first.judged_by,
            judged_lx=first.judged_lx,
            from_skin=first.from_skin,
        )
    lux = judged_lx(
        stage,
        name,
        subject,
        meter_lx=seen.face_lx,
        lit_side_lx=faces[subject].lit.total_lx,
        set_for_lx=seen.set_for_lx,
        skin=seen.frame.skin,
    )
    return replace(seen, judged_by=name, judged_lx=lux, from_skin=sees_side(stage, name, subject))


def set_for_lx(camera: StageCamera) -> float:
    """Illuminance that a camera's stop, shutter, ISO and ND are right for."""
    return illuminance_for_stop_lx(camera.t_number, camera.shutter_s, camera.iso, camera.nd_density)


def stops_between(value: float | None, reference: float | None) -> float | None:
    """Stops of one amount of light over another; None where there is none."""
    if value is None or reference is None or not value > 0.0 or not reference > 0.0:
        return None
    return ratio_to_stops(value / reference)


def meter_light(reading: Reading) -> MeterLight:
    """One reading by light, with the colour of the mix."""
    lux = {name: float(luminance(rgb)) for name, rgb in reading.by_light.items()}
    cct_k, duv = _colour(reading.total)
    total = float(luminance(reading.total))
    return MeterLight({**lux, TOTAL: total}, cct_k, duv, reading.error)


def _colour(rgb: Array) -> tuple[float | None, float | None]:
    if not float(luminance(rgb)) > 0.0:
        return None, None
    try:
        cct_k, duv = cct_and_duv_of_rgb(rgb)
    except ValueError:
        return None, None
    return cct_k, duv


def _face(name: str, stage: Stage, readings: Readings) -> FaceLight:
    points = readings.points
    cameras = cameras_on(stage, name)
    by_camera = {camera: meter_light(points[f"face/{name}/{camera}"]) for camera in cameras}
    ahead = meter_light(points[f"face/{name}"])
    facing = cameras[0] if cameras else None
    toward_reading = points[f"face/{name}/{facing}"] if facing else points[f"face/{name}"]
    toward = by_camera[facing] if facing else ahead
    sides = [meter_light(points[f"side/{name}/{side}"]) for side in ("left", "right")]
    sides.sort(key=lambda side: -side.total_lx)
    mine = name == guest_of(stage)
    key = key_light_of(stage) if mine else None
    hair = hair_light_of(stage, name) if mine else None
    if hair is not None and f"hair/{name}/{hair}" not in points:
        hair = None
    return FaceLight(
        facing=facing,
        toward=toward,
        by_camera=by_camera,
        ahead=ahead,
        key=key,
        fill=fill_lights(stage, key, hair, toward) if key else (),
        lit=sides[0],
        shadow=sides[1],
        hair=hair,
        hair_over_key_stops=_hair_stops(name, hair, key, toward, readings),
        mired=_mired(toward_reading),
    )


def fill_lights(stage: Stage, key: str, hair: str | None, toward: MeterLight) -> tuple[str, ...]:
    """Who fills: lights for that; else lamps off the set that reach the face; else all the rest.

    A lamp that lights a ceiling or a wall fills if it gives a tenth of the face's light or more.
    """
    dedicated = fill_lights_of(stage, key, hair)
    if dedicated:
        return dedicated
    rest = tuple(n for n in stage.layers if n not in (key, hair))
    lux = toward.illuminance_lx
    bounced = tuple(
        name
        for name in rest
        if (placed := stage.lights.get(name)) is not None
        and placed.setting.aim is None
        and placed.setting.role is None
        and not placed.practical
        and lux.get(name, 0.0) >= SMALL_SHARE * toward.total_lx
    )
    return bounced or rest


def _hair_stops(
    person: str, hair: str | None, key: str | None, toward: MeterLight, readings: Readings
) -> float | None:
    if hair is None or key is None:
        return None
    on_hair = meter_light(readings.points[f"hair/{person}/{hair}"])
    return stops_between(on_hair.illuminance_lx.get(hair), toward.illuminance_lx.get(key))


def _mired(reading: Reading) -> dict[str, float]:
    total = float(luminance(reading.total))
    found = {}
    for name, rgb in reading.by_light.items():
        if total > 0.0 and float(luminance(rgb)) >= SMALL_SHARE * total:
            cct_k, _ = _colour(np.asarray(rgb))
            if cct_k is not None:
                found[name] = 1.0e6 / cct_k
    return found
