"""Lights as surfaces: the luminance that a flux or a measured lux asks of a rectangle, disc,
sphere or tube, and the light such a surface throws anywhere.

Flat emitters carry a beam profile; sphere and tube are Lambertian all over (a paper lantern, a
bare tube). Integrals run over the real surface, so they hold at any distance, also where the
inverse square law does not.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.physics.beam import Profile, flux_factor, lambertian
from previz.physics.checks import not_negative, positive

Array = NDArray[np.float64]

_NODES = 96


@dataclass(frozen=True)
class Rectangle:
    """Flat, shining to one side."""

    width_m: float
    height_m: float

    @property
    def area_m2(self) -> float:
        """Area of the emitting side."""
        return self.width_m * self.height_m


@dataclass(frozen=True)
class Disc:
    """Flat, shining to one side."""

    diameter_m: float

    @property
    def area_m2(self) -> float:
        """Area of the emitting side."""
        return math.pi / 4.0 * self.diameter_m**2


@dataclass(frozen=True)
class Sphere:
    """Shining all round; distances count from its centre."""

    diameter_m: float

    @property
    def area_m2(self) -> float:
        """Area of the whole surface."""
        return math.pi * self.diameter_m**2


@dataclass(frozen=True)
class Cylinder:
    """A tube whose side shines all round and whose ends do not; distances from its centre line."""

    diameter_m: float
    length_m: float

    @property
    def area_m2(self) -> float:
        """Area of the side."""
        return math.pi * self.diameter_m * self.length_m


Shape = Rectangle | Disc | Sphere | Cylinder


# --- axis luminance --------------------------------------------------------------------------


def luminance_from_flux_cd_m2(
    shape: Shape, flux_lm: float, profile: Profile | None = None
) -> float:
    """Luminance on the axis of a surface that puts out `flux_lm`: flux / (flux factor x area).

    By the definition of luminance (CIE S 017, from memory), the surface being evenly bright.
    ValueError for a sphere or tube with a profile other than Lambertian.
    """
    beam = _beam_of(shape, profile)
    return not_negative("flux_lm", flux_lm) / (
        flux_factor(beam) * positive("area_m2", shape.area_m2)
    )


def luminance_from_lux_cd_m2(
    shape: Shape, illuminance_lx: float, distance_m: float, profile: Profile | None = None
) -> float:
    """Luminance on the axis of a surface that gives `illuminance_lx` at `distance_m` on its axis.

    As a catalogue states a light's output. The receiver faces the light's centre. Geometry: the
    inverse of `axis_illuminance_lx`.
    """
    per_unit = axis_illuminance_lx(shape, 1.0, distance_m, profile)
    return not_negative("illuminance_lx", illuminance_lx) / per_unit


def axis_illuminance_lx(
    shape: Shape, luminance_cd_m2: float, distance_m: float, profile: Profile | None = None
) -> float:
    """Illuminance at `distance_m` on the axis (tube: on its perpendicular bisector), facing it.

    Geometry: the definition of illuminance integrated over the surface. `luminance_cd_m2` is that
    on the axis. Gauss-Legendre over the surface; 1e-6 for smooth beams
    from a tenth of the emitter's size on. ValueError at or inside the surface.
    """
    positive("distance_m", distance_m)
    beam = _beam_of(shape, profile)
    if isinstance(shape, Rectangle):
        share = _rectangle_share(shape, distance_m, beam)
    elif isinstance(shape, Disc):
        share = _disc_share(shape, distance_m, beam)
    elif isinstance(shape, Sphere):
        share = math.pi * (_radius_within(shape.diameter_m, distance_m) / distance_m) ** 2
    else:
        share = _cylinder_share(shape, distance_m)
    return luminance_cd_m2 * share


def _beam_of(shape: Shape, profile: Profile | None) -> Profile:
    beam = profile or lambertian()
    if isinstance(shape, Sphere | Cylinder) and beam.exponent != 1.0:
        raise ValueError("a sphere or tube shines evenly all round: it takes no beam profile")
    return beam


def _radius_within(diameter_m: float, distance_m: float) -> float:
    radius = positive("diameter_m", diameter_m) / 2.0
    if not distance_m > radius:
        raise ValueError(f"distance_m {distance_m!r} must be greater than the radius {radius!r}")
    return radius


def _span(low: float, high: float) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights between two numbers."""
    node, weight = _unit_nodes()
    half = 0.5 * (high - low)
    return low + half * (node + 1.0), weight * half


@functools.cache
def _unit_nodes() -> tuple[Array, Array]:
    node, weight = np.polynomial.legendre.leggauss(_NODES)
    return node, weight


def _stretched(distance_m: float, reach_m: float) -> tuple[Array, Array]:
    """Nodes from 0 to `reach_m` packed where a surface `distance_m` away is seen large."""
    angle, weight = _span(0.0, math.atan(reach_m / distance_m))
    return distance_m * np.tan(angle), weight * distance_m / np.cos(angle) ** 2


def _rectangle_share(shape: Rectangle, distance_m: float, beam: Profile) -> float:
    """Integral of (I / I0) cos theta / r^2 over the rectangle, four equal quarters."""
    x, weight_x = _stretched(distance_m, positive("width_m", shape.width_m) / 2.0)
    y, weight_y = _stretched(distance_m, positive("height_m", shape.height_m) / 2.0)
    square = x[:, None] ** 2 + y[None, :] ** 2 + distance_m**2
    cosine = distance_m / np.sqrt(square)
    return 4.0 * float(weight_x @ (beam(np.arccos(cosine)) * cosine / square) @ weight_y)


def _disc_share(shape: Disc, distance_m: float, beam: Profile) -> float:
    """The same over a disc, ring by ring: 2 pi times the integral of (I / I0) sin theta."""
    angle, weight = _span(
        0.0, math.atan(positive("diameter_m", shape.diameter_m) / 2.0 / distance_m)
    )
    return 2.0 * math.pi * float(weight @ (beam(angle) * np.sin(angle)))


def _cylinder_share(shape: Cylinder, distance_m: float) -> float:
    """Integral of cos cos' / r^2 over the side that is seen from the perpendicular bisector."""
    radius = _radius_within(shape.diameter_m, distance_m)
    turn, weight_turn = _span(0.0, math.acos(radius / distance_m))
    gap = distance_m - radius
    z, weight_z = _stretched(gap, positive("length_m", shape.length_m) / 2.0)
    ahead = distance_m - radius * np.cos(turn)
    square = ahead**2 + (radius * np.sin(turn)) ** 2
    leaving = distance_m * np.cos(turn) - radius
    seen = (ahead * leaving * radius)[:, None] / (square[:, None] + z[None, :] ** 2) ** 2
    return 4.0 * float(weight_turn @ seen @ weight_z)
