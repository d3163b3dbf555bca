"""Who is who in an interview, told from the scene: nobody has to say it twice."""

from __future__ import annotations

import math

import numpy as np

from previz.model.cameras import Camera
from previz.model.scene import Scene
from previz.stage.stage import Array, Emitter, Stage


def subject_of(camera: Camera, scene: Scene) -> str | None:
    """Person a camera is on: the one it aims at, else the one it focuses on."""
    if camera.aim is not None:
        return camera.aim
    return camera.focus if camera.focus in scene.people else None


def guest_of(scene: Scene) -> str | None:
    """The person interviewed: whom the first camera that is on a person is on."""
    subjects = (subject_of(camera, scene) for camera in scene.cameras.values())
    return next((name for name in subjects if name is not None), None)


def interviewer_of(scene: Scene) -> str | None:
    """Whom the guest looks at or faces, if that is a person; None for an address to a camera."""
    guest = guest_of(scene)
    if guest is None:
        return None
    person = scene.people[guest]
    partner = person.gaze or person.faces
    return partner if partner in scene.people else None


def key_light_of(scene: Scene, stage: Stage) -> str | None:
    """The light called key (or key_something) that is on; else the guest's strongest front light.

    That is the one aimed at the guest, from before the face, that gives most light at the eyes.
    """
    named = [name for name in scene.lights if name == "key" or name.startswith("key_")]
    lit = [name for name in named if scene.lights[name].on]
    guest = guest_of(scene)
    if lit or guest is None:
        return lit[0] if lit else None
    person = stage.people[guest]
    strengths: dict[str, float] = {}
    for emitter in stage.emitters:
        light = scene.lights.get(emitter.layer)
        if light is None or light.aim != guest:
            continue
        from_eyes = emitter.shape.position_m - person.landmarks["eyes"]
        if float(from_eyes @ person.face_forward) > 0.0:
            strength = _strength(emitter, from_eyes)
            strengths[emitter.layer] = strengths.get(emitter.layer, 0.0) + strength
    return max(strengths, key=lambda name: strengths[name], default=None)


def _strength(emitter: Emitter, from_eyes: Array) -> float:
    """Illuminance (lux) at the eyes as of a small light: luminance x seen area / distance^2."""
    shape, distance_m = emitter.shape, float(np.linalg.norm(from_eyes))
    if shape.kind in ("rectangle", "disc"):
        cosine = max(float(-from_eyes @ shape.direction) / distance_m, 0.0)
        seen_m2 = shape.area_m2 * cosine
    else:
        # A ball shows a quarter of its surface, a tube from its side the pi-th part.
        seen_m2 = shape.area_m2 / (4.0 if shape.kind == "sphere" else math.pi)
    return emitter.luminance_cd_m2 * seen_m2 / distance_m**2
