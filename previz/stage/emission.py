"""What a fixture's face gives off at its settings: luminance, colour and spread.

Pure: a fixture, a light's settings and the gels before it give an `Emission`. Settings that can
be changed without rendering again change `luminance_cd_m2` and `rgb` only.

The order is that of the light's own way: source and dimmer, gels, egg-crate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from previz.geometry.gear.emitter import EmitterShape
from previz.model.lights import Light
from previz.model.records import Fixture, Gel, LuxAt
from previz.model.room import Opening
from previz.physics import beam, emitters
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.physics.dimmer import filament_cct_k
from previz.physics.exposure import nd_transmittance
from previz.physics.ies import Distribution
from previz.physics.photometry import luminance_lambertian_cd_m2
from previz.physics.temperature import cct_from_mired_k, mired
from previz.physics.white import COOLEST_K, WARMEST_K, white_rgb
from previz.stage.stage import Array

WIDEST_BEAM_DEG = 120.0
"""Beam of a matt surface: no face spreads wider. By Lambert's cosine law, "Photometria",
1760, half the intensity lies at 60 degrees."""
SPOT_FIELD_OVER_BEAM = 1.6
"""Field over beam angle of a fresnel whose record gives no field angle; typical, from memory."""
GRID_FORMS = ("softbox", "panel")
FLAT = ("rectangle", "disc")


@dataclass(frozen=True, eq=False)
class Emission:
    """What a face gives off.

    luminance_cd_m2  on its axis, at the dimmer's setting and behind the gels; 0 when off. Of a
                     measured light the mean over its beam, for its axis may be dark
    rgb              colour, linear BT.709 with Y = 1, (3,)
    profile          luminance relative to that, as in `Emitter.profile`; None when matt
    """

    luminance_cd_m2: float
    rgb: Array
    profile: Array | None


def emission(
    fixture: Fixture,
    light: Light,
    face: EmitterShape,
    gels: Sequence[Gel] = (),
    measured: Distribution | None = None,
) -> Emission:
    """What the face of `fixture` gives at the settings of `light`, behind `gels`.

    gels      the records of `light.gels`
    measured  what the file `light.ies` says; it stands for the fixture's beam and output

    A light that is off, or dimmed to nothing, has luminance 0 and keeps its colour and profile.
    ValueError for a fixture that makes no light.
    """
    if not fixture.emits:
        raise ValueError("a board, frame or flag gives no light of its own")
    share = light.dimmer_pct / 100.0 if light.on else 0.0
    given = share * transmittance(gels)
    rgb = colour_behind(source_cct_k(fixture, light), light.duv, gels)
    grid = grid_before(fixture, light)
    if measured is not None:
        luminance, table = _measured_beam(measured, face, gels, grid)
        return Emission(luminance * given, rgb, table)
    clean = _bare_beam(fixture, light, face)
    spread = behind_gels(clean, set_beam_deg(fixture, light.beam_deg), gels)
    out = spread if grid is None else beam.through_grid(spread, grid)
    full = full_luminance(fixture, light.beam_deg, face, clean)
    # What is spread over more solid angle is less on the axis; a grid leaves the axis alone.
    axis = full * beam.flux_factor(clean) / beam.flux_factor(spread)
    return Emission(
        luminance_cd_m2=axis * given,
        rgb=rgb,
        profile=None if out.exponent == 1.0 else beam.relative_luminance(out),
    )


def relative_power(fixture: Fixture, light: Light, gels: Sequence[Gel] = ()) -> Array:
    """Light by colour (3,) at a light's dimmer, colour temperature and gels, in a unit that these
    leave alone: the power of one setting over that of another is what multiplies its layer.
    """
    share = light.dimmer_pct / 100.0 if light.on else 0.0
    rgb = colour_behind(source_cct_k(fixture, light), light.duv, gels)
    return np.asarray(share * transmittance(gels) * rgb, float)


# --- colour ----------------------------------------------------------------------------------


def source_cct_k(fixture: Fixture, light: Light) -> float:
    """Colour temperature before any gel; a dimmed filament is warmer."""
    cct_k = light.cct_k if light.cct_k is not None else fixture.default_cct_k
    assert cct_k is not None
    if not fixture.filament or not light.on or light.dimmer_pct == 0.0:
        return cct_k
    return filament_cct_k(cct_k, light.dimmer_pct / 100.0)


def transmittance(gels: Sequence[Gel]) -> float:
    """Share of the light that passes all of `gels`; what they reflect between them is left out."""
    return math.prod(gel.transmittance_pct / 100.0 for gel in gels)


def cct_behind_k(cct_k: float, gels: Sequence[Gel]) -> float:
    """Colour temperature behind `gels`: their shifts in mired add up.

    Held within 1000 to 25000 K, where white light is defined here.
    """
    shifted = mired(cct_k) + sum(gel.shift_mired for gel in gels)
    return cct_from_mired_k(min(max(shifted, mired(COOLEST_K)), mired(WARMEST_K)))


def colour_behind(cct_k: float, duv: float, gels: Sequence[Gel]) -> Array:
    """Colour (3,) with Y = 1, linear BT.709, of white light of `cct_k` behind `gels`.

    What lies outside BT.709 (below 1900 K) is moved to its edge: no light can be negative.
    """
    rgb = np.maximum(white_rgb(cct_behind_k(cct_k, gels), duv), 0.0)
    return np.asarray(rgb / (rgb @ LUMINANCE_WEIGHTS), float)


def window_light(opening: Opening, gels: Sequence[Gel], sky_cct_k: float) -> tuple[float, Array]:
    """Share of light that a window lets in, and its gels' tint, a factor by colour (3,).

    sky_cct_k  colour temperature of the light outside: under it the tint keeps luminance, and
               the gels shift it by their mired. Other colours outside take the same factors.
    """
    share = opening.transmittance_pct / 100.0 * nd_transmittance(opening.gel_nd)
    tint = colour_behind(sky_cct_k, 0.0, gels) / colour_behind(sky_cct_k, 0.0, ())
    return share * transmittance(gels), np.asarray(tint, float)


# --- spread ----------------------------------------------------------------------------------


def _bare_beam(fixture: Fixture, light: Light, face: EmitterShape) -> beam.Profile:
    """The fixture's own beam; whatever is not flat shines evenly all round."""
    if face.kind not in FLAT:
        return beam.lambertian()
    return beam_profile(fixture, light.beam_deg)


