"""What is nearer to a hot lamp than its stand-off distance."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from previz.geometry.nearest import distance_m
from previz.model.records import Fixture
from previz.stage.stage import Array, Stage, Thing

STAND_OFF_M_ROOT_W = 0.04
"""Stand-off of a hot lamp whose record gives none, times the root of its watts: irradiance falls
with the square of the distance. The factor is an estimate: 1 m for 650 W."""
CLOTH = ("softbox", "diffusion_frame", "bounce_board", "flag")
BURNS_IN_ROOM = ("ceiling", "curtain", "blind_cloth", "blind_slats")


@dataclass(frozen=True)
class HotNear:
    """One thing near a hot lamp, distance and least distance in metres.

    part  of the room, such as its ceiling; empty: the whole thing
    """

    light: str
    other: str
    part: str
    distance_m: float
    stand_off_m: float


def stand_off_m(fixture: Fixture) -> float:
    """Least distance from a hot fixture's face to what can burn."""
    return fixture.stand_off_m or STAND_OFF_M_ROOT_W * math.sqrt(fixture.power_w)


def hot_near(stage: Stage) -> Iterator[HotNear]:
    """Furniture, people, ceiling, curtains and cloth too near the face of a hot lamp that is on."""
    for name, light in stage.lights.items():
        if not (light.on and light.fixture.hot):
            continue
        face = next((e.shape.position_m for e in stage.emitters if e.thing == light.thing), None)
        if face is None:
            continue
        least_m = stand_off_m(light.fixture)
        for other, part, triangles in _burning(stage, light.thing):
            away_m = distance_m(triangles, np.asarray(face, float), least_m)
            if away_m < least_m:
                yield HotNear(name, other, part, away_m, least_m)


def _burning(stage: Stage, own: str) -> Iterator[tuple[str, str, Array]]:
    """What can burn, and which part of the room, with its triangles (n, 3, 3)."""
    for thing in stage.things:
        kind, _, name = thing.name.partition(".")
        if thing.name == own or (kind == "lights" and stage.lights[name].fixture.form not in CLOTH):
            continue
        if thing.kind == "room":
            for part in BURNS_IN_ROOM:
                found = _triangles(thing, part)
                if len(found):
                    yield thing.name, part, found
        elif thing.kind in ("furniture", "person") or kind == "lights":
            yield thing.name, "", _triangles(thing)


def _triangles(thing: Thing, part: str | None = None) -> Array:
    found = [p.mesh.triangles for p in thing.pieces if part is None or p.name == part]
    return np.concatenate([np.zeros((0, 3, 3)), *found])
