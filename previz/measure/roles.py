"""Who is who in an interview, told from the stage: nobody has to say it twice."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from previz.stage.stage import Array, Emitter, Stage

KEY, FILL, HAIR = "key", "fill", "hair"
HAIR_NAMES = (HAIR, "rim", "back", "kicker")
AT_FACE_M = 0.5
"""A light whose axis ends this near to the eyes is aimed at the face: an estimate."""


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
    """The light whose role is key, else one called so, if it is on; else the strongest in front.

    That is the one aimed at the guest, from before the face, that gives most light at the eyes.
    """
    named = [name for name in stage.lights if name == "key" or name.startswith("key_")]
    given = [name for name, light in stage.lights.items() if light.setting.role == "key"]
    lit = [name for name in (*given, *named) if stage.lights[name].on and _may_be(stage, name, KEY)]
    guest = guest_of(stage)
    if lit or guest is None:
        return lit[0] if lit else None
    strengths = {
        name: strength
        for name, strength in _strengths(stage, guest, ahead=True).items()
        if _may_be(stage, name, KEY)
    }
    return max(strengths, key=lambda name: strengths[name], default=None)


def hair_light_of(stage: Stage, person: str) -> str | None:
    """The light behind a person whose role is hair; else one called so; else the strongest there.

    Only lights that are on count, and the strongest only of those aimed at the person.
    """
    behind = _strengths(stage, person, ahead=False, aimed=False)
    able = [name for name in behind if _may_be(stage, name, HAIR)]
    given = [name for name in able if stage.lights[name].setting.role == HAIR]
    named = [name for name in able if name.split("_")[0] in HAIR_NAMES]
    aimed = [name for name in able if _is_on(stage, name, person)]
    strongest = sorted(aimed, key=lambda name: -behind[name])
    return next(iter([*given, *named, *strongest]), None)


def fill_lights_of(stage: Stage, key: str | None, hair: str | None) -> tuple[str, ...]:
    """Lights that open the guest's shadows: by their role, by their name, or by what they do.

    What a fill does is to light the guest from before the face beside the key. Practicals are
    lamps of the room, and a light with another role is no fill whatever it does.
    """
    guest = guest_of(stage)
    if guest is None:
        return ()
    before = _strengths(stage, guest, ahead=True)
    return tuple(
        name
        for name, light in stage.lights.items()
        if name in stage.layers
        and name not in (key, hair)
        and _may_be(stage, name, FILL)
        and (light.setting.role == FILL or _called_fill(name) or name in before)
    )


def background_lights_of(stage: Stage, others: Iterable[str | None]) -> tuple[str, ...]:
    """Lights for the set behind: those with that role; else all that are on nobody.

    Nor are they among `others`, which have a part on the guest. Lamps of the room count.
    """
    taken = set(others)
    given = [name for name, light in stage.lights.items() if light.setting.role == "background"]
    return tuple(given) or tuple(
        name
        for name, light in stage.lights.items()
        if name not in taken
        and light.setting.role is None
        and not any(_is_on(stage, name, person) for person in stage.people)
    )


def _may_be(stage: Stage, name: str, role: str) -> bool:
    return stage.lights[name].setting.role in (None, role)


def _called_fill(name: str) -> bool:
    return name == FILL or name.startswith("fill_")


def _is_on(stage: Stage, name: str, person: str) -> bool:
    """Whether a light is on a person: aimed by name, or by a point at their face."""
    light = stage.lights[name]
    if light.setting.aim is not None or light.practical:
        return light.setting.aim == person
    eyes = stage.people[person].landmarks["eyes"]
    return float(np.linalg.norm(light.aim_m - eyes)) < AT_FACE_M


def _strengths(stage: Stage, person: str, *, ahead: bool, aimed: bool = True) -> dict[str, float]:
    """Lux at a person's eyes by light that is on: of those before the face, or of those behind."""
    lit = stage.people[person]
    found: dict[str, float] = {}
    for emitter in stage.emitters:
        light = stage.lights.get(emitter.layer)
        if light is None or not light.on or (aimed and not _is_on(stage, emitter.layer, person)):
            continue
        from_eyes = emitter.shape.position_m - lit.landmarks["eyes"]
        if (float(from_eyes @ lit.face_forward) > 0.0) == ahead:
            strength = _strength(emitter, from_eyes)
            found[emitter.layer] = found.get(emitter.layer, 0.0) + strength
    return found


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
