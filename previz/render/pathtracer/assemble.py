"""A stage as a Mitsuba scene: meshes, emitters, sensor. Import after a variant is set."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.physics.beam import mean_of_table
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.physics.mirror import index_of_specular
from previz.physics.photometry import flux_lambertian_lm
from previz.render.merge import Looks, Merged, MergedMesh, Merger
from previz.render.part import Part
from previz.render.pathtracer.beam_picture import beam_picture, beam_reach_rad
from previz.render.pathtracer.hair import HairGuides, hair_of, hair_shape
from previz.render.pathtracer.loading import aligned, load
from previz.render.pathtracer.surfaces import (
    COLOUR,
    METALLIC,
    PAINT,
    ROUGHNESS,
    SHINE,
    Surfaces,
    Textures,
)
from previz.render.patterns import tile_of
from previz.stage.stage import Emitter, Stage, StageCamera

Shapes = dict[str, Any]
NEAR_CLIP_M = 0.01


@dataclass(frozen=True, eq=False)
class Assembled:
    """Everything of a stage that a scene is put together from, loaded once.

    meshes   merged meshes with their Mitsuba shapes
    strands  shapes of hair, with the number of the thing they grow on
    lamps    emitting shapes, in the order of the stage's emitters
    relief   of the patterns, and beneath: light under skin, where the variant is compiled
    guides   for hair, likewise
    """

    stage: Stage
    meshes: tuple[tuple[MergedMesh, Any], ...]
    strands: tuple[tuple[int, Any], ...]
    lamps: tuple[tuple[Emitter, Any], ...]
    relief: Any = None
    beneath: Any = None
    guides: Any = None

    def scene(self, without: str | None = None, extra: Mapping[str, Any] | None = None) -> Any:
        """The scene; `without` leaves out the gear of that camera, `extra` adds shapes."""
        shapes: Shapes = {"type": "scene", **(extra or {})}
        for number, (mesh, shape) in enumerate(self.meshes):
            if not (mesh.surface.owner and mesh.surface.owner == without):
                shapes[f"mesh_{number}"] = shape
        shapes |= {f"hair_{number}": shape for number, (_, shape) in enumerate(self.strands)}
        shapes |= {f"lamp_{number}": shape for number, (_, shape) in enumerate(self.lamps)}
        return load(shapes)

    def things_at(
        self, shape: NDArray[Any], triangle: NDArray[Any], number_of: Callable[[Any], int]
    ) -> NDArray[np.uint16]:
        """Number of the thing at each hit, 0 where it is none.

        shape, triangle  of each hit: number of the shape, and of the triangle within it
        number_of        the number by which `shape` knows a loaded shape
        """
        things = np.zeros(shape.shape, np.uint16)
        for mesh, handle in self.meshes:
            here = shape == number_of(handle)
            things[here] = mesh.face_objects[triangle[here]]
        for number, handle in self.strands:
            things[shape == number_of(handle)] = number
        for emitter, handle in self.lamps:
            things[shape == number_of(handle)] = self.stage.object_ids.get(emitter.thing, 0)
        return things

    @property
    def clear(self) -> Mapping[Any, float]:
        """The shapes of clear glass, with their indices of refraction."""
        glass = ((mesh.surface, shape) for mesh, shape in self.meshes if mesh.surface.clear)
        return {shape: index_of_specular(surface.specular) for surface, shape in glass}

    @property
    def shapes(self) -> tuple[Any, ...]:
        """All shapes."""
        parts = (*self.meshes, *self.strands, *self.lamps)
        return tuple(shape for _, shape in parts)


def assemble(stage: Stage, compiled: bool = True) -> Assembled:
    """Load all shapes of a stage.

    Where nothing can be `compiled`, patterns are bitmaps on meshes of their own, and fixtures
    with a beam are spot lights, since that integrator cannot shape what a surface sends.
    """
    merged = Merger(stage.materials, apart=not compiled).merge(stage.things, stage.object_ids)
    lamps = tuple(
        (
            emitter,
            _spot(emitter)
            if emitter.profile is not None and emitter.lit and not compiled
            else _lamp(emitter, f"lamp_{number}", stage),
        )
        for number, emitter in enumerate(stage.emitters)
    )
    hair = [(number, hair_shape(strands), strands) for number, strands in hair_of(stage)]
    strands = tuple((number, shape) for number, shape, _ in hair)
    if not compiled:
        meshes = _meshes(merged, Surfaces(stage.materials, Textures.of_faces()), stage, spelt=True)
        return Assembled(stage, meshes, strands, lamps)

    from previz.render.pathtracer.beneath import Beneath  # noqa: PLC0415
    from previz.render.pathtracer.figures import look_textures  # noqa: PLC0415
    from previz.render.pathtracer.relief import Relief  # noqa: PLC0415
    from previz.render.pathtracer.rows import Rows  # noqa: PLC0415

    rows = Rows(merged.looks)
    surfaces = Surfaces(stage.materials, look_textures(rows, merged.patterns))
    meshes = _meshes(merged, surfaces, stage, spelt=False)
    rows.place(meshes, [shape for _, shape in (*strands, *lamps)])
    beneath = Beneath(rows) if merged.looks.skin.any() else None
    others = [shape for _, shape in (*meshes, *lamps)]
    guides = HairGuides([(shape, strands) for _, shape, strands in hair], others)
    relief = Relief(rows, merged.patterns)
    return Assembled(stage, meshes, strands, lamps, relief, beneath, guides)


def _meshes(
    merged: Merged, surfaces: Surfaces, stage: Stage, spelt: bool
) -> tuple[tuple[MergedMesh, Any], ...]:
    """All meshes loaded; with each triangle's look `spelt` out where nothing reads rows."""
    looks = merged.looks if spelt else None
    return tuple(
        (mesh, _mesh(mesh, f"mesh_{number}", surfaces.bsdf_of(mesh.surface), stage, looks))
        for number, mesh in enumerate(merged.meshes)
    )


