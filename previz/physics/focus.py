"""What is sharp and how soft the rest is: circle of confusion, depth of field, blur discs.

Thin lens, circular pupil, no diffraction. All lengths of one call in the same unit. `focus` is
the distance from the lens to the plane in focus, `distance` that to the point looked at.
Depth of field uses the f-number, never the T-number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.physics.checks import positive
from previz.physics.optics import diagonal, magnification

CINE_35_COC_MM = 0.025
"""0.001 in, 35 mm film: American Society of Cinematographers, "American Cinematographer Manual",
depth of field, from memory."""


# --- circle of confusion ---------------------------------------------------------------------


def coc_from_diagonal(width: float, height: float, divisor: float = 1500.0) -> float:
    """Circle of confusion as the frame's diagonal over `divisor`, in the unit of the sides.

    1500 is the modern habit, 1000 the older one: common practice, no source. Lyon, "Depth of field
    outside the box", 2010 (year from memory), uses 1500 too.
    """
    return diagonal(width, height) / positive("divisor", divisor)


def coc_of_pixel(width: float, width_px: int, pixels: float = 1.0) -> float:
    """Circle of confusion as `pixels` of an output picture `width_px` wide from frame `width`.

    Geometry. That a pixel is the least blur seen is common practice, no source.
    """
    return positive("width", width) * positive("pixels", pixels) / positive("width_px", width_px)


# --- depth of field --------------------------------------------------------------------------


def hyperfocal(focal_length: float, f_number: float, coc: float) -> float:
    """Focus distance at which the far limit just reaches infinity: f^2 / (N c) + f.

    Geometry of the thin lens, exact for it; focused here the near limit is half of it.
    """
    return hyperfocal_simple(focal_length, f_number, coc) + focal_length


def hyperfocal_simple(focal_length: float, f_number: float, coc: float) -> float:
    """The other definition, f^2 / (N c): near limit when focused at infinity. Shorter by one f.

    Geometry of the thin lens.
    """
    return positive("focal_length", focal_length) ** 2 / (
        positive("f_number", f_number) * positive("coc", coc)
    )


@dataclass(frozen=True)
class DepthOfField:
    """Nearest and farthest sharp distance from the lens, and what lies between."""

    near: float
    far: float

    @property
    def total(self) -> float:
        """far - near; infinite when the far limit is."""
        return self.far - self.near


def depth_of_field(focal_length: float, f_number: float, coc: float, focus: float) -> DepthOfField:
    """Limits between which a point's blur disc stays within `coc`: geometry of the thin lens.

    near = S H0 / (H0 + S - f), far = S H0 / (H0 - S + f), H0 = f^2 / (N c); far is infinite
    from the hyperfocal distance on. ValueError when focus <= f.
    """
    if not focus > focal_length:
        raise ValueError(f"focus {focus!r} must be greater than the focal length {focal_length!r}")
    reach = hyperfocal_simple(focal_length, f_number, coc)
    if math.isinf(focus):
        return DepthOfField(near=reach, far=math.inf)
    beyond = focus - focal_length
    near = focus * reach / (reach + beyond)
    far = focus * reach / (reach - beyond) if beyond < reach else math.inf
    return DepthOfField(near=near, far=far)


# --- blur ------------------------------------------------------------------------------------


def blur_disc(focal_length: float, f_number: float, focus: float, distance: float) -> float:
    """Diameter on the sensor of the disc a point at `distance` makes: (f/N) m |D - S| / D.

    Geometry of the thin lens, m = f / (S - f). `distance` may be infinite. ValueError when focus <=
    f or distance <= 0.
    """
    if not distance > 0.0:
        raise ValueError(f"distance must be above 0, not {distance!r}")
    if math.isinf(distance):
        return blur_at_infinity(focal_length, f_number, focus)
    spread = abs(distance - focus) / distance
    return blur_at_infinity(focal_length, f_number, focus) * spread


def blur_at_infinity(focal_length: float, f_number: float, focus: float) -> float:
    """Diameter on the sensor of the disc of a far point: f^2 / (N (S - f)).

    Geometry of the thin lens.
    """
    return focal_length / positive("f_number", f_number) * magnification(focal_length, focus)


# --- inverses --------------------------------------------------------------------------------


def f_number_for_blur(focal_length: float, blur: float, focus: float, distance: float) -> float:
    """The f-number at which a point at `distance` makes a disc of diameter `blur`.

    Geometry: the inverse of `blur_disc`, whose disc goes with 1 / N. ValueError when the point lies
    in the plane of focus: no stop blurs it.
    """
    wide_open = blur_disc(focal_length, 1.0, focus, distance)
    if wide_open == 0.0:
        raise ValueError("a point in the plane of focus has no blur at any stop")
    return wide_open / positive("blur", blur)


def focus_for_depth(focal_length: float, f_number: float, coc: float, total: float) -> float:
    """The focus distance at which the total depth of field is `total`.

    Geometry: the inverse of `depth_of_field`. Total depth grows with distance from zero at S = f to
    infinity at the hyperfocal distance, so there is exactly one; found by bisection to 1e-12 of the
    hyperfocal distance.
    """
    positive("total", total)
    low, high = focal_length, hyperfocal(focal_length, f_number, coc)
    while high - low > 1e-12 * high:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if depth_of_field(focal_length, f_number, coc, middle).total < total:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
