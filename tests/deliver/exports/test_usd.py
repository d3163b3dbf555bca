"""The USD file as the OpenUSD library reads it: what stands, sees and shines is the stage's."""

from __future__ import annotations

import math

import numpy as np
import OpenEXR
import pytest
from pxr import Gf, Usd, UsdGeom, UsdLux, UsdShade, UsdValidation

from previz.develop.exposure import exposure_scale
from previz.geometry.piece import bounds
from previz.physics.colour import luminance


@pytest.fixture(scope="module")
def read(made) -> Usd.Stage:
    return Usd.Stage.Open(str(made.folder / "scene.usdc"))


def light(read: Usd.Stage, name: str) -> Usd.Prim:
    return read.GetPrimAtPath(f"/World/Lights/{name}")


def pose(prim: Usd.Prim, frame: float = 0.0) -> np.ndarray:
    """Local-to-world, (4, 4) for columns."""
    return np.array(UsdGeom.Xformable(prim).ComputeLocalToWorldTransform(frame)).T


def test_the_librarys_own_checks_find_nothing(read) -> None:
    checks = UsdValidation.ValidationRegistry().GetOrLoadAllValidators()
    found = UsdValidation.ValidationContext(checks).Validate(read)
    assert [error.GetErrorAsString() for error in found] == []


def test_units_axes_and_time_are_said(made, read) -> None:
    assert UsdGeom.GetStageUpAxis(read) == "Z" and UsdGeom.GetStageMetersPerUnit(read) == 1.0
    assert read.GetDefaultPrim().GetPath() == "/World"
    assert read.GetTimeCodesPerSecond() == made.stage.programme.fps == 25.0
    assert (read.GetStartTimeCode(), read.GetEndTimeCode()) == (0.0, 24.0)
    assert made.stage.title in read.GetRootLayer().comment


def test_every_thing_is_as_large_as_on_the_stage(made, read) -> None:
    cache = UsdGeom.BBoxCache(Usd.TimeCode.Default(), [UsdGeom.Tokens.default_])
    prims = {p.GetDisplayName(): p for p in read.GetPrimAtPath("/World/Set").GetChildren()}
    for thing in made.stage.things:
        meshes = [p for p in prims[thing.name].GetChildren() if p.IsA(UsdGeom.Mesh)]
        drawn = [p for p in thing.pieces if not (thing.strands is not None and p.name == "hair")]
        assert len(meshes) == len(drawn)
        if drawn:
            boxes = [cache.ComputeWorldBound(mesh).ComputeAlignedRange() for mesh in meshes]
            found = [
                np.min([b.GetMin() for b in boxes], axis=0),
                np.max([b.GetMax() for b in boxes], axis=0),
            ]
            np.testing.assert_allclose(found, bounds(drawn), atol=1e-4, err_msg=thing.name)


def test_hair_is_its_strands(made, read) -> None:
    (prim,) = [p for p in read.Traverse() if p.IsA(UsdGeom.BasisCurves)]
    strands = next(t.strands for t in made.stage.things if t.strands is not None)
    curves = UsdGeom.BasisCurves(prim)
    assert list(curves.GetCurveVertexCountsAttr().Get()) == [strands.points.shape[1]] * len(
        strands.points
    )
    np.testing.assert_allclose(
        curves.GetPointsAttr().Get(), strands.points.reshape(-1, 3), atol=1e-6
    )
    np.testing.assert_allclose(
        curves.GetWidthsAttr().Get(), 2.0 * strands.radius_m.reshape(-1), rtol=1e-6
    )


def test_every_surface_has_a_material_that_holds(read) -> None:
    shapes = [p for p in read.Traverse() if p.IsA(UsdGeom.Gprim)]
    bound = [UsdShade.MaterialBindingAPI(p).ComputeBoundMaterial()[0] for p in shapes]
    assert len(shapes) > 50 and all(bound)
    skin = UsdShade.MaterialBindingAPI(
        read.GetPrimAtPath("/World/Set/people_guest/skin")
    ).ComputeBoundMaterial()[0]
    shader = UsdShade.Shader(read.GetPrimAtPath(skin.GetPath().AppendChild("Surface")))
    source = shader.GetInput("diffuseColor").GetConnectedSources()[0][0].source
    assert UsdShade.Shader(source.GetPrim()).GetInput("varname").Get() == "displayColor"


