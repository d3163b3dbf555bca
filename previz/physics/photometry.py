"""Light of matt surfaces and polygons: what flux, luminance and illuminance have to do with each
other.

Emitters are Lambertian and uniform, receivers flat with a cosine response, the air clear.
Points are (3,) metres, normals (3,) of any length. L in cd/m2, E in lx, I in cd, flux in lm.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import not_negative, positive

Array = NDArray[np.float64]


# --- flux, intensity, luminance --------------------------------------------------------------


def luminance_lambertian_cd_m2(flux_lm: float, area_m2: float) -> float:
    """Luminance of a flat one-sided Lambertian emitter: flux / (pi A).

    Lambert, "Photometria", 1760 (from memory).
    """
    return not_negative("flux_lm", flux_lm) / (math.pi * positive("area_m2", area_m2))


def flux_lambertian_lm(luminance_cd_m2: float, area_m2: float) -> float:
    """Flux of a Lambertian surface of `area_m2`, flat or convex: pi A L.

    Lambert, "Photometria", 1760 (from memory).
    """
    return math.pi * positive("area_m2", area_m2) * not_negative("luminance_cd_m2", luminance_cd_m2)


def luminance_of_diffuse_cd_m2(illuminance_lx: float, reflectance: float) -> float:
    """Luminance of a matt surface of `reflectance` (0 to 1) under `illuminance_lx`: rho E / pi.

    Lambert, "Photometria", 1760 (from memory). A surface with a shine is brighter in
    some directions.
    """
    return reflectance * illuminance_lx / math.pi


def illuminance_from_diffuse_lx(luminance_cd_m2: ArrayLike, reflectance: float) -> Array:
    """Illuminance (any shape) that gives a matt surface its luminance: pi L / rho.

    Lambert, "Photometria", 1760 (from memory). The inverse of `luminance_of_diffuse_cd_m2`.
    """
    luminance = np.asarray(luminance_cd_m2, dtype=np.float64)
    return np.asarray(luminance * math.pi / positive("reflectance", reflectance))


# --- polygons --------------------------------------------------------------------------------


def form_factor_polygon(
    vertices_m: ArrayLike, receiver_m: ArrayLike, normal: ArrayLike, two_sided: bool = False
) -> float:
    """Share of a small receiver's cosine-weighted hemisphere that a flat polygon fills (0 to 1).

    vertices_m  (n, 3), n >= 3, in one plane, simple, convex or not; emitting towards the side
                from which they run counter-clockwise (`two_sided`: towards both)
    receiver_m  (3,) point; normal (3,): the way the receiver faces

    Edge sum of Lambert, "Photometria", 1760, as in Baum, Rushmeier and Winget, "Improving
    radiosity solutions through the use of analytically determined form-factors", 1989 (both
    from memory), after cutting away what lies below the receiver's horizon. A receiver in the
    polygon's plane gets 0.
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
    """Illuminance from a uniform Lambertian polygon: pi L times `form_factor_polygon`.

    Lambert, "Photometria", 1760 (from memory).
    """
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
