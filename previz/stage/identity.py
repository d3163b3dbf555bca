"""What of a stage is the same as before: which light layers still hold, and which do not.

A light layer is in proportion to its light's power and rests on everything else: where that
light stands and how it spreads (its form), what else is on the set, and, for a picture, the
camera. Each of these has a digest here.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from previz.model.records import Material
from previz.stage.environment import Environment
from previz.stage.stage import Array, Emitter, Stage, StageCamera, Thing

LIGHTS = "lights."
TOLD = {"label", "kind", "source", "absorption"}
"""What a material's record tells people, and what it does to sound; no light rests on it."""
Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Identity:
    """Digests of a stage's parts.

    furnished  by thing: everything on the set but the lights, with the materials it is made of
    forms      by light or window: where it stands, what it is made of, how it spreads its light
    views      by camera: place, lens and stop
    power      by light or window: power by colour, cd/m2; of a window, the share it lets in
    """

    furnished: dict[str, str]
    forms: dict[str, str]
    views: dict[str, str]
    power: dict[str, Triple]


def identity_of(stage: Stage) -> Identity:
    """Take the digests of a stage."""
    things = {thing.name: thing for thing in stage.things}
    surfaces = stage.materials
    world = stage.environment
    environment = None if world is None else digest_of_environment(world)
    forms = {}
    # Boards and flags are lights without power; their place counts as a light's does.
    for thing in stage.things:
        if thing.name.startswith(LIGHTS):
            forms[thing.name.removeprefix(LIGHTS)] = digest_of_thing(thing, surfaces)
    for emitter in stage.emitters:
        own = things.get(emitter.thing) if emitter.thing.startswith(LIGHTS) else None
        body = None if own is None else digest_of_thing(own, surfaces)
        sky = environment if emitter.window else None
        forms[emitter.layer] = _digest([body, *_parts_of_emitter(emitter), sky])
    rest = (t for t in stage.things if not t.name.startswith(LIGHTS))
    return Identity(
        furnished={thing.name: digest_of_thing(thing, surfaces) for thing in rest},
        forms=forms,
        views={name: _digest(_parts_of_view(camera)) for name, camera in stage.cameras.items()},
        power={e.layer: triple(e.power) for e in stage.emitters},
    )


def triple(colour: Array) -> Triple:
    """A colour (3,) as plain numbers, as a file keeps it."""
    red, green, blue = (float(value) for value in colour)
    return red, green, blue


def digest_of_thing(thing: Thing, materials: Mapping[str, Material]) -> str:
    """Digest of a thing and of those of the catalogue's materials that it is made of.

    Taken once for each object: things and materials are never changed.
    """
    used = tuple(materials[name] for name in sorted({p.material for p in thing.pieces}))
    known = _THINGS.get(thing)
    if known is not None and all(a is b for a, b in zip(known[0], used, strict=True)):
        return known[1]
    digest = _digest(_parts_of_thing(thing, materials))
    _THINGS[thing] = used, digest
    return digest


def digest_of_environment(environment: Environment) -> str:
    """Digest of what is seen through windows, taken once for each object."""
    if environment not in _ENVIRONMENTS:
        _ENVIRONMENTS[environment] = _digest(_parts_of_environment(environment))
    return _ENVIRONMENTS[environment]


_THINGS: WeakKeyDictionary[Thing, tuple[tuple[Material, ...], str]] = WeakKeyDictionary()
_ENVIRONMENTS: WeakKeyDictionary[Environment, str] = WeakKeyDictionary()
"""Digests taken, for as long as what they are of is held by someone."""


def _parts_of_thing(thing: Thing, materials: Mapping[str, Material]) -> Iterable[Any]:
    """What a thing is: its pieces, and of the catalogue's materials those it is made of."""
    yield f"{thing.name} {thing.kind} {thing.owner}"
    for name in sorted({piece.material for piece in thing.pieces}):
        yield f"{name} {materials[name].model_dump(exclude=TOLD)}"
    for piece in thing.pieces:
        yield f"{piece.name} {piece.material} {piece.smooth}"
        yield piece.mesh.vertices
        yield piece.mesh.faces
        yield piece.colour
        yield piece.grain
        yield piece.uv
    if thing.strands is not None:
        yield thing.strands.points
        yield thing.strands.radius_m
        yield thing.strands.colour
        yield thing.strands.tone
        yield thing.strands.tone_colour


def _parts_of_emitter(emitter: Emitter) -> Iterable[Any]:
    shape = emitter.shape
    yield f"{shape.kind} {shape.width_m} {shape.height_m} {shape.radius_m} {shape.length_m}"
    yield f"{emitter.window} {emitter.reflectance}"
    yield shape.pose
    yield emitter.profile


def _parts_of_environment(environment: Environment) -> Iterable[Any]:
    yield environment.panorama
    if environment.sun is not None:
        yield environment.sun.direction
        yield environment.sun.light
        yield f"{environment.sun.radius_rad}"


def _parts_of_view(camera: StageCamera) -> Iterable[Any]:
    yield camera.pose
    yield (
        f"{camera.sensor_width_m} {camera.sensor_height_m} {camera.focal_length_m} "
        f"{camera.f_number} {camera.focus_distance_m}"
    )


def _digest(parts: Iterable[Any]) -> str:
    """Digest of texts, bytes and arrays; None counts as nothing."""
    digest = hashlib.sha256()
    for part in parts:
        if isinstance(part, str):
            digest.update(part.encode())
        elif isinstance(part, bytes):
            digest.update(part)
        elif part is not None:
            array = np.ascontiguousarray(part)
            digest.update(f"{array.dtype} {array.shape}".encode())
            digest.update(array.data)
        digest.update(b"|")
    return digest.hexdigest()[:16]
