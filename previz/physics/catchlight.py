"""The light mirrored in an eye: where on the cornea it lies, and how large it looks.

The front of the cornea is a convex mirror. A light is seen in it where the surface's normal
halves the angle between the light and the viewer. Measures of an adult eye: radius of the
cornea 7.8 mm (schematic eyes of Le Grand and of Gullstrand and Emsley), its rim 11.8 mm across,
the pupil seen 3.05 mm behind the front, the ball turning 13.4 mm behind it; all from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import positive

Array = NDArray[np.float64]

CORNEA_RADIUS_M = 0.0078
CORNEA_RIM_M = 0.0059
PUPIL_BEHIND_FRONT_M = 0.00305
TURNS_BEHIND_FRONT_M = 0.0134
_CLOSE_ENOUGH = 1e-13
_MOST_STEPS = 100


@dataclass(frozen=True, eq=False)
class Cornea:
    """The mirror of one eye: centre of its curve (3,), unit axis out of the eye (3,), radius."""

    centre_m: Array
    axis: Array
    radius_m: float = CORNEA_RADIUS_M

    @property
    def scale(self) -> float:
        """How much larger than an adult's this eye is."""
        return self.radius_m / CORNEA_RADIUS_M

    @property
    def pupil_m(self) -> Array:
        """Where the middle of the pupil is seen, (3,)."""
        ahead = (CORNEA_RADIUS_M - PUPIL_BEHIND_FRONT_M) * self.scale
        return np.asarray(self.centre_m + ahead * self.axis)

    def reaches(self, normals: ArrayLike) -> NDArray[np.bool_]:
        """Whether points of these unit normals (n, 3) lie within the cornea's rim."""
        least = math.sqrt(1.0 - (CORNEA_RIM_M / CORNEA_RADIUS_M) ** 2)
        return np.asarray(np.atleast_2d(np.asarray(normals, float)) @ self.axis >= least)


def cornea_of_eye(turning_point_m: ArrayLike, gaze: ArrayLike) -> Cornea:
    """The cornea of an adult eye that turns about a point (3,) and looks along `gaze` (3,).

    Geometry; the eye's measures are the module's, from memory.
    """
    axis = np.asarray(gaze, float)
    axis = axis / positive("length of gaze", float(np.linalg.norm(axis)))
    ahead = TURNS_BEHIND_FRONT_M - CORNEA_RADIUS_M
    return Cornea(np.asarray(turning_point_m, float) + ahead * axis, axis)


def mirror_normals(
    lights_m: ArrayLike, viewer_m: ArrayLike, centre_m: ArrayLike, radius_m: float
) -> Array:
    """Unit normals (n, 3) at which a ball mirrors points (n, 3) towards a viewer (3,).

    Geometry of the law of reflection. Both must be outside the ball and not exactly opposite each
    other across it. The half
    vector from the ball's centre would do for far lights; from the surface it is exact, and is
    reached in a few steps, each of which shrinks the error by about radius over distance.
    """
    radius = positive("radius_m", radius_m)
    lights = np.atleast_2d(np.asarray(lights_m, float))
    viewer, centre = np.asarray(viewer_m, float), np.asarray(centre_m, float)
    outside = np.linalg.norm(np.vstack([lights, viewer]) - centre, axis=1)
    if not (outside > radius).all():
        raise ValueError("light and viewer must be outside the mirroring ball")
    normals = _half(lights - centre, np.broadcast_to(viewer - centre, lights.shape))
    for _ in range(_MOST_STEPS):
        points = centre + radius * normals
        better = _half(lights - points, viewer - points)
        moved = float(np.abs(better - normals).max())
        normals = better
        if moved < _CLOSE_ENOUGH:
            break
    return normals


def _half(one: Array, other: Array) -> Array:
    """Unit vectors halfway between two directions, (n, 3) each."""
    total = one / np.linalg.norm(one, axis=1, keepdims=True)
    total = total + other / np.linalg.norm(other, axis=1, keepdims=True)
    return np.asarray(total / np.linalg.norm(total, axis=1, keepdims=True))


def clock_hours(right_m: float, up_m: float) -> float:
    """Where a clock's hand points that goes from the middle to (right, up): above 0, up to 12.

    Geometry of a clock's face.
    """
    hours = math.degrees(math.atan2(right_m, up_m)) / 30.0 % 12.0
    return hours if hours > 0.0 else 12.0
