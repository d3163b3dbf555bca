"""The lights of a scene: fixtures placed and aimed, with the light their faces give."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.model.lights import Light
from previz.model.records import Fixture
from previz.physics.colour import luminance
from previz.physics.ies import Distribution
from previz.stage.emission import Emission, emission, grid_before
from previz.stage.fixtures import fixture_gear, over_foot_m
from previz.stage.placed import StageLight
from previz.stage.placing import aimed, round_subject
from previz.stage.stage import Array, Emitter, StagePerson, Thing
from previz.stage.standing import standing

# What unlit fixtures throw back: estimates.
FACE_REFLECTANCE = {"fresnel": 0.05, "panel": 0.4}
DEFAULT_FACE_REFLECTANCE = 0.5
GRID_REFLECTANCE = 0.05
"""Room light sees the black walls of an egg-crate rather than the cloth behind them."""


def place_light(
    name: str,
    light: Light,
    catalog: Catalog,
    cameras: Mapping[str, Array],
    people: Mapping[str, StagePerson],
    tops_m: Mapping[str, Array],
) -> StageLight:
    """Look up a light's record and resolve its place.

    cameras  positions of the lenses, the first camera's first: places in words refer to it
    tops_m   middle of the top (3,) of each piece of furniture, for what stands on it
    """
    fixture = catalog.fixture(light.fixture)
    position, aim = _place(light, fixture, cameras, people, tops_m)
    return StageLight(name, fixture, light, position, aim)


def _place(
    light: Light,
    fixture: Fixture,
    cameras: Mapping[str, Array],
    people: Mapping[str, StagePerson],
    tops_m: Mapping[str, Array],
) -> tuple[Array, Array]:
    """Where a light's face is and what it looks at."""
    place = light.place
    target = _target(light, people)
    position = None
    if place.on is not None:
        x, y, top = tops_m[place.on]
        position = np.array([*(place.at_m or (x, y)), top + over_foot_m(fixture)])
    elif place.at_m is not None:
        position = np.array([*place.at_m, place.height_m])
    if position is not None:
        if target is None:
            target = position + np.array([0.0, 0.0, -1.0])
        return position, aimed(position, target)
    assert light.aim is not None and place.azimuth_deg is not None
    assert place.elevation_deg is not None and place.distance_m is not None
    camera = place.camera or next(iter(cameras))
    position = round_subject(
        people[light.aim].landmarks["eyes"],
        cameras[camera],
        camera_left=place.side == "camera_left",
        azimuth_deg=place.azimuth_deg,
        elevation_deg=place.elevation_deg,
        distance_m=place.distance_m,
    )
    assert target is not None
    return position, target


def _target(light: Light, people: Mapping[str, StagePerson]) -> Array | None:
    if light.aim is not None:
        return people[light.aim].landmarks["eyes"]
    return None if light.aim_m is None else np.asarray(light.aim_m, float)


def build_light(
    placed: StageLight, catalog: Catalog, seed: int, measured: Distribution | None = None
) -> tuple[Thing, list[Emitter]]:
    """The fixture as a thing, and its face; one that is off is a face of luminance 0.

    `measured` is what the light's file says, if it names one.
    """
    fixture, light = placed.fixture, placed.setting
    pieces, face = fixture_gear(fixture, light, placed.position_m, placed.aim_m, seed)
    thing = standing(placed.thing, "gear", pieces)
    if face is None:
        return thing, []
    gels = [catalog.gel(gel) for gel in light.gels]
    given = emission(fixture, light, face, gels, measured)
    reflectance = FACE_REFLECTANCE.get(fixture.form, DEFAULT_FACE_REFLECTANCE)
    if fixture.material is not None:
        reflectance = float(luminance(np.array(catalog.material(fixture.material).reflectance)))
    if grid_before(fixture, light) is not None:
        reflectance = GRID_REFLECTANCE
    return thing, [_emitter(placed.name, thing.name, face, given, reflectance)]


def _emitter(
    name: str, thing: str, face: EmitterShape, given: Emission, reflectance: float
) -> Emitter:
    return Emitter(
        layer=name,
        thing=thing,
        shape=face,
        luminance_cd_m2=given.luminance_cd_m2,
        rgb=given.rgb,
        profile=given.profile,
        reflectance=reflectance,
    )
