"""The thin lens and the frame behind it: angles, magnification, stops, adapters, diffraction.

All laws are paraxial and for a distortion-free lens whose two principal planes are taken as one.
Real photographic lenses follow them to a few per cent away from their closest focus; a lens with
internal focusing breathes differently, and a fisheye not at all like this.
Subject distances count from the lens (principal plane), not from the image plane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.physics.checks import not_negative, positive, within
from previz.units import ratio_to_stops, stops_to_ratio

FULL_FRAME_WIDTH_MM = 36.0
GREEN_WAVELENGTH_NM = 550.0
"""Near the eye's daylight peak of 555 nm (CIE 1924 V-lambda); the usual choice for diffraction."""


# --- angles and fields -----------------------------------------------------------------------


def diagonal(width: float, height: float) -> float:
    """Diagonal of a frame, in the unit of its sides: geometry."""
    return math.hypot(positive("width", width), positive("height", height))


def angle_of_view_rad(extent: float, focal_length: float) -> float:
    """Full angle, radians, that `extent` of the frame covers with the lens focused at infinity.

    2 atan(extent / 2f). `extent` is the frame's width, height or diagonal.
    Geometry of rectilinear projection; agrees with OpenUSD `GfCamera::GetFieldOfView`.
    """
    return 2.0 * math.atan(
        positive("extent", extent) / (2.0 * positive("focal_length", focal_length))
    )


def thin_lens_image_distance(focal_length: float, subject_distance: float) -> float:
    """Distance from the lens to the sharp image of a subject at `subject_distance`.

    1/f = 1/S + 1/v: Born and Wolf, "Principles of Optics", 7th edition, 1999, thin lenses
    (from memory). Paraxial. Infinite subject distance gives f. ValueError when S <= f: no real
    image.
    """
    positive("focal_length", focal_length)
    if not subject_distance > focal_length:
        raise ValueError(
            f"subject_distance {subject_distance!r} must be greater than the focal length "
            f"{focal_length!r}: no real image is formed"
        )
    return 1.0 / (1.0 / focal_length - 1.0 / subject_distance)


def magnification(focal_length: float, subject_distance: float) -> float:
    """Size on the sensor over size in the world, f / (S - f), for the plane in focus at S.

    Born and Wolf, "Principles of Optics", 7th edition, 1999, thin lenses (from memory).
    """
    return thin_lens_image_distance(focal_length, subject_distance) / subject_distance


def angle_of_view_focused_rad(extent: float, focal_length: float, subject_distance: float) -> float:
    """Full angle, radians, with a thin lens focused at `subject_distance` by moving as a whole.

    Geometry: the image distance takes the focal length's place, so the angle narrows on near
    focus ("breathing"). Exact for a thin lens only.
    """
    return angle_of_view_rad(extent, thin_lens_image_distance(focal_length, subject_distance))


def field_size(extent: float, focal_length: float, distance: float) -> float:
    """Length seen across `extent` in a plane at `distance`, pinhole at infinity focus: w D / f.

    Geometry of similar triangles. `extent` and `focal_length` in one unit; the result is in the
    unit of `distance`, which may be infinite. ValueError for a distance of 0 or less.
    """
    if not distance > 0.0:
        raise ValueError(f"distance must be above 0, not {distance!r}")
    return positive("extent", extent) * distance / positive("focal_length", focal_length)


def distance_for_field(extent: float, focal_length: float, field: float) -> float:
    """Distance at which `field` fills `extent`: geometry, the inverse of `field_size`."""
    return (
        positive("field", field)
        * positive("focal_length", focal_length)
        / positive("extent", extent)
    )


# --- formats ---------------------------------------------------------------------------------


def crop_factor_by_width(width_mm: float) -> float:
    """36 mm over this frame's width, by definition.

    Differs from the factor by diagonals when the aspect is not 3 : 2.
    """
    return FULL_FRAME_WIDTH_MM / positive("width_mm", width_mm)


def equivalent_focal_length(focal_length: float, crop: float) -> float:
    """Focal length that gives the same view on the format that `crop` refers to: geometry.

    The same view across, when `crop` compares widths.
    """
    return positive("focal_length", focal_length) * positive("crop", crop)


# --- stops -----------------------------------------------------------------------------------


def t_number(f_number: float, transmittance: float) -> float:
    """T-number of a lens that passes `transmittance` (above 0): N / sqrt(tau).

    The definition of a T-number: Ray, "Applied Photographic Optics", 3rd edition, 2002 (from
    memory). No lens passes more than 1; marks that are rounded, or wrong, may say so, and it is
    not judged here.
    """
    return positive("f_number", f_number) / math.sqrt(positive("transmittance", transmittance))


