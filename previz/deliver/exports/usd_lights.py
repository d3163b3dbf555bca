"""Lamps, sun and sky in OpenUSD.

Source: Pixar, "Universal Scene Description: UsdLux", 2024: intensity times two to the power of
exposure is luminance in cd/m2 where the colour has a luminance of 1; lights shine along -Z, a
cylinder lies along X.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pxr import Gf, Sdf, Usd, UsdGeom, UsdLux

from previz.deliver.exports.lamps import DIES_OUT, Lamp, Sunlight
from previz.deliver.exports.usd_cameras import matrix_of
from previz.deliver.frames import PANORAMA_UNIT_CD_M2
from previz.physics.beam import HALF_VALUE
from previz.physics.colour import luminance
from previz.stage.placing import looking

F64 = NDArray[np.float64]

ABOUT_TURN = np.diag([-1.0, 1.0, -1.0, 1.0])
"""A flat face shines along its +Z, a light of this format along its -Z."""
ALONG_X = np.eye(4)[[2, 0, 1, 3]]
"""A tube lies along its Y here, along X there."""
SKY_AXES = np.diag([-1.0, 1.0, 1.0, 1.0]) @ np.eye(4)[[0, 2, 1, 3]]
"""From a dome's own axes, its pole along Y and the middle of its picture along Z, to the world, in
which the middle of a panorama lies north."""


def add_lamp(usd: Usd.Stage, path: Sdf.Path, lamp: Lamp) -> None:
    """One emitting face, as large as it is, with its luminance and beam."""
    light, pose = _shaped(usd, path, lamp)
    prim = light.GetPrim()
    prim.SetDisplayName(lamp.name)
    prim.SetCustomDataByKey("layer", lamp.emitter.layer)
    prim.SetCustomDataByKey("intensityCd", lamp.intensity_cd)
    _shine(light, lamp.top_luminance)
    if lamp.emitter.profile is not None:
        _spread(light, lamp)
        prim.SetCustomDataByKey("beamDeg", lamp.beam_deg)
        prim.SetCustomDataByKey("fieldDeg", lamp.field_deg)
    _put(light, pose)


def _shaped(usd: Usd.Stage, path: Sdf.Path, lamp: Lamp) -> tuple[Any, F64]:
    """The light of a face's own shape, and its pose in the format's axes."""
    shape, pose = lamp.shape, np.asarray(lamp.shape.pose, float)
    if shape.kind == "rectangle":
        flat = UsdLux.RectLight.Define(usd, path)
        flat.CreateWidthAttr(shape.width_m)
        flat.CreateHeightAttr(shape.height_m)
        return flat, pose @ ABOUT_TURN
    if shape.kind == "disc":
        disc = UsdLux.DiskLight.Define(usd, path)
        disc.CreateRadiusAttr(shape.radius_m)
        return disc, pose @ ABOUT_TURN
    if shape.kind == "sphere":
        ball = UsdLux.SphereLight.Define(usd, path)
        ball.CreateRadiusAttr(shape.radius_m)
        return ball, pose
    tube = UsdLux.CylinderLight.Define(usd, path)
    tube.CreateRadiusAttr(shape.radius_m)
    tube.CreateLengthAttr(shape.length_m)
    return tube, pose @ ALONG_X


def _shine(light: Any, colour: F64) -> None:
    """Intensity as a meter reads it, and a colour with a luminance of 1."""
    level = float(luminance(colour))
    light.CreateIntensityAttr(level)
    light.CreateExposureAttr(0.0)
    light.CreateColorAttr(Gf.Vec3f(*(float(c) / level for c in colour)))
    light.CreateNormalizeAttr(False)


def _spread(light: Any, lamp: Lamp) -> None:
    """A bell with half the intensity where the beam has it, ended where the beam has died out.

    The format has luminance fall as a power of the cosine; the face's own slant is one more.
    """
    shaping = UsdLux.ShapingAPI.Apply(light.GetPrim())
    power = math.log(HALF_VALUE) / math.log(math.cos(lamp.half_angle_rad(HALF_VALUE)))
    shaping.CreateShapingFocusAttr(max(power - 1.0, 0.0))
    shaping.CreateShapingConeAngleAttr(math.degrees(lamp.half_angle_rad(DIES_OUT)))


def _put(light: Any, pose: F64) -> None:
    UsdGeom.Xformable(light.GetPrim()).MakeMatrixXform().Set(matrix_of(pose))


def add_sun(usd: Usd.Stage, path: Sdf.Path, sun: Sunlight) -> None:
    """The sun, behind the glass and gels it shines in through: then normalized, in lux."""
    light = UsdLux.DistantLight.Define(usd, path)
    light.CreateAngleAttr(math.degrees(2.0 * sun.radius_rad))
    _shine(light, sun.light)
    light.CreateNormalizeAttr(True)
    light.GetPrim().SetCustomDataByKey("windowsLetIn", sun.windows)
    _put(light, looking(np.zeros(3), -sun.direction))


def add_sky(usd: Usd.Stage, path: Sdf.Path, picture: str) -> None:
    """The world outside as a dome, cd/m2. It is hidden: the windows give its light already."""
    dome = UsdLux.DomeLight.Define(usd, path)
    dome.CreateTextureFileAttr(f"./{picture}")
    dome.CreateTextureFormatAttr(UsdLux.Tokens.latlong)
    dome.CreateIntensityAttr(PANORAMA_UNIT_CD_M2)
    dome.CreateVisibilityAttr(UsdGeom.Tokens.invisible)
    dome.GetPrim().SetCustomDataByKey(
        "note", "hidden, because each window is a light that gives what comes through it"
    )
    _put(dome, SKY_AXES)
