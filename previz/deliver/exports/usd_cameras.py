"""Cameras and moves in OpenUSD.

Source: Pixar, "Universal Scene Description: UsdGeomCamera", 2024: lens and sensor in tenths of a
scene unit, distances in scene units, the shutter in frames from the frame's own time.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from pxr import Gf, Sdf, Usd, UsdGeom

from previz.deliver.exports.scenery import sees_from_m
from previz.develop.exposure import exposure_scale
from previz.physics.exposure import nd_transmittance
from previz.stage.moving.move import StageMove
from previz.stage.stage import Stage, StageCamera

TENTHS = 10.0
"""Tenths of a scene unit in a metre, for the scene unit here is the metre."""
FAR_M = 1000.0


def add_camera(usd: Usd.Stage, path: Sdf.Path, stage: Stage, camera: StageCamera) -> None:
    """One camera as it stands."""
    made = UsdGeom.Camera.Define(usd, path)
    made.GetPrim().SetDisplayName(camera.name)
    _fixed(made, stage, camera)
    made.MakeMatrixXform().Set(matrix_of(camera.pose))
    for attribute, value in _lens(made, camera):
        attribute.Set(value)


def add_move(usd: Usd.Stage, path: Sdf.Path, stage: Stage, move: StageMove) -> None:
    """The camera of a move, frame by frame; what does not change is said once."""
    made = UsdGeom.Camera.Define(usd, path)
    made.GetPrim().SetDisplayName(f"{move.before.name}, move {move.name}")
    _fixed(made, stage, move.before)
    placed = made.MakeMatrixXform()
    frames = [move.camera_at(time_s) for time_s in move.frame_times_s]
    lenses = [_lens(made, camera) for camera in frames]
    for number, camera in enumerate(frames):
        placed.Set(matrix_of(camera.pose), float(number))
    for settings in zip(*lenses, strict=True):
        attribute = settings[0][0]
        if len({value for _, value in settings}) == 1:
            attribute.Set(settings[0][1])
            continue
        for number, (_, value) in enumerate(settings):
            attribute.Set(value, float(number))


def _fixed(made: UsdGeom.Camera, stage: Stage, camera: StageCamera) -> None:
    """What no move changes: sensor, shutter, exposure but for the stop."""
    made.CreateProjectionAttr(UsdGeom.Tokens.perspective)
    made.CreateHorizontalApertureAttr(camera.sensor_width_m * TENTHS)
    made.CreateVerticalApertureAttr(camera.sensor_height_m * TENTHS)
    made.CreateClippingRangeAttr(Gf.Vec2f(sees_from_m(stage, camera), FAR_M))
    made.CreateShutterOpenAttr(0.0)
    made.CreateShutterCloseAttr(camera.shutter_s * camera.fps)
    made.CreateExposureAttr(math.log2(nd_transmittance(camera.nd_density)))
    made.CreateExposureIsoAttr(camera.iso)
    made.CreateExposureTimeAttr(camera.shutter_s)
    made.CreateExposureResponsivityAttr(_responsivity(camera))


def _lens(made: UsdGeom.Camera, camera: StageCamera) -> list[tuple[Usd.Attribute, float]]:
    """What a move may change on the lens, and its value there."""
    return [
        (made.CreateFocalLengthAttr(), camera.focal_length_m * TENTHS),
        (made.CreateFocusDistanceAttr(), camera.focus_distance_m),
        (made.CreateFStopAttr(), camera.f_number),
        (made.CreateExposureFStopAttr(), camera.t_number),
    ]


def _responsivity(camera: StageCamera) -> float:
    """What brings the format's exposure to ours: cd/m2 to a card's reflectance in metered light.

    By its definition the format multiplies time, ISO / 100, 2^exposure and this, over the square
    of the stop.
    """
    through = nd_transmittance(camera.nd_density)
    ratio = camera.shutter_s * camera.iso / 100.0 * through / camera.t_number**2
    return exposure_scale(camera) / ratio


def matrix_of(pose: NDArray[np.float64]) -> Gf.Matrix4d:
    """A local-to-world matrix (4, 4) as the format has it: for rows, not for columns."""
    return Gf.Matrix4d(np.asarray(pose, float).T.tolist())
