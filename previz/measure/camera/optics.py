"""What sensor, lens, stop and distance do: angles, sharpness, blur, limits, stops won and lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

from previz.catalog import Catalog
from previz.measure.camera.sight import Background
from previz.model.cameras import Camera
from previz.model.records import Adapter, Lens, Sensor, SensorMode
from previz.model.scene import Scene
from previz.physics import exposure, focus, optics
from previz.stage.stage import StageCamera
from previz.units import m_to_mm


@dataclass(frozen=True)
class Kit:
    """The catalogue's records behind one camera."""

    sensor: Sensor
    mode: SensorMode
    lens: Lens
    adapter: Adapter | None

    @property
    def image_circle_mm(self) -> float:
        """What lens and adapter cover."""
        factor = self.adapter.image_circle_factor if self.adapter else 1.0
        return self.lens.image_circle_mm * factor

    @property
    def mode_diagonal_mm(self) -> float:
        """Diagonal of the part of the sensor that is read."""
        return optics.diagonal(self.mode.width_mm, self.mode.height_mm)


def kit_of(camera: Camera, catalog: Catalog) -> Kit:
    """Look up the records a camera names."""
    sensor = catalog.sensor(camera.sensor)
    adapter = catalog.adapter(camera.adapter) if camera.adapter else None
    return Kit(sensor, sensor.modes[camera.mode], catalog.lens(camera.lens), adapter)


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


def circle_of_confusion_mm(camera: Camera, scene: Scene, mode: SensorMode) -> float:
    """By the convention chosen for the camera, else for the scene."""
    rule = camera.circle_of_confusion or scene.exposure.circle_of_confusion
    if rule == "cine":
        return focus.CINE_35_COC_MM
    if rule == "pixel":
        return focus.coc_of_pixel(mode.width_mm, scene.picture.width_px)
    return focus.coc_from_diagonal(mode.width_mm, mode.height_mm)


def measure_optics(
    camera: Camera,
    placed: StageCamera,
    scene: Scene,
    kit: Kit,
    *,
    subject_distance_m: float,
    background: Background,
) -> OpticsNumbers:
    """Everything the lens does on one camera."""
    width, height = m_to_mm(placed.sensor_width_m), m_to_mm(placed.sensor_height_m)
    focal, stop = m_to_mm(placed.focal_length_m), placed.f_number
    sharp = m_to_mm(placed.focus_distance_m)
    coc = circle_of_confusion_mm(camera, scene, kit.mode)
    depth = focus.depth_of_field(focal, stop, coc, sharp)
    behind = background.axis_m
    blur = focus.blur_disc(focal, stop, sharp, m_to_mm(behind))
    image_distance = optics.thin_lens_image_distance(focal, sharp)
    pixel_mm = focus.coc_of_pixel(width, scene.picture.width_px)
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
        equivalent_focal_length_mm=focal * crop,
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
        background_width_m=width * behind / focal,
        background_blur_mm=blur,
        background_blur_pct_width=100.0 * blur / width,
        background_blur_px=blur / pixel_mm,
        airy_disc_mm=optics.airy_disc_diameter_mm(stop),
        diffraction_f_number=optics.diffraction_limited_f_number(2.0 * pixel_mm),
        image_circle_mm=kit.image_circle_mm,
        mode_diagonal_mm=kit.mode_diagonal_mm,
        near_focus_loss_stops=optics.bellows_stops(optics.magnification(focal, sharp)),
        stops=_stops(camera, placed, scene, kit),
    )


def _stops(camera: Camera, placed: StageCamera, scene: Scene, kit: Kit) -> dict[str, float]:
    """Light won (positive) and lost by each element, stops."""
    set_focal = camera.focal_length_mm or kit.lens.focal_length_mm[0]
    found = {"transmission": math.log2(kit.lens.transmittance(set_focal))}
    if kit.adapter is not None:
        behind = optics.adapted(set_focal, camera.f_number, kit.adapter.factor)
        found["adapter"] = behind.gain_stops
        found["adapter_transmission"] = math.log2(kit.adapter.transmittance_pct / 100.0)
    if placed.nd_density:
        found["nd"] = -exposure.nd_stops(placed.nd_density)
    base = scene.exposure.fps
    if camera.fps is not None and camera.fps != base:
        found["frame_rate"] = -exposure.frame_rate_cost_stops(camera.fps, base)
    half_turn_s = optics.shutter_s(180.0, camera.fps or base)
    found["shutter_against_180_deg"] = math.log2(shutter_s(camera, scene) / half_turn_s)
    found["iso_against_base"] = math.log2(placed.iso / kit.sensor.base_iso)
    return found


def shutter_s(camera: Camera, scene: Scene) -> float:
    """Exposure time of one camera at its own frame rate and shutter angle."""
    angle = camera.shutter_deg if camera.shutter_deg is not None else scene.exposure.shutter_deg
    return optics.shutter_s(angle, camera.fps or scene.exposure.fps)
