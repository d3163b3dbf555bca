"""What each light is for: its part in the picture, and what it gives the guest's face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from previz.measure.light.light import FaceLight, LightNumbers, stops_between
from previz.measure.roles import fill_lights_of, guest_of
from previz.stage.stage import Stage

Part = Literal["key", "fill", "hair", "edge", "front", "room lamp", "window", "set"]


@dataclass(frozen=True)
class LightPart:
    """One light or window.

    part          what it is for
    person        whom it is on; None: nobody, or the set
    lx            lux of it alone on the guest's face, toward the camera; None without a guest
    over_stops    its light on the face against the key's, or against `against`; of the hair light
                  on the hair, against the key on the face. None in the dark
    read_on       whose face that is: the guest's
    against       the light that it is held against: the key, else the strongest; None: none
    gel_nd        of a window: density of the film on it
    """

    name: str
    part: Part
    person: str | None
    lx: float | None
    over_stops: float | None
    read_on: str | None
    against: str | None
    gel_nd: float = 0.0


def light_parts(stage: Stage, light: LightNumbers) -> tuple[LightPart, ...]:
    """All lights and windows that shine, in the order of their layers."""
    guest = guest_of(stage)
    face = light.faces[guest] if guest is not None else None
    against = None if face is None else face.key or _strongest(stage, face)
    return tuple(_part(name, stage, face, against) for name in stage.layers)


def _strongest(stage: Stage, face: FaceLight) -> str | None:
    lux = {n: v for n, v in face.toward.illuminance_lx.items() if n in stage.layers and v > 0.0}
    return max(lux, key=lambda name: lux[name], default=None)


def _part(name: str, stage: Stage, face: FaceLight | None, against: str | None) -> LightPart:
    part, person = _role(name, stage, face)
    opening = stage.room.openings.get(name)
    lux = {} if face is None else face.toward.illuminance_lx
    over = stops_between(lux.get(name), lux.get(against or ""))
    if part == "hair" and face is not None:
        over = face.hair_over_key_stops
    return LightPart(
        name=name,
        part=part,
        person=person,
        lx=None if face is None else lux.get(name, 0.0),
        over_stops=over,
        read_on=guest_of(stage),
        against=against,
        gel_nd=0.0 if opening is None else opening.gel_nd,
    )


def _role(name: str, stage: Stage, face: FaceLight | None) -> tuple[Part, str | None]:
    """Its part, and on whom: as the scene says, else by what it does and where it stands."""
    placed, guest = stage.lights.get(name), guest_of(stage)
    if placed is None:
        return "window", None
    named: dict[Part, bool] = {
        "key": face is not None and name == face.key,
        "room lamp": placed.practical,
        "hair": face is not None and name == face.hair,
        "fill": face is not None and name in fill_lights_of(stage, face.key, face.hair),
    }
    for part, so in named.items():
        if so:
            return part, None if part == "room lamp" else guest
    person = placed.setting.aim
    if placed.setting.role == "background":
        return "set", None
    if person is None or person not in stage.people:
        return "set", None
    lit = stage.people[person]
    behind = float((placed.position_m - lit.landmarks["eyes"]) @ lit.face_forward) < 0.0
    return ("edge" if behind else "front"), person
