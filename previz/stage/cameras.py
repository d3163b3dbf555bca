"""The cameras of a scene: sensor mode, lens and adapter resolved, aimed and focused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.catalog import Catalog
from previz.model.cameras import Camera
from previz.model.scene import Scene
from previz.physics.optics import adapted, shutter_s, t_number
from previz.stage.kit import CameraSetup, Kit, kit_of, setup_of
from previz.stage.placing import aimed, composed
from previz.stage.stage import Array, StageCamera, StagePerson
from previz.units import mm_to_m

DEFAULT_HEIGHT_M = 1.2
"""Height of seated eyes, rounded: Gordon and others, "2012 Anthropometric Survey of U.S. Army
Personnel: Methods and Summary Statistics", 2014 (1.23 m of men, 1.14 m of women)."""
FIRST_M = 2.0
"""From whom it is on to a camera that is yet to be placed, for eyes that look at it."""


@dataclass(frozen=True)
class Glass:
    """A lens as set, with its adapter: what the sensor sees of it."""

    focal_length_mm: float
    f_number: float
    t_number: float


def glass_of(kit: Kit, focal_length_mm: float, f_number: float) -> Glass:
    """Focal length, f-number and T-number behind the adapter, from the marks set on the lens.

    A reducer of factor r multiplies focal length and f-number by r. The T-number follows
    the f-number, and takes in the light that lens and adapter keep back.
    """
    through = kit.lens.transmittance(focal_length_mm)
    through *= kit.adapter.transmittance_pct / 100.0 if kit.adapter else 1.0
    behind = adapted(focal_length_mm, f_number, kit.factor)
    return Glass(behind.focal_length, behind.f_number, t_number(behind.f_number, through))


@dataclass(frozen=True, eq=False)
class Standing:
    """Where a lens is (3,), and where in the picture what it aims at comes to lie, per cent."""

    position_m: Array
    aim_from_left_pct: float
    aim_from_top_pct: float


def standing_of(camera: Camera, scene: Scene, eyes: Mapping[str, Array]) -> Standing:
    """As the scene says; level with the eyes of the person aimed at unless it has a height.

    One that is placed by its frame stands for the time being a little before whom it is on.
    """
    height = camera.place.height_m
    if height is None:
        height = DEFAULT_HEIGHT_M if camera.aim is None else float(eyes[camera.aim][2])
    position = np.array([*passing_plan_m(camera, scene), height])
    return Standing(position, camera.aim_from_left_pct, camera.aim_from_top_pct)


def passing_plan_m(camera: Camera, scene: Scene) -> tuple[float, float]:
    """Plan position; of a camera placed by its frame the one it has until that is solved."""
    if camera.place.at_m is not None:
        return camera.place.at_m
    assert camera.aim is not None
    x, y = scene.people[camera.aim].at_m
    return x, y - FIRST_M


def set_up(
    name: str,
    scene: Scene,
    catalog: Catalog,
    standing: Standing,
    people: Mapping[str, StagePerson],
) -> tuple[CameraSetup, StageCamera]:
    """One camera where it stands: as it is set up, and as it takes pictures."""
    camera = scene.cameras[name]
    setup = setup_of(
        camera,
        scene,
        kit_of(camera, catalog, scene.picture.delivery),
        standing.aim_from_left_pct,
        standing.aim_from_top_pct,
    )
    return setup, _built(name, scene, setup, standing.position_m, people)


def _built(
    name: str,
    scene: Scene,
    setup: CameraSetup,
    position_m: Array,
    people: Mapping[str, StagePerson],
) -> StageCamera:
    """One camera in SI, its lens at `position_m`; `people` say where it aims and focuses."""
    camera, kit = scene.cameras[name], setup.kit
    glass = glass_of(kit, setup.focal_length_mm, setup.f_number)
    target = people[camera.aim].landmarks["eyes"] if camera.aim else np.asarray(camera.aim_m, float)
    pose = pose_on(setup, glass, position_m, target)
    exposure = scene.exposure
    fps = camera.fps if camera.fps is not None else exposure.fps
    shutter = camera.shutter_deg if camera.shutter_deg is not None else exposure.shutter_deg
    nd_density = camera.nd_density if camera.nd_density is not None else exposure.nd_density
    return StageCamera(
        name=name,
        pose=pose,
        sensor_width_m=mm_to_m(kit.mode.width_mm),
        sensor_height_m=mm_to_m(kit.mode.height_mm),
        focal_length_m=mm_to_m(glass.focal_length_mm),
        f_number=glass.f_number,
        t_number=glass.t_number,
        focus_distance_m=_focus(camera, pose, people),
        fps=fps,
        shutter_s=shutter_s(shutter, fps),
        iso=camera.iso if camera.iso is not None else exposure.iso,
        nd_density=nd_density,
    )


def pose_on(setup: CameraSetup, glass: Glass, position_m: Array, target_m: Array) -> Array:
    """4x4 camera-to-world of a lens at `position_m` (3,) that has a point where it is set up to."""
    mode = setup.kit.mode
    across = (setup.aim_from_left_pct / 100.0 - 0.5) * mode.width_mm / glass.focal_length_mm
    up = (0.5 - setup.aim_from_top_pct / 100.0) * mode.height_mm / glass.focal_length_mm
    return composed(position_m, aimed(position_m, target_m), across, up)


def _focus(camera: Camera, pose: Array, people: Mapping[str, StagePerson]) -> float:
    """Distance along the axis: as set, or to the nearer eye of the person focused on."""
    if camera.focus_distance_m is not None:
        return camera.focus_distance_m
    name = camera.aim if camera.focus == "eye" else camera.focus
    assert name is not None
    return to_nearer_eye_m(pose, people[name])


def to_nearer_eye_m(pose: Array, person: StagePerson) -> float:
    """Distance along the lens axis of a camera with this pose (4, 4) to the nearer eye."""
    marks, axis = person.landmarks, -pose[:3, 2]
    return min(float((marks[eye] - pose[:3, 3]) @ axis) for eye in ("eye_left", "eye_right"))