def _mesh(mesh: MergedMesh, name: str, bsdf: Any, stage: Stage, looks: Looks | None) -> Any:
    props = mi.Properties()
    props["bsdf"] = bsdf
    shape = mi.Mesh(
        name,
        vertex_count=len(mesh.vertices),
        face_count=len(mesh.faces),
        has_vertex_normals=True,
        has_vertex_texcoords=True,
        props=props,
    )
    if mesh.paint is not None:
        shape.add_attribute(PAINT, 3, aligned(mesh.paint[:, :3], np.float32))
        shape.add_attribute(SHINE, 1, aligned(mesh.paint[:, 3], np.float32))
    if looks is not None:
        shape.add_attribute(COLOUR, 3, looks.colour[mesh.rows].reshape(-1))
        shape.add_attribute(ROUGHNESS, 1, looks.roughness[mesh.rows])
        shape.add_attribute(METALLIC, 1, looks.metallic[mesh.rows])
    parameters = mi.traverse(shape)
    parameters["vertex_positions"] = aligned(mesh.vertices, np.float32)
    parameters["vertex_normals"] = aligned(mesh.normals, np.float32)
    parameters["faces"] = aligned(mesh.faces, np.uint32)
    uv = mesh.uv
    if mesh.surface.textured:
        uv = uv / tile_of(stage.materials[mesh.surface.textured.partition("@")[0]]).size_m
    parameters["vertex_texcoords"] = aligned(uv, np.float32)
    parameters.update()
    return shape


def _lamp(emitter: Emitter, name: str, stage: Stage) -> Any:
    shape = _shape(emitter.shape)
    shape["bsdf"] = {
        "type": "diffuse",
        "reflectance": {"type": "rgb", "value": [emitter.reflectance] * 3},
    }
    shape["id"] = name
    if not emitter.lit:
        return load(shape)
    mean = radiance_without_profile(emitter, stage)
    flux = flux_lambertian_lm(float(mean @ LUMINANCE_WEIGHTS), emitter.shape.area_m2)
    radiance = emitter.rgb if emitter.window else emitter.luminance_cd_m2 * emitter.rgb
    shape["emitter"] = {
        "type": "area",
        "radiance": {"type": "rgb", "value": [float(v) for v in radiance]},
        # The square root keeps a small lamp from drowning in a window's share of samples.
        "sampling_weight": max(math.sqrt(flux), 1e-6),
    }
    return load(shape)


