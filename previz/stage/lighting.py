"""The lights of a scene: fixtures placed and aimed, with the light their faces give."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.model.lights import Light
from previz.model.records import Fixture, LuxAt
from previz.model.scene import Scene
from previz.physics import beam, emitters
from previz.physics.white import white_rgb
from previz.stage.fixtures import fixture_gear, unlit_face
from previz.stage.placing import round_subject
from previz.stage.stage import Array, Emitter, StagePerson, Thing

FACE_REFLECTANCE = {"fresnel": 0.05, "panel": 0.4}
DEFAULT_FACE_REFLECTANCE = 0.5


@dataclass(frozen=True, eq=False)
class PlacedLight:
    """Where a light's face is and what it looks at, (3,) each."""

    position_m: Array
    aim_m: Array


def place_light(
    light: Light, scene: Scene, cameras: Mapping[str, Array], people: Mapping[str, StagePerson]
) -> PlacedLight:
    """Resolve a light's place; `cameras` gives the positions of the lenses."""
    place = light.place
    target = _target(light, people)
    if place.at_m is not None:
        position = np.array([*place.at_m, place.height_m])
        if target is None:
            target = position + np.array([0.0, 0.0, -1.0])
        return PlacedLight(position, target)
    assert light.aim is not None and place.azimuth_deg is not None
    assert place.elevation_deg is not None and place.distance_m is not None
    camera = place.camera or next(iter(scene.cameras))
    position = round_subject(
        people[light.aim].landmarks["eyes"],
        cameras[camera],
        camera_left=place.side == "camera_left",
        azimuth_deg=place.azimuth_deg,
        elevation_deg=place.elevation_deg,
        distance_m=place.distance_m,
    )
    assert target is not None
    return PlacedLight(position, target)


def _target(light: Light, people: Mapping[str, StagePerson]) -> Array | None:
    if light.aim is not None:
        return people[light.aim].landmarks["eyes"]
    return None if light.aim_m is None else np.asarray(light.aim_m, float)


def build_light(
    name: str, light: Light, placed: PlacedLight, catalog: Catalog, seed: int
) -> tuple[Thing, list[Emitter]]:
    """The fixture as a thing, and its glowing face unless it gives no light."""
    fixture = catalog.fixture(light.fixture)
    pieces, face = fixture_gear(fixture, light, placed.position_m, placed.aim_m, seed)
    thing = Thing(f"lights.{name}", "gear", pieces)
    if face is None:
        return thing, []
    if not light.on or light.dimmer_pct == 0.0:
        return Thing(thing.name, "gear", (*pieces, unlit_face(face))), []
    return thing, [_emitter(name, thing.name, light, fixture, face)]


def _emitter(name: str, thing: str, light: Light, fixture: Fixture, face: EmitterShape) -> Emitter:
    profile = beam_profile(fixture, light.beam_deg)
    luminance = full_luminance(fixture, light.beam_deg, face, profile)
    cct_k = light.cct_k if light.cct_k is not None else fixture.default_cct_k
    assert cct_k is not None
    flat = face.kind in ("rectangle", "disc")
    return Emitter(
        layer=name,
        thing=thing,
        shape=face,
        luminance_cd_m2=luminance * light.dimmer_pct / 100.0,
        rgb=np.asarray(white_rgb(cct_k), float),
        profile=beam.relative_luminance(profile) if flat and profile.exponent != 1.0 else None,
        reflectance=FACE_REFLECTANCE.get(fixture.form, DEFAULT_FACE_REFLECTANCE),
    )


def set_beam_deg(fixture: Fixture, beam_deg: float | None) -> float | None:
    """Beam angle as set, else the fixture's usual one, else the widest it was measured at."""
    measured = fixture.lux_at[-1].beam_deg if fixture.lux_at else None
    return beam_deg or fixture.beam_deg or measured


def beam_profile(fixture: Fixture, beam_deg: float | None) -> beam.Profile:
    """How a fixture spreads its light at a beam setting (None: its own)."""
    wide = set_beam_deg(fixture, beam_deg)
    if wide is None:
        return beam.lambertian()
    if fixture.form == "fresnel":
        field = fixture.field_deg or 0.0
        usual = fixture.beam_deg or wide
        # The edge keeps its softness while the beam is focused.
        field_deg = min(wide * (field / usual if field > usual else 1.6), 175.0)
        return beam.gaussian_like(wide, field_deg)
    return beam.cosine_power_from_beam(min(wide, 120.0))


def full_luminance(
    fixture: Fixture, beam_deg: float | None, face: EmitterShape, profile: beam.Profile
) -> float:
    """Luminance (cd/m2) on the axis of a fixture's face at full output."""
    shape = _solid(face)
    flat = isinstance(shape, emitters.Rectangle | emitters.Disc)
    used = profile if flat else None
    if fixture.flux_lm is not None:
        return emitters.luminance_from_flux_cd_m2(shape, fixture.flux_lm, used)
    wide = set_beam_deg(fixture, beam_deg)
    assert wide is not None
    lux, distance_m = lux_at_beam(fixture.lux_at, wide)
    return emitters.luminance_from_lux_cd_m2(shape, lux, distance_m, used)


def lux_at_beam(measured: tuple[LuxAt, ...], beam_deg: float) -> tuple[float, float]:
    """Illuminance (lux) on the axis at a beam angle, and the distance it holds for.

    Between the two ends of a focus range it runs straight in the logarithms of lux and angle,
    which is how the light of one lens spread over more or less solid angle behaves.
    """
    first, last = measured[0], measured[-1]
    if len(measured) == 1 or first.beam_deg == last.beam_deg:
        return first.illuminance_lx, first.distance_m
    far = last.illuminance_lx * (last.distance_m / first.distance_m) ** 2
    share = np.log(beam_deg / first.beam_deg) / np.log(last.beam_deg / first.beam_deg)
    share = min(max(float(share), 0.0), 1.0)
    return float(first.illuminance_lx ** (1.0 - share) * far**share), first.distance_m


def _solid(face: EmitterShape) -> emitters.Shape:
    if face.kind == "rectangle":
        return emitters.Rectangle(face.width_m, face.height_m)
    if face.kind == "disc":
        return emitters.Disc(2.0 * face.radius_m)
    if face.kind == "sphere":
        return emitters.Sphere(2.0 * face.radius_m)
    return emitters.Cylinder(2.0 * face.radius_m, face.length_m)
