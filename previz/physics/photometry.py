"""Light from sources of real size: form factors, illuminance, and what flux, intensity and
luminance have to do with each other.

Emitters are Lambertian and uniform, receivers flat with a cosine response, the air clear.
Points are (3,) metres, normals (3,) of any length. L in cd/m2, E in lx, I in cd, flux in lm.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import not_negative, positive
from previz.units import LX_PER_FOOTCANDLE

Array = NDArray[np.float64]


# --- point sources ---------------------------------------------------------------------------


def illuminance_from_point_lx(
    intensity_cd: float, distance_m: float, tilt_rad: float = 0.0
) -> float:
    """Inverse square and cosine law: I cos(tilt) / d^2; zero from behind (tilt over 90 deg).

    A disc obeys it to 1 % from five diameters on, a square from six sides; at one the law
    says 25 and 33 % too much: see `form_factor_disc_axis`.
    """
    cosine = max(0.0, math.cos(tilt_rad))
    return (
        not_negative("intensity_cd", intensity_cd)
        * cosine
        / positive("distance_m", distance_m) ** 2
    )


def lux_from_footcandle(illuminance_fc: float) -> float:
    """Footcandles (lumens per square foot) to lux."""
    return illuminance_fc * LX_PER_FOOTCANDLE


def footcandle_from_lux(illuminance_lx: float) -> float:
    """Lux to footcandles."""
    return illuminance_lx / LX_PER_FOOTCANDLE


# --- flux, intensity, luminance --------------------------------------------------------------


def intensity_isotropic_cd(flux_lm: float) -> float:
    """Intensity of a source that shines alike into the whole sphere: flux / 4 pi."""
    return not_negative("flux_lm", flux_lm) / (4.0 * math.pi)


def intensity_lambertian_cd(flux_lm: float) -> float:
    """Axis intensity of a flat one-sided Lambertian emitter: flux / pi."""
    return not_negative("flux_lm", flux_lm) / math.pi


def luminance_lambertian_cd_m2(flux_lm: float, area_m2: float) -> float:
    """Luminance of a flat one-sided Lambertian emitter: flux / (pi A)."""
    return intensity_lambertian_cd(flux_lm) / positive("area_m2", area_m2)


def flux_lambertian_lm(luminance_cd_m2: float, area_m2: float) -> float:
    """Flux of a Lambertian surface of `area_m2`, flat or convex: pi L A."""
    return math.pi * not_negative("luminance_cd_m2", luminance_cd_m2) * positive("area_m2", area_m2)


def cone_solid_angle_sr(full_angle_rad: float) -> float:
    """Solid angle of a cone by its full angle (0 to 2 pi): 2 pi (1 - cos(angle / 2))."""
    if not 0.0 < full_angle_rad <= 2.0 * math.pi:
        raise ValueError(f"full_angle_rad must lie above 0 and up to 2 pi, not {full_angle_rad!r}")
    return 4.0 * math.pi * math.sin(full_angle_rad / 4.0) ** 2


def intensity_cone_cd(flux_lm: float, full_angle_rad: float) -> float:
    """Intensity of a source that shines alike into a cone and nowhere else."""
    return not_negative("flux_lm", flux_lm) / cone_solid_angle_sr(full_angle_rad)


def luminance_of_diffuse_cd_m2(illuminance_lx: float, reflectance: float) -> float:
    """Luminance of a matt surface of `reflectance` (0 to 1) under `illuminance_lx`: rho E / pi."""
    return reflectance * illuminance_lx / math.pi


def illuminance_from_diffuse_lx(luminance_cd_m2: float, reflectance: float) -> float:
    """Illuminance that gives a matt surface its luminance: pi L / rho."""
    return math.pi * luminance_cd_m2 / positive("reflectance", reflectance)


# --- polygons --------------------------------------------------------------------------------


def form_factor_polygon(
    vertices_m: ArrayLike, receiver_m: ArrayLike, normal: ArrayLike, two_sided: bool = False
) -> float:
    """Share of a small receiver's cosine-weighted hemisphere that a flat polygon fills (0 to 1).

    vertices_m  (n, 3), n >= 3, in one plane, simple, convex or not; emitting towards the side
                from which they run counter-clockwise (`two_sided`: towards both)
    receiver_m  (3,) point; normal (3,): the way the receiver faces

    Edge sum of Lambert (1760) as in Baum, Rushmeier & Winget 1989 (citation from memory), after
    cutting away what lies below the receiver's horizon. A receiver in the polygon's plane gets 0.
    """
    polygon = np.asarray(vertices_m, dtype=np.float64)
    if polygon.ndim != 2 or polygon.shape[0] < 3 or polygon.shape[1] != 3:
        raise ValueError(f"vertices_m must be (n, 3) with n of 3 or more, not {polygon.shape}")
    facing = _unit(normal)
    rays = polygon - np.asarray(receiver_m, dtype=np.float64)
    if not two_sided and _signed_height(rays) <= 0.0:
        return 0.0
    rays = _above_horizon(rays, facing)
    return abs(_edge_sum(rays, facing)) / (2.0 * math.pi) if len(rays) >= 3 else 0.0


def illuminance_from_polygon_lx(
    vertices_m: ArrayLike,
    luminance_cd_m2: float,
    receiver_m: ArrayLike,
    normal: ArrayLike,
    two_sided: bool = False,
) -> float:
    """Illuminance from a uniform Lambertian polygon: pi L times `form_factor_polygon`."""
    return (
        math.pi * luminance_cd_m2 * form_factor_polygon(vertices_m, receiver_m, normal, two_sided)
    )


def _unit(vector: ArrayLike) -> Array:
    array = np.asarray(vector, dtype=np.float64)
    length = float(np.linalg.norm(array))
    if array.shape != (3,) or not length > 0.0:
        raise ValueError(f"a direction must be three numbers, not all 0, not {vector!r}")
    return array / length


def _signed_height(rays: Array) -> float:
    """Twice the polygon's area times the receiver's height over its emitting side."""
    area_vector = np.cross(rays, np.roll(rays, -1, axis=0)).sum(axis=0)
    return float(-area_vector @ rays[0])


def _above_horizon(rays: Array, facing: Array) -> Array:
    """The polygon (as rays from the receiver) cut to the half-space the receiver faces."""
    heights = rays @ facing
    kept: list[Array] = []
    for index in range(len(rays)):
        after = (index + 1) % len(rays)
        here, there = heights[index], heights[after]
        if here >= 0.0:
            kept.append(rays[index])
        if (here > 0.0 > there) or (here < 0.0 < there):
            share = here / (here - there)
            kept.append(rays[index] + share * (rays[after] - rays[index]))
    return np.array(kept).reshape(-1, 3)


def _edge_sum(rays: Array, facing: Array) -> float:
    """Sum over the edges of the angle subtended times the cosine of the edge's plane."""
    following = np.roll(rays, -1, axis=0)
    cross = np.cross(rays, following)
    sine = np.linalg.norm(cross, axis=1)
    angle = np.arctan2(sine, np.einsum("ij,ij->i", rays, following))
    # A degenerate edge (or one seen end on) subtends no angle and adds nothing.
    weight = np.divide(angle, sine, out=np.zeros_like(sine), where=sine > 0.0)
    return float(weight @ (cross @ facing))