def _spot(emitter: Emitter) -> Any:
    """A beam as a spot light from the middle of the face: right where the face is seen small."""
    reach = beam_reach_rad(emitter)
    picture = beam_picture(emitter, reach)
    return load(
        {
            "type": "spot",
            "to_world": mi.ScalarTransform4f(np.asarray(emitter.shape.pose, float)),
            "intensity": {"type": "rgb", "value": [float(v) for v in axis_intensity(emitter)]},
            "cutoff_angle": math.degrees(reach),
            # The picture shapes the beam; the plugin's own ramp is kept out of it.
            "beam_width": math.degrees(reach) * 0.9999,
            "texture": {
                "type": "bitmap",
                "bitmap": mi.Bitmap(picture.astype(np.float32)),
                "raw": True,
                "wrap_mode": "clamp",
            },
        }
    )


def axis_intensity(emitter: Emitter) -> NDArray[np.float64]:
    """Luminous intensity (3,) of a flat face on its axis, candela by colour."""
    return emitter.luminance_cd_m2 * emitter.shape.area_m2 * np.asarray(emitter.rgb, float)


def radiance_without_profile(emitter: Emitter, stage: Stage) -> NDArray[np.float64]:
    """Colour (3,) in cd/m2 of a matt surface that gives off the same light in all.

    For a window it is what comes through its plane; for a beam, the mean over the beam.
    """
    colour = emitter.light_before(stage.environment)
    if emitter.profile is None:
        return colour
    return np.asarray(colour * mean_of_table(emitter.profile), float)


def _shape(shape: EmitterShape) -> dict[str, Any]:
    pose = mi.ScalarTransform4f(np.asarray(shape.pose, float))
    if shape.kind == "rectangle":
        scale = mi.ScalarTransform4f().scale([shape.width_m / 2, shape.height_m / 2, 1.0])
        return {"type": "rectangle", "to_world": pose @ scale}
    if shape.kind == "disc":
        scale = mi.ScalarTransform4f().scale([shape.radius_m, shape.radius_m, 1.0])
        return {"type": "disk", "to_world": pose @ scale}
    if shape.kind == "sphere":
        centre = [float(v) for v in shape.position_m]
        return {"type": "sphere", "center": centre, "radius": shape.radius_m}
    along = np.asarray(shape.pose[:3, 1], float) * shape.length_m / 2.0
    ends = [[float(v) for v in shape.position_m + sign * along] for sign in (-1.0, 1.0)]
    return {"type": "cylinder", "p0": ends[0], "p1": ends[1], "radius": shape.radius_m}


def sensor(
    camera: StageCamera,
    size: tuple[int, int],
    pinhole: bool = False,
    centred: bool = False,
    only: Part | None = None,
) -> Any:
    """The camera as a Mitsuba sensor; its film has the picture's size and a box filter.

    `centred` takes its one sample through the middle of each pixel; with `only` the film holds
    that part of the picture.
    """
    pose = np.array(camera.pose, float)
    pose[:3, 0] *= -1.0  # Mitsuba looks along +Z with +X to the left of the picture.
    pose[:3, 2] *= -1.0
    width, height = size
    description: dict[str, Any] = {
        "type": "perspective" if pinhole else "thinlens",
        "to_world": mi.ScalarTransform4f(pose),
        "fov": math.degrees(camera.horizontal_angle_rad),
        "fov_axis": "x",
        "near_clip": NEAR_CLIP_M,
        "far_clip": 1000.0,
        "film": {
            "type": "hdrfilm",
            "width": width,
            "height": height,
            "rfilter": {"type": "box"},
            "pixel_format": "rgb",
            "component_format": "float32",
        },
    }
    if only is not None:
        description["film"] |= {
            "crop_offset_x": only.left_px,
            "crop_offset_y": only.top_px,
            "crop_width": only.width_px,
            "crop_height": only.height_px,
        }
    if centred:
        description["sampler"] = {"type": "stratified", "sample_count": 1, "jitter": False}
    if not pinhole:
        description["aperture_radius"] = camera.aperture_radius_m
        description["focus_distance"] = camera.focus_distance_m
    return load(description)
