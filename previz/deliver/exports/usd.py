"""A stage as OpenUSD: Z up, metres; things, materials, cameras, moves, lights and sky.

Source: Pixar, "Universal Scene Description: UsdGeom, UsdShade and UsdLux", 2024. Lens and sensor
are in tenths of a scene unit there, luminance is in cd/m2 as here.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from pxr import Gf, Kind, Sdf, Tf, Usd, UsdGeom, UsdShade, Vt

from previz.deliver.exports.lamps import lamps, sunlight
from previz.deliver.exports.scenery import Finish, Item, Surface
from previz.deliver.exports.usd_cameras import add_camera, add_move
from previz.deliver.exports.usd_lights import add_lamp, add_sky, add_sun
from previz.deliver.files import whole_file
from previz.geometry.people.figure import Strands
from previz.stage.stage import Stage

GLASS_OPACITY = 0.1
"""What a preview shows of clear glass."""
PAINT = "displayColor"


def write_usd(
    path: Path, stage: Stage, standing: Sequence[Item], made_by: str, sky: Path | None
) -> None:
    """Write a stage as one USD file.

    standing  its `items`
    made_by   with which program and from which scene
    sky       the panorama beside it; None where there is none
    """
    made = _Made(stage, standing, made_by)
    made.fill(sky)
    with whole_file(path) as fresh:
        if not made.usd.GetRootLayer().Export(str(fresh)):
            raise OSError(f"{fresh}: the USD library could not write it")


class _Made:
    """One USD stage, filled scope by scope."""

    def __init__(self, stage: Stage, standing: Sequence[Item], made_by: str) -> None:
        self.stage, self.standing = stage, standing
        self.usd = Usd.Stage.CreateInMemory()
        UsdGeom.SetStageUpAxis(self.usd, UsdGeom.Tokens.z)
        UsdGeom.SetStageMetersPerUnit(self.usd, 1.0)
        root = UsdGeom.Xform.Define(self.usd, "/World").GetPrim()
        Usd.ModelAPI(root).SetKind(Kind.Tokens.component)
        self.usd.SetDefaultPrim(root)
        self.usd.GetRootLayer().comment = f"{stage.title}; {made_by}"
        self.usd.SetTimeCodesPerSecond(stage.programme.fps)
        self.usd.SetFramesPerSecond(stage.programme.fps)
        self._finishes: dict[tuple[Finish, bool], UsdShade.Material] = {}

    def fill(self, sky: Path | None) -> None:
        """Everything: the set, its cameras with their moves, its lights."""
        self._set()
        self._cameras()
        self._lights(sky)

    def _scope(self, name: str) -> Sdf.Path:
        return UsdGeom.Scope.Define(self.usd, f"/World/{name}").GetPath()

    def _named(self, parent: Sdf.Path, name: str) -> Sdf.Path:
        """A free path for something of that name."""
        return free_path(self.usd, parent, name)

    # --- things ------------------------------------------------------------------------------

    def _set(self) -> None:
        scope = self._scope("Set")
        for item in self.standing:
            self._thing(scope, item)

    def _thing(self, scope: Sdf.Path, item: Item) -> None:
        thing = item.thing
        prim = UsdGeom.Xform.Define(self.usd, self._named(scope, thing.name)).GetPrim()
        prim.SetDisplayName(thing.name)
        prim.SetCustomDataByKey("kind", thing.kind)
        if thing.owner is not None:
            prim.SetCustomDataByKey("notSeenByCamera", thing.owner)
        for surface in item.surfaces:
            self._mesh(prim.GetPath(), surface)
        if item.ribbons is not None and item.strands is not None:
            self._hair(prim.GetPath(), item.strands, item.ribbons)

    def _mesh(self, parent: Sdf.Path, surface: Surface) -> None:
        mesh = UsdGeom.Mesh.Define(self.usd, self._named(parent, surface.name))
        mesh.GetPrim().SetDisplayName(surface.name)
        mesh.CreatePointsAttr(_vectors(surface.vertices))
        mesh.CreateFaceVertexCountsAttr(_whole(np.full(len(surface.faces), 3)))
        mesh.CreateFaceVertexIndicesAttr(_whole(surface.faces.reshape(-1)))
        mesh.CreateNormalsAttr(_vectors(surface.normals))
        mesh.SetNormalsInterpolation(UsdGeom.Tokens.vertex)
        mesh.CreateSubdivisionSchemeAttr(UsdGeom.Tokens.none)
        mesh.CreateDoubleSidedAttr(surface.finish.two_sided)
        mesh.CreateExtentAttr(_extent(surface.vertices))
        self._coloured(mesh, surface)

    def _coloured(self, shape: Any, surface: Surface) -> None:
        """Colour for who draws without materials, and the material."""
        paint = surface.paint
        colours = np.array([surface.finish.colour], np.float32) if paint is None else paint
        where = UsdGeom.Tokens.constant if paint is None else UsdGeom.Tokens.vertex
        shape.CreateDisplayColorPrimvar(where).Set(_vectors(colours))
        self._bind(shape, surface.finish, painted=paint is not None)

    def _bind(self, shape: Any, finish: Finish, *, painted: bool) -> None:
        key = finish, painted
        if key not in self._finishes:
            self._finishes[key] = self._material(finish, painted=painted)
        UsdShade.MaterialBindingAPI.Apply(shape.GetPrim()).Bind(self._finishes[key])

    def _hair(self, parent: Sdf.Path, strands: Strands, ribbons: Surface) -> None:
        """Hair as it is: cubic B-splines from root to tip."""
        curves = UsdGeom.BasisCurves.Define(self.usd, self._named(parent, "hair"))
        count, length = strands.points.shape[:2]
        curves.CreateTypeAttr(UsdGeom.Tokens.cubic)
        curves.CreateBasisAttr(UsdGeom.Tokens.bspline)
        curves.CreateWrapAttr(UsdGeom.Tokens.pinned)
        curves.CreateCurveVertexCountsAttr(_whole(np.full(count, length)))
        points = strands.points.reshape(-1, 3).astype(np.float32)
        widths = (2.0 * strands.radius_m).reshape(-1).astype(np.float32)
        curves.CreatePointsAttr(_vectors(points))
        curves.CreateWidthsAttr(Vt.FloatArray.FromNumpy(widths))
        curves.SetWidthsInterpolation(UsdGeom.Tokens.vertex)
        half = float(widths.max()) / 2.0
        box = np.array([points.min(axis=0) - half, points.max(axis=0) + half], np.float32)
        curves.CreateExtentAttr(_vectors(box))
        assert ribbons.paint is not None
        red, green, blue = (float(c) for c in ribbons.paint.mean(axis=0))
        colour = np.array([[red, green, blue]], np.float32)
        curves.CreateDisplayColorPrimvar(UsdGeom.Tokens.constant).Set(_vectors(colour))
        finish = Finish("hair", (red, green, blue), ribbons.finish.roughness)
        self._bind(curves, finish, painted=False)

    def _material(self, finish: Finish, *, painted: bool) -> UsdShade.Material:
        """A preview surface; a painted one reads the colours of its vertices."""
        scope = self._scope("Materials")
        material = UsdShade.Material.Define(self.usd, self._named(scope, finish.material))
        material.GetPrim().SetDisplayName(finish.material)
        shader = UsdShade.Shader.Define(self.usd, material.GetPath().AppendChild("Surface"))
        shader.CreateIdAttr("UsdPreviewSurface")
        colour = shader.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f)
        if painted:
            colour.ConnectToSource(self._reader(material).ConnectableAPI(), "result")
        else:
            colour.Set(Gf.Vec3f(*finish.colour))
        numbers = {
            "roughness": finish.roughness,
            "metallic": finish.metallic,
            "ior": finish.refractive_index,
            "opacity": GLASS_OPACITY if finish.clear else 1.0,
        }
        for name, value in numbers.items():
            shader.CreateInput(name, Sdf.ValueTypeNames.Float).Set(value)
        material.CreateSurfaceOutput().ConnectToSource(shader.ConnectableAPI(), "surface")
        if finish.pattern != "none":
            material.GetPrim().SetCustomDataByKey("patternWhoseMeanTheColourIs", finish.pattern)
        if finish.through > 0.0:
            material.GetPrim().SetCustomDataByKey("diffuseTransmittance", finish.through)
        return material

    def _reader(self, material: UsdShade.Material) -> UsdShade.Shader:
        reader = UsdShade.Shader.Define(self.usd, material.GetPath().AppendChild("Paint"))
        reader.CreateIdAttr("UsdPrimvarReader_float3")
        reader.CreateInput("varname", Sdf.ValueTypeNames.String).Set(PAINT)
        reader.CreateOutput("result", Sdf.ValueTypeNames.Float3)
        return reader

    # --- cameras and lights --------------------------------------------------------------------

    def _cameras(self) -> None:
        scope = self._scope("Cameras")
        for name, camera in self.stage.cameras.items():
            add_camera(self.usd, self._named(scope, name), self.stage, camera)
        moves = self.stage.moves.values()
        for move in moves:
            path = self._named(scope, f"{move.before.name}_{move.name}")
            add_move(self.usd, path, self.stage, move)
        if moves:
            self.usd.SetStartTimeCode(0.0)
            self.usd.SetEndTimeCode(float(max(move.frames for move in moves) - 1))

    def _lights(self, sky: Path | None) -> None:
        scope = self._scope("Lights")
        for lamp in lamps(self.stage):
            if lamp.emitter.lit:
                add_lamp(self.usd, self._named(scope, lamp.name), lamp)
        sun = sunlight(self.stage)
        if sun is not None:
            add_sun(self.usd, self._named(scope, "sun"), sun)
        if sky is not None:
            add_sky(self.usd, self._named(scope, "sky"), sky.name)


def free_path(usd: Usd.Stage, parent: Sdf.Path, name: str) -> Sdf.Path:
    """A free place for something of that name, as the format allows it; numbered if taken."""
    base = Tf.MakeValidIdentifier(name)
    path, number = parent.AppendChild(base), 1
    while usd.GetPrimAtPath(path):
        number += 1
        path = parent.AppendChild(f"{base}_{number}")
    return path


def _vectors(rows: np.ndarray[Any, Any]) -> Vt.Vec3fArray:
    return Vt.Vec3fArray.FromNumpy(np.ascontiguousarray(rows, np.float32))


def _whole(numbers: np.ndarray[Any, Any]) -> Vt.IntArray:
    return Vt.IntArray.FromNumpy(np.ascontiguousarray(numbers, np.int32))


def _extent(points: np.ndarray[Any, Any]) -> Vt.Vec3fArray:
    return _vectors(np.array([points.min(axis=0), points.max(axis=0)]))