@pytest.mark.parametrize("name", ["A", "B"])
def test_a_camera_is_the_stages_in_the_formats_own_units(made, read, name: str) -> None:
    camera, prim = made.stage.cameras[name], read.GetPrimAtPath(f"/World/Cameras/{name}")
    found = UsdGeom.Camera(prim).GetCamera(Usd.TimeCode.Default())
    frustum = found.frustum
    np.testing.assert_allclose(frustum.position, camera.position_m, atol=1e-6)
    np.testing.assert_allclose(frustum.ComputeViewDirection(), camera.forward, atol=1e-6)
    np.testing.assert_allclose(frustum.ComputeUpVector(), camera.pose[:3, 1], atol=1e-6)
    assert frustum.ComputeAspectRatio() == pytest.approx(camera.aspect, rel=1e-5)
    across = found.GetFieldOfView(Gf.Camera.FOVHorizontal)
    assert across == pytest.approx(math.degrees(camera.horizontal_angle_rad), abs=1e-4)
    assert found.focusDistance == pytest.approx(camera.focus_distance_m)
    assert found.fStop == pytest.approx(camera.f_number)
    assert 0.0099 < found.clippingRange.min < 0.6 < camera.focus_distance_m
    # By the format's definition of exposure a metered card comes out at its reflectance.
    lens = UsdGeom.Camera(prim)
    ratio = lens.GetExposureTimeAttr().Get() * lens.GetExposureIsoAttr().Get() / 100.0
    ratio *= 2.0 ** lens.GetExposureAttr().Get() * lens.GetExposureResponsivityAttr().Get()
    ratio /= lens.GetExposureFStopAttr().Get() ** 2
    assert ratio == pytest.approx(exposure_scale(camera), rel=1e-4)
    assert lens.GetShutterCloseAttr().Get() == pytest.approx(0.5)


def test_a_move_goes_frame_by_frame_as_it_is_filmed(made, read) -> None:
    move = made.stage.moves["push"]
    lens = UsdGeom.Camera(read.GetPrimAtPath("/World/Cameras/A_push"))
    for frame in (0, 7, 24):
        wanted = move.camera_at(move.frame_times_s[frame])
        found = lens.GetCamera(float(frame))
        np.testing.assert_allclose(found.frustum.position, wanted.position_m, atol=1e-6)
        np.testing.assert_allclose(found.frustum.ComputeViewDirection(), wanted.forward, atol=1e-6)
        assert found.GetFieldOfView(Gf.Camera.FOVHorizontal) == pytest.approx(
            math.degrees(wanted.horizontal_angle_rad), abs=1e-4
        )
        assert found.focusDistance == pytest.approx(wanted.focus_distance_m, rel=1e-5)
    assert lens.GetFocalLengthAttr().GetNumTimeSamples() == 25
    assert lens.GetFStopAttr().GetNumTimeSamples() == 0


@pytest.mark.parametrize(
    ("name", "kind", "sizes"),
    [
        ("lights_key", UsdLux.RectLight, {"width": 0.9, "height": 0.9}),
        ("lights_hair", UsdLux.DiskLight, {"radius": 0.075}),
        ("lights_ball", UsdLux.SphereLight, {"radius": 0.3}),
        ("openings_window", UsdLux.RectLight, {}),
    ],
)
def test_lamps_are_as_large_as_bright_and_stand_as_on_the_stage(
    made, read, name: str, kind: type, sizes: dict[str, float]
) -> None:
    prim, emitter = light(read, name), made.emitter(name.replace("_", "."))
    assert prim.IsA(kind)
    for size, wanted in sizes.items():
        assert prim.GetAttribute(f"inputs:{size}").Get() == pytest.approx(wanted, rel=0.02)
    np.testing.assert_allclose(pose(prim)[:3, 3], emitter.shape.position_m, atol=1e-6)
    if kind in (UsdLux.RectLight, UsdLux.DiskLight):
        np.testing.assert_allclose(-pose(prim)[:3, 2], emitter.shape.direction, atol=1e-6)
    api = UsdLux.LightAPI(prim)
    shone = np.array(api.GetColorAttr().Get()) * api.GetIntensityAttr().Get()
    wanted = emitter.light_before(made.stage.environment)
    np.testing.assert_allclose(shone, wanted, rtol=2e-3)
    assert luminance(np.array(api.GetColorAttr().Get())) == pytest.approx(1.0, rel=1e-4)
    assert api.GetNormalizeAttr().Get() is False


