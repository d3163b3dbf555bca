"""Who is who in an interview, told from the scene: nobody has to say it twice."""

from __future__ import annotations

from previz.model.cameras import Camera
from previz.model.scene import Scene


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


def key_light_of(scene: Scene) -> str | None:
    """The light called key (or key_something), if it is on."""
    named = [name for name in scene.lights if name == "key" or name.startswith("key_")]
    return next((name for name in named if scene.lights[name].on), None)