def behind_gels(profile: beam.Profile, beam_deg: float | None, gels: Sequence[Gel]) -> beam.Profile:
    """A beam behind diffusion: a bell, cos^n, whose half-value angle is the square root of the
    sum of the squares of the beam's and the sheets' own.

    An approximation: right where beam and spread are bells and narrow. From 120 degrees on the
    sheet is matt. Sheets that do not spread leave the beam as it is.
    """
    spread_deg = math.hypot(*(gel.spread_deg for gel in gels))
    if spread_deg == 0.0 or profile.exponent == 1.0 or beam_deg is None:
        return profile
    wide = min(math.hypot(beam_deg, spread_deg), WIDEST_BEAM_DEG)
    return beam.lambertian() if wide == WIDEST_BEAM_DEG else beam.cosine_power_from_beam(wide)


def grid_before(fixture: Fixture, light: Light) -> float | None:
    """Depth over width of the cells of the egg-crate before a soft face, if there is one."""
    if light.grid_deg is None or fixture.form not in GRID_FORMS:
        return None
    return grid_depth_over_cell(light.grid_deg)


def grid_depth_over_cell(grid_deg: float) -> float:
    """Depth over width of the cells of an egg-crate that lets nothing pass beyond the full angle
    `grid_deg`: sqrt 2 / tan(half of it), the diagonal being the widest way through."""
    return math.sqrt(2.0) / math.tan(math.radians(grid_deg) / 2.0)


def set_beam_deg(fixture: Fixture, beam_deg: float | None) -> float | None:
    """Beam angle as set, else the usual one, else the widest that its output is given for."""
    measured = fixture.lux_at[-1].beam_deg if fixture.lux_at else None
    return beam_deg or fixture.beam_deg or measured


