"""Who is who in an interview, told from the stage: nobody has to say it twice."""

from __future__ import annotations

import math

import numpy as np

from previz.stage.stage import Array, Emitter, Stage


def guest_of(stage: Stage) -> str | None:
    """The person interviewed: whom the first camera that is on a person is on."""
    subjects = (setup.subject for setup in stage.setups.values())
    return next((name for name in subjects if name is not None), None)


def interviewer_of(stage: Stage) -> str | None:
    """Whom the guest looks at or faces, if that is a person; None for an address to a camera."""
    guest = guest_of(stage)
    if guest is None:
        return None
    partner = stage.people[guest].looks_at
    return partner if partner in stage.people else None


def cameras_on(stage: Stage, person: str) -> tuple[str, ...]:
    """Cameras whose subject a person is."""
    return tuple(name for name, setup in stage.setups.items() if setup.subject == person)


def practicals_of(stage: Stage) -> frozenset[str]:
    """The things that are lamps of the room itself."""
    return frozenset(light.thing for light in stage.lights.values() if light.practical)


def key_light_of(stage: Stage) -> str | None:
    """The light called key (or key_something) that is on; else the guest's strongest front light.

    That is the one aimed at the guest, from before the face, that gives most light at the eyes.
    """
    named = [name for name in stage.lights if name == "key" or name.startswith("key_")]
    lit = [name for name in named if stage.lights[name].on]
    guest = guest_of(stage)
    if lit or guest is None:
        return lit[0] if lit else None
    person = stage.people[guest]
    strengths: dict[str, float] = {}
    for emitter in stage.emitters:
        light = stage.lights.get(emitter.layer)
        if light is None or light.setting.aim != guest:
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
