"""What sensor, lens, stop and distance do: angles, sharpness, blur, limits, stops won and lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.measure.camera.sight import Background
from previz.physics import exposure, focus, optics
from previz.stage.kit import CameraSetup
from previz.stage.placed import Programme
from previz.stage.stage import StageCamera
from previz.units import m_to_mm, ratio_to_stops


@dataclass(frozen=True)
class OpticsNumbers:
    """One camera's lens in numbers; all as the sensor sees it, behind any adapter.

    Angles are those of the rendered picture (focus at infinity); `horizontal_angle_focused_deg`
    is what a thin lens that focuses by moving as a whole narrows to ("breathing"). Limits and
    hyperfocal use the f-number and count from the lens. inf stands for infinity.
    `stops` holds what exposure counts. `near_focus_loss_stops` is what a lens that focuses by
    moving out as a whole would lose besides; exposure leaves it out, for most lenses move glass
    inside themselves, and how much of their T-number that costs no record says.
    """

    horizontal_angle_deg: float
    vertical_angle_deg: float
    diagonal_angle_deg: float
    horizontal_angle_focused_deg: float
    focal_length_mm: float
    f_number: float
    t_number: float
    crop_factor: float
    equivalent_focal_length_mm: float
    subject_distance_m: float
    focus_distance_m: float
    focus_from_sensor_m: float
    close_focus_m: float
    circle_of_confusion_mm: float
    near_limit_m: float
    far_limit_m: float
    depth_of_field_m: float
    hyperfocal_m: float
    field_width_m: float
    background_distance_m: float
    background_nearest_m: float
    background_median_m: float
    background_farthest_m: float
    background_width_m: float
    background_blur_mm: float
    background_blur_pct_width: float
    background_blur_px: float
    airy_disc_mm: float
    diffraction_f_number: float
    image_circle_mm: float
    mode_diagonal_mm: float
    near_focus_loss_stops: float
    stops: dict[str, float]


def measure_optics(
    setup: CameraSetup,
    placed: StageCamera,
    programme: Programme,
    *,
    subject_distance_m: float,
    background: Background,
) -> OpticsNumbers:
    """Everything the lens does on one camera."""
    kit, coc = setup.kit, setup.circle_of_confusion_mm(programme.width_px)
    width, height = m_to_mm(placed.sensor_width_m), m_to_mm(placed.sensor_height_m)
    focal, stop = m_to_mm(placed.focal_length_m), placed.f_number
    sharp = m_to_mm(placed.focus_distance_m)
    depth = focus.depth_of_field(focal, stop, coc, sharp)
    behind = background.axis_m
    blur = focus.blur_disc(focal, stop, sharp, m_to_mm(behind))
    image_distance = optics.thin_lens_image_distance(focal, sharp)
    pixel_mm = focus.coc_of_pixel(width, programme.width_px)
    crop = optics.crop_factor_by_width(width)
    diagonal = optics.diagonal(width, height)
    focused = optics.angle_of_view_focused_rad(width, focal, sharp)
    return OpticsNumbers(
        horizontal_angle_deg=math.degrees(optics.angle_of_view_rad(width, focal)),
        vertical_angle_deg=math.degrees(optics.angle_of_view_rad(height, focal)),
        diagonal_angle_deg=math.degrees(optics.angle_of_view_rad(diagonal, focal)),
        horizontal_angle_focused_deg=math.degrees(focused),
        focal_length_mm=focal,
        f_number=stop,
        t_number=placed.t_number,
        crop_factor=crop,
        equivalent_focal_length_mm=optics.equivalent_focal_length(focal, crop),
        subject_distance_m=subject_distance_m,
        focus_distance_m=placed.focus_distance_m,
        focus_from_sensor_m=(sharp + image_distance) / 1000.0,
        close_focus_m=kit.lens.close_focus_m,
        circle_of_confusion_mm=coc,
        near_limit_m=depth.near / 1000.0,
        far_limit_m=depth.far / 1000.0,
        depth_of_field_m=depth.total / 1000.0,
        hyperfocal_m=focus.hyperfocal(focal, stop, coc) / 1000.0,
        field_width_m=optics.field_size(width, focal, subject_distance_m),
        background_distance_m=behind,
        background_nearest_m=background.nearest_m,
        background_median_m=background.median_m,
        background_farthest_m=background.farthest_m,
        background_width_m=optics.field_size(width, focal, behind),
        background_blur_mm=blur,
        background_blur_pct_width=100.0 * blur / width,
        background_blur_px=blur / pixel_mm,
        airy_disc_mm=optics.airy_disc_diameter_mm(stop),
        diffraction_f_number=optics.diffraction_limited_f_number(2.0 * pixel_mm),
        image_circle_mm=kit.image_circle_mm,
        mode_diagonal_mm=kit.mode_diagonal_mm,
        near_focus_loss_stops=optics.bellows_stops(optics.magnification(focal, sharp)),
        stops=_stops(setup, placed, programme.fps),
    )


def _stops(setup: CameraSetup, placed: StageCamera, programme_fps: float) -> dict[str, float]:
    """Light won (positive) and lost by each element, stops."""
    kit = setup.kit
    found = {"transmission": ratio_to_stops(kit.lens.transmittance(setup.focal_length_mm))}
    if kit.adapter is not None:
        behind = optics.adapted(setup.focal_length_mm, setup.f_number, kit.adapter.factor)
        found["adapter"] = behind.gain_stops
        found["adapter_transmission"] = ratio_to_stops(kit.adapter.transmittance_pct / 100.0)
    if placed.nd_density:
        found["nd"] = -exposure.nd_stops(placed.nd_density)
    if placed.fps != programme_fps:
        found["frame_rate"] = -exposure.frame_rate_cost_stops(placed.fps, programme_fps)
    half_turn_s = optics.shutter_s(180.0, placed.fps)
    found["shutter_against_180_deg"] = ratio_to_stops(placed.shutter_s / half_turn_s)
    found["iso_against_base"] = ratio_to_stops(placed.iso / kit.sensor.base_iso)
    return found