# --- rectangle, disc, sphere: closed forms ---------------------------------------------------


def form_factor_rectangle_corner(width_m: float, height_m: float, distance_m: float) -> float:
    """Form factor of a parallel rectangle for a receiver opposite one corner.

    Source: Howell, Catalogue of Radiation Configuration Factors, section B; also Tregenza &
    Sharples, Daylighting Algorithms, 3.14. A negative side gives the negative factor, so that
    corners add up to any rectangle.
    """
    positive("distance_m", distance_m)
    a, b = width_m / distance_m, height_m / distance_m
    root_a, root_b = math.hypot(1.0, a), math.hypot(1.0, b)
    return (a / root_a * math.atan(b / root_a) + b / root_b * math.atan(a / root_b)) / (
        2.0 * math.pi
    )


def form_factor_rectangle(
    width_m: float,
    height_m: float,
    distance_m: float,
    offset_x_m: float = 0.0,
    offset_y_m: float = 0.0,
) -> float:
    """Form factor of a parallel rectangle for a receiver `offset` from its centre line."""
    left, right = -width_m / 2.0 - offset_x_m, width_m / 2.0 - offset_x_m
    low, high = -height_m / 2.0 - offset_y_m, height_m / 2.0 - offset_y_m
    corner = form_factor_rectangle_corner
    return (
        corner(right, high, distance_m)
        - corner(left, high, distance_m)
        - corner(right, low, distance_m)
        + corner(left, low, distance_m)
    )


def form_factor_disc_axis(radius_m: float, distance_m: float) -> float:
    """Form factor of a parallel disc on its axis: r^2 / (r^2 + h^2) (Howell, section B)."""
    return positive("radius_m", radius_m) ** 2 / (radius_m**2 + distance_m**2)


def form_factor_disc(radius_m: float, distance_m: float, offset_m: float = 0.0) -> float:
    """Form factor of a parallel disc for a receiver `offset_m` from its axis (Howell, section B).

    Exact; ValueError unless radius and distance are above 0.
    """
    square = positive("radius_m", radius_m) ** 2
    depth = positive("distance_m", distance_m) ** 2
    z = offset_m**2 + depth + square
    # (1 - q) is written as a quotient so that a small or far disc keeps its digits.
    root = math.sqrt(z * z - 4.0 * square * offset_m**2)
    numerator = root - (offset_m**2 + depth - square)
    return (
        0.5 * numerator / root
        if numerator > 0.5 * root
        else 2.0 * square * depth / (root * (root + offset_m**2 + depth - square))
    )


def form_factor_sphere(radius_m: float, distance_m: float, tilt_rad: float = 0.0) -> float:
    """Form factor of a sphere whose centre is `distance_m` away, `tilt_rad` off the normal.

    (R/d)^2 cos(tilt) while the whole sphere stands above the receiver's horizon; the part above
    it otherwise (Snyder 1996 by way of Lagarde & de Rousiers 2014, citations from memory; checked
    here against numerical integration). ValueError from inside the sphere.
    """
    if not positive("distance_m", distance_m) > positive("radius_m", radius_m):
        raise ValueError("the receiver must lie outside the sphere")
    sine2 = (radius_m / distance_m) ** 2
    cosine, sine = math.cos(tilt_rad), math.sin(tilt_rad)
    if cosine * cosine >= sine2:
        return sine2 * max(0.0, cosine)
    x = math.sqrt(1.0 / sine2 - 1.0)
    y = -x * cosine / sine
    edge = sine * math.sqrt(max(0.0, 1.0 - y * y))
    return ((cosine * math.acos(y) - x * edge) * sine2 + math.atan(edge / x)) / math.pi


def illuminance_lx(form_factor: float, luminance_cd_m2: float) -> float:
    """Illuminance from a uniform Lambertian emitter that fills `form_factor`: pi L F."""
    return math.pi * luminance_cd_m2 * form_factor