def beam_profile(fixture: Fixture, beam_deg: float | None) -> beam.Profile:
    """How a fixture spreads its light at a beam setting (None: its own)."""
    wide = set_beam_deg(fixture, beam_deg)
    if wide is None or (fixture.form != "fresnel" and wide >= WIDEST_BEAM_DEG):
        return beam.lambertian()
    if fixture.form == "fresnel":
        field = fixture.field_deg or 0.0
        usual = fixture.beam_deg or wide
        # The edge keeps its softness while the beam is focused.
        ratio = field / usual if field > usual else SPOT_FIELD_OVER_BEAM
        return beam.gaussian_like(wide, min(wide * ratio, 175.0))
    return beam.cosine_power_from_beam(wide)


# --- measured lights ---------------------------------------------------------------------------


def _measured_beam(
    measured: Distribution, face: EmitterShape, gels: Sequence[Gel], grid: float | None
) -> tuple[float, Array]:
    """Mean luminance of a flat face that gives the file's flux before it, and its table.

    Light that the file sends backwards is left out: a flat face has none. ValueError for a
    face that is not flat or a file that sends nothing forwards.
    """
    if face.kind not in FLAT:
        raise ValueError("a measured light needs a flat face")
    front_lm = measured.flux_lm(90.0)
    if not front_lm > 0.0:
        raise ValueError("all of its light goes backwards")
    table = measured_table(measured)
    spread_deg = math.hypot(*(gel.spread_deg for gel in gels))
    if spread_deg > 0.0:
        beam_deg = math.degrees(2.0 * beam.half_value_of_table_rad(table))
        wide = min(math.hypot(beam_deg, spread_deg), WIDEST_BEAM_DEG)
        bell = beam.cosine_power_from_beam(wide)
        table = beam.relative_luminance(bell) * math.pi / beam.flux_factor(bell)
    if grid is not None:
        table = table * beam.grid_share(beam.profile_angles_rad(), grid)
    aimed_deg = math.degrees(math.acos(min(max(-float(face.direction[2]), -1.0), 1.0)))
    flux_lm = front_lm * measured.tilt_factor_at(aimed_deg)
    return luminance_lambertian_cd_m2(flux_lm, face.area_m2), table


def measured_table(measured: Distribution) -> Array:
    """Luminance by direction over its mean, as in `Emitter.profile`: (count,) where the light is
    the same all round, else (azimuths, count).

    Azimuths are 5 degrees apart where the file's planes fit that, else 2.5.
    """
    angle = beam.luminance_angles_rad()
    planes = measured.horizontal_deg
    step_deg = 5.0 if np.all(planes % 5.0 == 0.0) else 2.5
    azimuth_deg = np.zeros(1) if len(planes) == 1 else np.arange(0.0, 360.0, step_deg)
    candela = measured.intensity_cd(np.degrees(angle)[None, :], azimuth_deg[:, None])
    table = candela * math.pi / (np.cos(angle) * measured.flux_lm(90.0))
    return np.asarray(table[0] if len(table) == 1 else table, float)


# --- luminance -------------------------------------------------------------------------------


def full_luminance(
    fixture: Fixture, beam_deg: float | None, face: EmitterShape, profile: beam.Profile
) -> float:
    """Luminance (cd/m2) on the axis of a fixture's face at full output, without gels."""
    shape = solid(face)
    if fixture.flux_lm is not None:
        # The record's flux is what leaves the fixture, so what its own hubs keep comes on top.
        flux_lm = fixture.flux_lm / (1.0 - face.shaded)
        return emitters.luminance_from_flux_cd_m2(shape, flux_lm, profile)
    wide = set_beam_deg(fixture, beam_deg)
    assert wide is not None
    lux, distance_m = lux_at_beam(fixture.lux_at, wide)
    return emitters.luminance_from_lux_cd_m2(shape, lux, distance_m, profile)


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


def solid(face: EmitterShape) -> emitters.Shape:
    """An emitting face as the surface that photometry knows."""
    if face.kind == "rectangle":
        return emitters.Rectangle(face.width_m, face.height_m)
    if face.kind == "disc":
        return emitters.Disc(2.0 * face.radius_m)
    if face.kind == "sphere":
        return emitters.Sphere(2.0 * face.radius_m)
    return emitters.Cylinder(2.0 * face.radius_m, face.length_m)
