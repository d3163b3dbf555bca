"""How a light spreads: relative intensity against the angle off its axis, and what follows.

A profile is I(theta) / I(0) on 0 to 90 degrees, the same all round; nothing shines backwards.
Beam angle is the full angle between the directions of 50 % of the axis intensity, field angle
that of 10 %: the CIE's definition, by centre-beam intensity. The IES takes the maximum instead,
which is the same for every profile here that falls from its axis on.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import not_negative, positive

Array = NDArray[np.float64]

HALF_VALUE = 0.5
FIELD_VALUE = 0.1
"""Share of the peak at which beam and field angle are read: ANSI/IES LM-63 and CIE S 017, numbers
from memory."""
_QUARTER_TURN = math.pi / 2.0


@dataclass(frozen=True)
class Profile:
    """One beam: `relative` maps angles off axis, radians (any shape), to I / I0.

    exponent  n when the profile is cos^n and nothing else (1: Lambertian), else None
    """

    relative: Callable[[Array], Array]
    exponent: float | None = None

    def __call__(self, angle_rad: ArrayLike) -> Array:
        """I / I0 at each angle; 0 beyond 90 degrees."""
        angle = np.abs(np.asarray(angle_rad, dtype=np.float64))
        inside = np.minimum(angle, _QUARTER_TURN)
        return np.where(angle <= _QUARTER_TURN, self.relative(inside), 0.0)


# --- profiles --------------------------------------------------------------------------------


def cosine_power(exponent: float) -> Profile:
    """cos^n theta, n above 0: a shape of common practice, no source; n = 1 is Lambert's law."""
    positive("exponent", exponent)
    return Profile(lambda angle: np.maximum(np.cos(angle), 0.0) ** exponent, exponent)


def lambertian() -> Profile:
    """cos theta: a bare diffuser, equally bright from everywhere; beam angle 120 degrees.

    Lambert, "Photometria", 1760 (from memory). Real diffusers fall off a little more
    beyond 60 degrees.
    """
    return cosine_power(1.0)


def cosine_power_from_beam(beam_deg: float) -> Profile:
    """cos^n with the exponent that gives the half-value full angle `beam_deg`.

    Between 0 and 180 degrees, both excluded; 120 degrees is Lambertian. From the definition of
    the beam angle.
    """
    half = _half_angle_rad("beam_deg", beam_deg)
    return cosine_power(math.log(HALF_VALUE) / math.log(math.cos(half)))


def gaussian_like(beam_deg: float, field_deg: float) -> Profile:
    """exp(-ln 2 (theta / a)^p) through 50 % at `beam_deg` and 10 % at `field_deg`, full angles.

    a is half the beam angle and p = ln(ln 10 / ln 2) / ln(field / beam): 2 (a true Gaussian) when
    field / beam is 1.8226, higher for a flatter beam with a harder edge. Needs
    0 < beam < field < 180. A shape chosen for lensed spots, an estimate; no maker's curve is
    exactly so.
    """
    half = _half_angle_rad("beam_deg", beam_deg)
    field = _half_angle_rad("field_deg", field_deg)
    if not field > half:
        raise ValueError(f"field_deg {field_deg!r} must be greater than beam_deg {beam_deg!r}")
    power = math.log(math.log(1.0 / FIELD_VALUE) / math.log(1.0 / HALF_VALUE)) / math.log(
        field / half
    )

    def relative(angle: Array) -> Array:
        # Beyond 700 the exponential is below every float; the cap keeps a hard edge from overflow.
        log_reach = np.log(np.maximum(angle, 1e-300) / half) * power
        return np.exp(-np.minimum(math.log(2.0) * np.exp(np.minimum(log_reach, 50.0)), 700.0))

    return Profile(relative)


def through_grid(profile: Profile, depth_over_cell: float) -> Profile:
    """The beam behind a grid of square cells with black, thin walls (an egg-crate).

    depth_over_cell  depth of the cells over their width; light tilted by atan(sqrt 2 / this), or
                     more, is gone

    Geometry: the share of a cell's mouth that is seen straight through, averaged all round:
    (1 - t cos phi)(1 - t sin phi), t = tan(theta) x depth / width. Real walls reflect a little
    and have thickness, so a real grid loses more on the axis and cuts less sharply.
    """
    not_negative("depth_over_cell", depth_over_cell)

    def relative(angle: Array) -> Array:
        return profile(angle) * grid_share(angle, depth_over_cell)

    return Profile(relative)


def grid_share(angle_rad: Array, depth_over_cell: float) -> Array:
    """Share of light that passes a grid at an angle off its axis: see `through_grid`.

    Geometry: the mean over phi, 0 to 90 degrees, of (1 - t cos phi)+ (1 - t sin phi)+.
    """
    t = np.tan(angle_rad) * depth_over_cell
    # Where t > 1 only the phi between acos(1/t) and asin(1/t) let light pass.
    inverse = 1.0 / np.maximum(t, 1.0)
    start, end = np.arccos(inverse), np.arcsin(inverse)
    width = np.maximum(end - start, 0.0)
    sines = np.sin(end) - np.sin(start)
    squares = np.sin(end) ** 2 - np.sin(start) ** 2
    share = 2.0 / math.pi * (width - 2.0 * t * sines + t * t * squares / 2.0)
    return np.where(t * t < 2.0, np.maximum(share, 0.0), 0.0)


