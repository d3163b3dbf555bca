"""Where light is read: at every face toward its cameras, on its two sides, on the hair,
and wherever the scene holds a meter."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from previz.measure.roles import cameras_on
from previz.model.meters import Meter
from previz.render.cards import face_point
from previz.render.metering import Receptor
from previz.stage.stage import Array, Stage, StageCamera, StagePerson

SIDE_DEG = 60.0
"""How far the receptor is turned to read a face's lit and shadow side: common practice, no
source."""
HAIR_OUT_M = 0.16
"""From the middle of the head: just off the hair: an estimate."""


def receptors(stage: Stage) -> dict[str, Receptor]:
    """All receptors of a set by name.

    face/PERSON/CAMERA toward the camera that is on the person, face/PERSON straight ahead,
    side/PERSON/left and right (the person's own) turned 60 degrees, hair/PERSON/LIGHT from
    the head toward a light, meter/NAME.
    """
    found: dict[str, Receptor] = {}
    for name, person in stage.people.items():
        point = face_point(person)
        found[f"face/{name}"] = Receptor(point, person.face_forward)
        for camera in cameras_on(stage, name):
            found[f"face/{name}/{camera}"] = toward_camera(person, stage.cameras[camera])
        for side, sign in (("left", 1.0), ("right", -1.0)):
            facing = _turned(person.face_forward, math.radians(sign * SIDE_DEG))
            found[f"side/{name}/{side}"] = Receptor(point, facing)
        for light, receptor in _on_hair(stage, person):
            found[f"hair/{name}/{light}"] = receptor
    for name, meter in stage.meters.items():
        found[f"meter/{name}"] = _held(meter, stage)
    return found


def toward_camera(person: StagePerson, camera: StageCamera) -> Receptor:
    """A meter held before a face, facing a camera."""
    point = face_point(person)
    return Receptor(point, _unit(camera.position_m - point))


def _on_hair(stage: Stage, person: StagePerson) -> Iterator[tuple[str, Receptor]]:
    """One receptor for each lamp behind the person, on the head and facing the lamp."""
    ears = 0.5 * (person.landmarks["ear_left"] + person.landmarks["ear_right"])
    head = np.array([ears[0], ears[1], 0.5 * (ears[2] + person.landmarks["head_top"][2])])
    for emitter in stage.emitters:
        away = emitter.shape.position_m - head
        if emitter.window or float(away @ person.face_forward) >= 0.0:
            continue
        toward = _unit(away)
        yield emitter.layer, Receptor(np.asarray(head + HAIR_OUT_M * toward), toward)


def _held(meter: Meter, stage: Stage) -> Receptor:
    point = np.asarray(meter.at_m, float)
    if meter.facing_m is not None:
        return Receptor(point, _unit(np.asarray(meter.facing_m, float) - point))
    upright = {"up": 1.0, "down": -1.0}
    name = meter.facing or "up"
    if name in upright:
        return Receptor(point, np.array([0.0, 0.0, upright[name]]))
    return Receptor(point, _unit(_place_of(name, stage) - point))


def _place_of(name: str, stage: Stage) -> Array:
    """Lens of a camera, eyes of a person, face of a light, middle of a board or flag."""
    if name in stage.cameras:
        return stage.cameras[name].position_m
    if name in stage.people:
        return stage.people[name].landmarks["eyes"]
    faces = [e.shape.position_m for e in stage.emitters if e.layer == name]
    if faces:
        return faces[0]
    thing = next(thing for thing in stage.things if thing.name == f"lights.{name}")
    board = max(thing.pieces, key=lambda piece: float(piece.mesh.area))
    return np.asarray(board.mesh.bounds.mean(axis=0), float)


def _turned(direction: Array, angle_rad: float) -> Array:
    """A direction turned to the left about the vertical."""
    sine, cosine = math.sin(angle_rad), math.cos(angle_rad)
    x, y, z = direction
    return np.array([cosine * x - sine * y, sine * x + cosine * y, z])


def _unit(vector: Array) -> Array:
    length = float(np.linalg.norm(vector))
    return np.array([0.0, 0.0, 1.0]) if length == 0.0 else np.asarray(vector / length)
