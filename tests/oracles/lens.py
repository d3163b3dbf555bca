"""Lenses and mirrors seen the other way: what a law of `previz.physics` is held against."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.physics.catchlight import CORNEA_RADIUS_M
from previz.physics.checks import not_negative, positive
from previz.physics.focus import blur_disc


def focal_length_for_angle(extent: float, angle_rad: float) -> float:
    """Focal length whose `angle_of_view_rad` over `extent` is `angle_rad` (0 to pi, exclusive)."""
    if not 0.0 < angle_rad < math.pi:
        raise ValueError(f"angle_rad must lie between 0 and pi, not {angle_rad!r}")
    return positive("extent", extent) / (2.0 * math.tan(angle_rad / 2.0))


def blur_pinhole_projection(
    focal_length: float, f_number: float, focus: float, distance: float
) -> float:
    """`blur_disc` as a renderer without breathing makes it: magnification f / S, not f / (S - f).

    For comparing a rendered disc, whose field of view was taken from f, with the law.
    """
    scale = (focus - focal_length) / focus
    return blur_disc(focal_length, f_number, focus, distance) * scale


def f_number_for_depth(focal_length: float, coc: float, focus: float, total: float) -> float:
    """The f-number whose total depth of field at `focus` is `total`.

    From total = 2 S H0 (S - f) / (H0^2 - (S - f)^2), solved for H0.
    """
    beyond = focus - positive("focal_length", focal_length)
    positive("focus - focal_length", beyond)
    pull = focus * beyond / positive("total", total)
    reach = pull + math.hypot(pull, beyond)
    return focal_length**2 / (reach * positive("coc", coc))


def perspective_matrix(
    width: float, height: float, focal_length: float, near_m: float, far_m: float = math.inf
) -> NDArray[np.float64]:
    """Clip matrix (4, 4) for column vectors, as in glTF 2.0 and OpenGL; `far_m` may be infinite."""
    positive("near_m", near_m)
    if not far_m > near_m:
        raise ValueError(f"far_m {far_m!r} must be greater than near_m {near_m!r}")
    matrix = np.zeros((4, 4))
    matrix[0, 0] = 2.0 * positive("focal_length", focal_length) / positive("width", width)
    matrix[1, 1] = 2.0 * focal_length / positive("height", height)
    endless = math.isinf(far_m)
    matrix[2, 2] = -1.0 if endless else (far_m + near_m) / (near_m - far_m)
    matrix[2, 3] = -2.0 * near_m if endless else 2.0 * far_m * near_m / (near_m - far_m)
    matrix[3, 2] = -1.0
    return matrix


def flicker_ripple(shutter_s: float, mains_hz: float, modulation: float) -> float:
    """Peak-to-peak change of exposure over its mean, between frames that drift through the mains.

    `modulation` is the light's own depth, (max - min) / (max + min), taken as a sine at twice the
    mains frequency; integrating it over the shutter gives 2 m |sin(pi n) / (pi n)| for n pulses.
    """
    pulses = positive("shutter_s", shutter_s) * 2.0 * positive("mains_hz", mains_hz)
    return (
        2.0
        * not_negative("modulation", modulation)
        * abs(math.sin(math.pi * pulses) / (math.pi * pulses))
    )


def mirrored_size_m(size_m: float, distance_m: float, radius_m: float = CORNEA_RADIUS_M) -> float:
    """Size of the image, behind the mirror, of a small light `distance_m` before its front.

    Mirror equation with focal length radius / 2: size f / (f + distance). Holds near the axis.
    """
    focal_m = positive("radius_m", radius_m) / 2.0
    return not_negative("size_m", size_m) * focal_m / (focal_m + positive("distance_m", distance_m))