def test_a_tube_lies_along_its_own_line(made, read) -> None:
    prim, shape = light(read, "lights_stick"), made.emitter("lights.stick").shape
    np.testing.assert_allclose(pose(prim)[:3, 0], shape.pose[:3, 1], atol=1e-6)
    assert np.linalg.det(pose(prim)[:3, :3]) == pytest.approx(1.0)
    tube = UsdLux.CylinderLight(prim)
    assert tube.GetLengthAttr().Get() == pytest.approx(shape.length_m)
    assert tube.GetRadiusAttr().Get() == pytest.approx(shape.radius_m)


def test_a_beam_has_half_its_intensity_where_the_lamp_has(read) -> None:
    shaping = UsdLux.ShapingAPI(light(read, "lights_hair"))
    half = math.cos(math.radians(15.0))
    assert half ** (shaping.GetShapingFocusAttr().Get() + 1.0) == pytest.approx(0.5, abs=0.01)
    assert 24.0 < shaping.GetShapingConeAngleAttr().Get() < 60.0
    assert not light(read, "lights_key").HasAPI(UsdLux.ShapingAPI)
    assert not light(read, "lights_spare")


def test_the_sun_shines_in_at_the_window(made, read) -> None:
    prim, sun = light(read, "sun"), made.stage.environment.sun
    np.testing.assert_allclose(pose(prim)[:3, 2], sun.direction, atol=1e-6)
    api = UsdLux.LightAPI(prim)
    lux = np.array(api.GetColorAttr().Get()) * api.GetIntensityAttr().Get()
    through = made.emitter("openings.window").power
    np.testing.assert_allclose(lux, sun.light * through, rtol=1e-4)
    assert api.GetNormalizeAttr().Get() is True


def test_the_sky_lies_round_the_room_as_on_the_stage_and_is_hidden(made, read) -> None:
    prim = light(read, "sky")
    assert UsdGeom.Imageable(prim).ComputeVisibility() == UsdGeom.Tokens.invisible
    dome = UsdLux.DomeLight(prim)
    assert dome.GetTextureFileAttr().Get().path == "./sky.exr"
    with OpenEXR.File(str(made.folder / "sky.exr")) as file:
        picture = file.channels()["RGB"].pixels.astype(float) * dome.GetIntensityAttr().Get()
    height, width = picture.shape[:2]
    panorama = made.stage.environment.panorama
    for row, column in ((300, 100), (500, 700), (470, 1500), (700, 1900)):
        # Where this pixel of the stage's panorama looks: from plan south by way of east.
        polar = (row + 0.5) / height * math.pi
        around = (column + 0.5) / width * 2.0 * math.pi
        way = np.array(
            [math.sin(polar) * math.sin(around), -math.sin(polar) * math.cos(around),
             math.cos(polar)]
        )  # fmt: skip
        local = pose(prim)[:3, :3].T @ way
        # OpenEXR: longitude 0 along +Z, pi/2 along +X, from +pi at the left edge to -pi.
        longitude, latitude = math.atan2(local[0], local[2]), math.asin(local[1])
        across = int((0.5 - longitude / (2.0 * math.pi)) * width)
        down = int((0.5 - latitude / math.pi) * height)
        np.testing.assert_allclose(picture[down, across], panorama[row, column], rtol=2e-3)