def _half_angle_rad(name: str, full_deg: float) -> float:
    if not 0.0 < full_deg < 180.0:
        raise ValueError(f"{name} must lie between 0 and 180 degrees, not {full_deg!r}")
    return math.radians(full_deg) / 2.0


# --- flux and intensity ----------------------------------------------------------------------


def flux_factor(profile: Profile) -> float:
    """Flux over axis intensity, lm/cd: 2 pi times the integral of (I / I0) sin theta.

    From the definition of luminous intensity, flux by solid angle (CIE S 017, from memory).
    2 pi / (n + 1) for cos^n; otherwise 512 panels of 8-point Gauss-Legendre, good to 1e-6 for
    beams down to 1 degree.
    """
    if profile.exponent is not None:
        return 2.0 * math.pi / (profile.exponent + 1.0)
    angle, weight = _panels(512, 8)
    return 2.0 * math.pi * float(weight @ (profile(angle) * np.sin(angle)))


def _panels(count: int, order: int) -> tuple[Array, Array]:
    """Nodes and weights of composite Gauss-Legendre on 0 to 90 degrees."""
    node, weight = np.polynomial.legendre.leggauss(order)
    half = _QUARTER_TURN / count / 2.0
    centres = (2.0 * np.arange(count) + 1.0) * half
    return (centres[:, None] + half * node).ravel(), np.tile(weight * half, count)


# --- for a renderer --------------------------------------------------------------------------


PROFILE_STEPS = 512


def profile_angles_rad(count: int = PROFILE_STEPS) -> Array:
    """Angles off axis of a profile table, (count,): 0 to 90 degrees, equal steps of sqrt(1 - cos).

    Steps of the program's own, an estimate: fine on the axis, 0.16 degrees at 512 steps, where
    equal steps of the cosine would leave a narrow beam a single one.
    """
    if count < 2:
        raise ValueError(f"count must be 2 or more, not {count}")
    return np.asarray(2.0 * np.arcsin(np.linspace(0.0, 1.0, count) / math.sqrt(2.0)))


def luminance_angles_rad(count: int = PROFILE_STEPS) -> Array:
    """The angles at which a flat emitter's luminance is taken for its table, (count,).

    Those of `profile_angles_rad`, but at 90 degrees luminance is 0/0 by its definition; a quarter
    step before stands in for it: right for cos^n (1 for Lambertian), and finite where a wide
    profile has not died out at grazing angles.
    """
    angle = profile_angles_rad(count)
    angle[-1] = 2.0 * math.asin((1.0 - 0.25 / (count - 1)) / math.sqrt(2.0))
    return angle


def relative_luminance(profile: Profile, count: int = PROFILE_STEPS) -> Array:
    """L(theta) / L(0) of a flat emitter at the angles of `luminance_angles_rad`, (count,).

    I / (I0 cos theta), by the definition of luminance (CIE S 017, from memory).
    """
    angle = luminance_angles_rad(count)
    return np.asarray(profile(angle) / np.cos(angle))


def mean_of_table(relative: Array) -> float:
    """Luminance, in the table's unit, of the matt surface that gives off as much light.

    By the definition of luminance: the mean over the hemisphere, weighted by the cosine.

    relative  (count,), or (azimuths, count) at equal steps all round
    """
    rows = np.atleast_2d(relative)
    cosine = np.cos(profile_angles_rad(rows.shape[1]))
    return float(np.mean(-2.0 * np.trapezoid(rows * cosine, cosine, axis=1)))


def half_value_of_table_rad(relative: Array) -> float:
    """Angle off axis at which the intensity, averaged all round, comes down to half its greatest.

    The definition of half a beam angle, ANSI/IES LM-63 (from memory), read off a table.

    relative  as in `mean_of_table`
    """
    return fall_of_table_rad(relative, HALF_VALUE)


def fall_of_table_rad(relative: Array, share: float) -> float:
    """Angle off axis at which the intensity, averaged all round, comes down to a share of its top.

    The definition of half a beam angle at `HALF_VALUE` and of half a field angle at `FIELD_VALUE`.

    relative  as in `mean_of_table`
    """
    angle = profile_angles_rad(relative.shape[-1])
    intensity = np.atleast_2d(relative).mean(axis=0) * np.cos(angle)
    top = int(np.argmax(intensity))
    low = intensity < share * intensity[top]
    low[:top] = False
    past = int(np.argmax(low)) if low.any() else len(angle) - 1
    near = slice(past - 1, past + 1)
    wanted = -share * intensity[top]
    return float(np.interp(wanted, -intensity[near], angle[near]))
