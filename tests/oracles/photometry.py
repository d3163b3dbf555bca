"""Closed forms of light from surfaces, other ways to what `previz.physics` integrates."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from previz.physics.beam import Profile, lambertian
from previz.physics.checks import positive, within
from previz.physics.dimmer import CURVES, Curve

_NODES = 96
_QUARTER_TURN = math.pi / 2.0


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


def illuminance_from_panel_lx(
    corner_m: ArrayLike,
    edge_u_m: ArrayLike,
    edge_v_m: ArrayLike,
    luminance_cd_m2: float,
    *,
    receiver_m: ArrayLike,
    normal: ArrayLike,
    profile: Profile | None = None,
) -> float:
    """Illuminance from a parallelogram with a beam profile, on a receiver anywhere.

    corner_m, edge_u_m, edge_v_m  (3,): the panel is corner + s u + t v; it shines along u x v
    luminance_cd_m2               on the panel's own axis
    receiver_m, normal            (3,): the point, and the way it faces

    Gauss-Legendre, 96 x 96 nodes; 1e-4 from half the panel's size on. Closer, or where the panel
    dips below the receiver's horizon, only `photometry.form_factor_polygon` (Lambertian) is exact.
    """
    u, v = np.asarray(edge_u_m, dtype=np.float64), np.asarray(edge_v_m, dtype=np.float64)
    facing = np.asarray(normal, dtype=np.float64)
    area_vector = np.cross(u, v)
    area = positive("area of the panel", float(np.linalg.norm(area_vector)))
    length = positive("length of normal", float(np.linalg.norm(facing)))
    node, weight = np.polynomial.legendre.leggauss(_NODES)
    node, weight = 0.5 * (node + 1.0), 0.5 * weight
    points = (
        np.asarray(corner_m, dtype=np.float64) + node[:, None, None] * u + node[None, :, None] * v
    )
    ray = np.asarray(receiver_m, dtype=np.float64) - points
    square = np.einsum("ijk,ijk->ij", ray, ray)
    distance = np.sqrt(square)
    leaving = np.clip(ray @ (area_vector / area) / distance, 0.0, 1.0)
    arriving = np.maximum(-(ray @ (facing / length)) / distance, 0.0)
    beam = profile or lambertian()
    # I / (I0 cos) x cos: the luminance's cosine and the panel's foreshortening cancel.
    lit = np.where(leaving > 0.0, beam(np.arccos(leaving)), 0.0) * arriving / square
    return luminance_cd_m2 * area * float(weight @ lit @ weight)


def full_angle_rad(profile: Profile, share: float) -> float:
    """Full angle, radians, at which a falling profile has come down to `share` of its axis value.

    Pi when it never does before 90 degrees. By bisection to 1e-12.
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"share must lie between 0 and 1, not {share!r}")
    low, high = 0.0, _QUARTER_TURN
    if float(profile(high)) > share:
        return math.pi
    while high - low > 1e-12:
        middle = 0.5 * (low + high)
        if float(profile(middle)) > share:
            low = middle
        else:
            high = middle
    return low + high


def output_share(level: float, curve: Curve = "even") -> float:
    """Light (0 to 1) at a dimmer's setting `level` (0 to 1).

    even: as set, x. fine_when_dim: small steps of light at the bottom, x^2. fine_at_both_ends:
    3x^2 - 2x^3. fine_when_bright: 1 - (1 - x)^2. Common practice, no source; a fixture's true
    curve is to be measured.
    """
    within("level", level, 0.0, 1.0)
    if curve == "even":
        return level
    if curve == "fine_when_dim":
        return level * level
    if curve == "fine_at_both_ends":
        return level * level * (3.0 - 2.0 * level)
    if curve == "fine_when_bright":
        return level * (2.0 - level)
    raise ValueError(f"curve must be one of {', '.join(CURVES)}, not {curve!r}")