def transmittance_from(f_number: float, t_number: float) -> float:
    """Share of the light that a lens marked with both numbers passes: (N / T)^2.

    By the definition of the T-number, the inverse of `t_number`; marks are not judged here either.
    """
    return (positive("f_number", f_number) / positive("t_number", t_number)) ** 2


def stops_between(number: float, other: float) -> float:
    """Stops of light lost by going from f- (or T-) `number` to `other`; negative when gained.

    By definition: light goes with 1 / N^2, and a stop is half of it.
    """
    return 2.0 * ratio_to_stops(positive("other", other) / positive("number", number))


def number_after_stops(number: float, stops: float) -> float:
    """The f- or T-number that lies `stops` darker than `number` (negative: brighter).

    By definition, the inverse of `stops_between`.
    """
    return positive("number", number) * stops_to_ratio(stops / 2.0)


@dataclass(frozen=True)
class Adapted:
    """A lens behind an adapter: what it has become, and the light that brought or cost."""

    focal_length: float
    f_number: float
    gain_stops: float


def adapted(focal_length: float, f_number: float, factor: float) -> Adapted:
    """The lens behind a focal reducer (factor < 1) or an extender (factor > 1), glass lossless.

    Both focal length and f-number are multiplied; the entrance pupil stays as it was, so
    illuminance on the sensor changes by 1 / factor^2. The T-number scales by `factor` as well.
    From the definition of the f-number; what the adapter's glass keeps back is not in it.
    """
    positive("factor", factor)
    return Adapted(
        focal_length=positive("focal_length", focal_length) * factor,
        f_number=positive("f_number", f_number) * factor,
        gain_stops=-stops_between(1.0, factor),
    )


def entrance_pupil(focal_length: float, f_number: float) -> float:
    """Diameter of the hole the light comes through, f / N, in the unit of the focal length.

    The definition of the f-number.
    """
    return positive("focal_length", focal_length) / positive("f_number", f_number)


def bellows_stops(magnification: float, pupil_ratio: float = 1.0) -> float:
    """Stops lost to extension when focused near: 2 log2(1 + m / p), p = exit / entrance pupil.

    Ray, "Applied Photographic Optics", 3rd edition, 2002, close-up photography (from memory).
    Exact for a lens that focuses by moving as a whole.
    """
    ratio = not_negative("magnification", magnification) / positive("pupil_ratio", pupil_ratio)
    return stops_between(1.0, 1.0 + ratio)


# --- diffraction -----------------------------------------------------------------------------


def airy_disc_diameter_mm(f_number: float, wavelength_nm: float = GREEN_WAVELENGTH_NM) -> float:
    """Diameter, mm, of the Airy disc to its first dark ring: 2.44 lambda N, at infinity focus.

    Airy, "On the diffraction of an object-glass with circular aperture", 1835 (from memory);
    first zero of J1 at 3.8317, so 2 x 1.2197. For a lens without aberrations.
    """
    return (
        2.0
        * 1.2196698912665045
        * positive("wavelength_nm", wavelength_nm)
        * 1e-6
        * positive("f_number", f_number)
    )


def diffraction_limited_f_number(
    disc_diameter_mm: float, wavelength_nm: float = GREEN_WAVELENGTH_NM
) -> float:
    """The f-number at which the Airy disc is `disc_diameter_mm` wide (say, two pixels).

    The inverse of `airy_disc_diameter_mm`; two pixels are common practice, no source.
    """
    return positive("disc_diameter_mm", disc_diameter_mm) / airy_disc_diameter_mm(
        1.0, wavelength_nm
    )


# --- time ------------------------------------------------------------------------------------


def shutter_s(shutter_deg: float, fps: float) -> float:
    """Exposure time, seconds, of a shutter opening of `shutter_deg` (above 0, up to 360).

    Geometry of a disc that turns once a frame.
    """
    if not 0.0 < shutter_deg <= 360.0:
        raise ValueError(f"shutter_deg must lie above 0 and up to 360, not {shutter_deg!r}")
    return shutter_deg / 360.0 / positive("fps", fps)


def shutter_deg(shutter_s: float, fps: float) -> float:
    """Shutter opening, degrees, for an exposure time: geometry, the inverse of `shutter_s`.

    ValueError above 360, but for what rounding leaves over.
    """
    return within(
        "shutter_deg",
        360.0 * positive("shutter_s", shutter_s) * positive("fps", fps),
        0.0,
        360.0 * (1.0 + 1e-8),
    )
