"""Boom and clip: how far from the mouth, how much of the room they hear, how near the frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.measure.sound.room import RoomSound, room_sound
from previz.measure.sound.shadow import shadows_of
from previz.physics import sound
from previz.stage.stage import Stage, StageCamera

VOICE_Q = 2.0
"""Directivity of a mouth toward what is before the face, for speech: an estimate, from memory."""
BOOM_Q = 4.0
"""Of a short shotgun that is turned to the mouth, about a hypercardioid's: from memory."""
CLIP_Q = 1.0
"""Of a clip-on microphone, which hears all round: definition of the directivity, an estimate."""


@dataclass(frozen=True)
class Microphone:
    """One microphone and the mouth it is for.

    distance_m                from the mouth, straight
    critical_distance_m       where voice and room are as strong in it; None: room not known
    direct_to_reverberant_db  the voice over the room
    """

    person: str
    distance_m: float
    critical_distance_m: float | None
    direct_to_reverberant_db: float | None


@dataclass(frozen=True)
class Clearance:
    """How far the microphone hangs over a frame's upper edge, there; below 0 it is in the frame."""

    clearance_cm: float
    clearance_pct: float


@dataclass(frozen=True)
class BoomNumbers:
    """The boom. `shadow_pct`, by light: most of its face that the boom hides from a place on
    the face below it; clearance by the cameras that see so far up or down along their frame.
    """

    microphone: Microphone
    under_clip_db: float | None
    clearance: Mapping[str, Clearance]
    shadow_pct: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class SoundNumbers:
    """All that paper says of sound; `noises` as the stage has them."""

    room: RoomSound | None
    boom: BoomNumbers | None
    clip: Microphone | None
    noises: Mapping[str, str]

    @property
    def recorded(self) -> bool:
        """Whether the scene has a microphone."""
        return self.boom is not None or self.clip is not None


def measure_sound(stage: Stage) -> SoundNumbers:
    """Measure a set's sound, as far as it can be told without hearing it."""
    room = room_sound(stage)
    clip = _clip(stage, room)
    return SoundNumbers(room, _boom(stage, room, clip), clip, stage.sound.noises)


def _clip(stage: Stage, room: RoomSound | None) -> Microphone | None:
    placed = stage.sound
    if placed.wearer is None or placed.clip_m is None:
        return None
    mouth = stage.people[placed.wearer].landmarks["mouth"]
    distance_m = float(np.linalg.norm(placed.clip_m - mouth))
    return _microphone(placed.wearer, distance_m, room, VOICE_Q * CLIP_Q)


def _boom(stage: Stage, room: RoomSound | None, clip: Microphone | None) -> BoomNumbers | None:
    boom = stage.sound.boom
    if boom is None:
        return None
    mouth = stage.people[boom.over].landmarks["mouth"]
    distance_m = float(np.linalg.norm(boom.axes.tip - mouth))
    clearance = {name: _clearance(stage, camera) for name, camera in stage.cameras.items()}
    return BoomNumbers(
        microphone=_microphone(boom.over, distance_m, room, VOICE_Q * BOOM_Q),
        under_clip_db=None if clip is None else sound.louder_db(clip.distance_m, distance_m),
        clearance={name: found for name, found in clearance.items() if found is not None},
        shadow_pct=shadows_of(stage, boom),
    )


def _microphone(
    person: str, distance_m: float, room: RoomSound | None, directivity: float
) -> Microphone:
    if room is None:
        return Microphone(person, distance_m, None, None)
    critical_m = room.critical_m(directivity)
    over_db = sound.direct_to_reverberant_db(distance_m, critical_m)
    return Microphone(person, distance_m, critical_m, over_db)


def _clearance(stage: Stage, camera: StageCamera) -> Clearance | None:
    """From the frame's upper edge to the lowest of the microphone, at its own distance; None where
    it hangs beside or under the frame, or behind the lens.
    """
    thing = next(thing for thing in stage.things if thing.name == "sound.boom")
    head = [p.mesh.vertices for p in thing.pieces if p.name in ("foam", "microphone")]
    points = np.concatenate(head)
    x, y = camera.project(points, 100, 100).T
    within = np.isfinite(x) & (x >= 0.0) & (x <= 100.0)
    if not within.any() or y[within].min() > 100.0:
        return None
    lowest = int(np.argmax(np.where(within, y, -np.inf)))
    depth_m = camera.axis_distance(points[lowest])
    frame_m = depth_m * camera.sensor_height_m / camera.focal_length_m
    share = -float(y[lowest]) / 100.0
    return Clearance(100.0 * share * frame_m, 100.0 * share)
