"""The cameras of a scene: sensor mode, lens and adapter resolved, aimed and focused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.catalog import Catalog
from previz.model.cameras import Camera
from previz.model.records import Adapter, Lens, SensorMode
from previz.model.scene import Scene
from previz.stage.placing import aimed, composed
from previz.stage.stage import Array, StageCamera, StagePerson
from previz.units import mm_to_m

DEFAULT_HEIGHT_M = 1.2
"""Height of seated eyes, rounded: Gordon and others, "2012 Anthropometric Survey of U.S. Army
Personnel: Methods and Summary Statistics", 2014 (1.23 m of men, 1.14 m of women)."""


@dataclass(frozen=True)
class Glass:
    """A lens as set, with its adapter: what the sensor sees of it."""

    focal_length_mm: float
    f_number: float
    t_number: float


def glass_of(camera: Camera, lens: Lens, adapter: Adapter | None) -> Glass:
    """Focal length, f-number and T-number behind the adapter.

    A reducer of factor r multiplies focal length and f-number by r. The T-number follows
    the f-number, and takes in the light that lens and adapter keep back.
    """
    focal = camera.focal_length_mm or lens.focal_length_mm[0]
    factor = adapter.factor if adapter else 1.0
    through = lens.transmittance(focal)
    through *= adapter.transmittance_pct / 100.0 if adapter else 1.0
    f_number = camera.f_number * factor
    return Glass(focal * factor, f_number, float(f_number / np.sqrt(through)))


def camera_position(camera: Camera, eyes: Mapping[str, Array]) -> Array:
    """Where the lens is (3,); level with the eyes of the person aimed at unless it has a height."""
    height = camera.place.height_m
    if height is None:
        height = DEFAULT_HEIGHT_M if camera.aim is None else float(eyes[camera.aim][2])
    return np.array([*camera.place.plan_m, height])


def build_camera(
    name: str, scene: Scene, catalog: Catalog, eyes: Mapping[str, Array],
    people: Mapping[str, StagePerson],
) -> StageCamera:  # fmt: skip
    """One camera in SI; `eyes` gives the heights for `height: eye`, `people` the landmarks."""
    camera = scene.cameras[name]
    mode = catalog.sensor(camera.sensor).modes[camera.mode]
    adapter = catalog.adapter(camera.adapter) if camera.adapter else None
    glass = glass_of(camera, catalog.lens(camera.lens), adapter)
    position = camera_position(camera, eyes)
    target = people[camera.aim].landmarks["eyes"] if camera.aim else np.asarray(camera.aim_m, float)
    pose = _pose(camera, mode, glass, position, aimed(position, target))
    exposure = scene.exposure
    fps = camera.fps if camera.fps is not None else exposure.fps
    shutter = camera.shutter_deg if camera.shutter_deg is not None else exposure.shutter_deg
    nd_density = camera.nd_density if camera.nd_density is not None else exposure.nd_density
    return StageCamera(
        name=name,
        pose=pose,
        sensor_width_m=mm_to_m(mode.width_mm),
        sensor_height_m=mm_to_m(mode.height_mm),
        focal_length_m=mm_to_m(glass.focal_length_mm),
        f_number=glass.f_number,
        t_number=glass.t_number,
        focus_distance_m=_focus(camera, pose, people),
        fps=fps,
        shutter_s=shutter / 360.0 / fps,
        iso=camera.iso if camera.iso is not None else exposure.iso,
        nd_density=nd_density,
    )


def _pose(camera: Camera, mode: SensorMode, glass: Glass, position: Array, target: Array) -> Array:
    across = (camera.aim_from_left_pct / 100.0 - 0.5) * mode.width_mm / glass.focal_length_mm
    up = (0.5 - camera.aim_from_top_pct / 100.0) * mode.height_mm / glass.focal_length_mm
    return composed(position, target, across, up)


def _focus(camera: Camera, pose: Array, people: Mapping[str, StagePerson]) -> float:
    """Distance along the axis: as set, or to the nearer eye of the person focused on."""
    if camera.focus_distance_m is not None:
        return camera.focus_distance_m
    name = camera.aim if camera.focus == "eye" else camera.focus
    assert name is not None
    marks = people[name].landmarks
    axis = -pose[:3, 2]
    return min(float((marks[eye] - pose[:3, 3]) @ axis) for eye in ("eye_left", "eye_right"))
