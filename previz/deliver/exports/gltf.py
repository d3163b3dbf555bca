"""A stage as glTF 2.0: metres, Y up, right-handed; cameras look along -Z as here.

Source: Khronos Group, "glTF 2.0 Specification", 2021. What the format has no word for stands in
`extras`. Materials and lights are in `gltf_looks`, bytes in `glb`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.deliver.exports.glb import Block, Node, write_glb
from previz.deliver.exports.gltf_looks import PUNCTUAL, glow_of, look_of, punctual_of, sun_of
from previz.deliver.exports.lamps import Lamp, lamps, sunlight
from previz.deliver.exports.scenery import Finish, Item, Surface, sees_from_m, unique
from previz.physics.optics import angle_of_view_rad
from previz.render.bake.surfaces import needed
from previz.render.faces import face_of
from previz.stage.placing import looking
from previz.stage.stage import Stage, StageCamera
from previz.units import m_to_mm

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

TO_Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
"""From the world to glTF: east stays X, up becomes Y, south becomes Z."""
ABOUT_TURN = np.diag([-1.0, 1.0, -1.0, 1.0])
"""A face shines along its +Z, a light of glTF along its -Z."""


def write_gltf(path: Path, stage: Stage, standing: Sequence[Item], made_by: str) -> None:
    """Write a stage as one GLB file.

    standing  its `items`
    made_by   with which program and from which scene
    """
    asset = _Asset(stage, standing)
    write_glb(path, asset.content(made_by), asset.block)


class _Asset:
    """One asset, filled node by node."""

    def __init__(self, stage: Stage, standing: Sequence[Item]) -> None:
        self.stage, self.standing = stage, standing
        self.block = Block()
        self._nodes: list[Node] = []
        self._meshes: list[Node] = []
        self._cameras: list[Node] = []
        self._lights: list[Node] = []
        self._materials: list[Node] = []
        self._finishes: dict[Finish, int] = {}

    def content(self, made_by: str) -> Node:
        """The whole asset but for its bytes."""
        roots = [self._thing(item) for item in self.standing]
        roots += [self._camera(camera) for camera in self.stage.cameras.values()]
        for lamp in lamps(self.stage):
            roots += self._lamp(lamp)
        sun = sunlight(self.stage)
        if sun is not None:
            roots.append(self._light(sun_of(sun), looking(np.zeros(3), -sun.direction)))
        names = unique([material["name"] for material in self._materials])
        materials = [m | {"name": n} for m, n in zip(self._materials, names, strict=True)]
        used = {key for material in materials for key in material.get("extensions", {})}
        content: Node = {
            "asset": {
                "version": "2.0",
                "generator": made_by,
                "extras": {"title": self.stage.title, "scene": self.stage.digest},
            },
            "scene": 0,
            "scenes": [{"name": self.stage.title, "nodes": roots}],
            "nodes": self._nodes,
            "meshes": self._meshes,
            "materials": materials,
            "cameras": self._cameras,
            "extensionsUsed": sorted(used | ({PUNCTUAL} if self._lights else set())),
        }
        if self._lights:
            content["extensions"] = {PUNCTUAL: {"lights": self._lights}}
        # The format allows no empty list.
        return {key: value for key, value in content.items() if value != []}

    def _node(self, node: Node) -> int:
        self._nodes.append(node)
        return len(self._nodes) - 1

    # --- things ------------------------------------------------------------------------------

    def _thing(self, item: Item) -> int:
        thing = item.thing
        surfaces = [*item.surfaces, *([] if item.ribbons is None else [item.ribbons])]
        children = [self._surface(f"{thing.name}.{s.name}", s) for s in surfaces]
        node: Node = {"name": thing.name, "extras": {"kind": thing.kind}}
        if thing.owner is not None:
            node["extras"]["not_seen_by_camera"] = thing.owner
        return self._node(node | ({"children": children} if children else {}))

    def _surface(self, name: str, surface: Surface) -> int:
        finish = surface.finish
        if finish not in self._finishes:
            self._finishes[finish] = self._material(look_of(finish))
        return self._drawn(name, surface, self._finishes[finish])

    def _material(self, look: Node) -> int:
        self._materials.append(look)
        return len(self._materials) - 1

    def _drawn(self, name: str, surface: Surface, material: int) -> int:
        """The node of one mesh, its places as they stand on the set."""
        attributes = {
            "POSITION": self.block.vectors(_upright(surface.vertices), bounds=True),
            "NORMAL": self.block.vectors(_upright(surface.normals)),
        }
        if surface.paint is not None:
            attributes["COLOR_0"] = self.block.vectors(surface.paint)
        primitive = {
            "attributes": attributes,
            "indices": self.block.triangles(surface.faces, len(surface.vertices)),
            "material": material,
        }
        self._meshes.append({"name": name, "primitives": [primitive]})
        return self._node({"name": name, "mesh": len(self._meshes) - 1})

    # --- cameras and lights --------------------------------------------------------------------

    def _camera(self, camera: StageCamera) -> int:
        """A camera as our renderer frames: its angle of view is that of a lens at infinity."""
        name = f"cameras.{camera.name}.lens"
        perspective = {
            "yfov": angle_of_view_rad(camera.sensor_height_m, camera.focal_length_m),
            "aspectRatio": camera.aspect,
            "znear": sees_from_m(self.stage, camera),
        }
        self._cameras.append(
            {
                "name": name,
                "type": "perspective",
                "perspective": perspective,
                "extras": _lens_numbers(camera),
            }
        )
        number = len(self._cameras) - 1
        return self._node({"name": name, "camera": number, "matrix": _matrix(camera.pose)})

    def _lamp(self, lamp: Lamp) -> Iterator[int]:
        """The face of a lamp, which glows, and the light from its middle, where it is on."""
        face = _face(lamp)
        look = glow_of(look_of(face.finish), lamp.mean_luminance)
        yield self._drawn(face.finish.material, face, self._material(look))
        if lamp.emitter.lit:
            yield self._light(punctual_of(lamp), lamp.shape.pose @ ABOUT_TURN)

    def _light(self, light: Node, pose: F64) -> int:
        self._lights.append(light)
        link = {PUNCTUAL: {"light": len(self._lights) - 1}}
        return self._node({"name": light["name"], "matrix": _matrix(pose), "extensions": link})


def _face(lamp: Lamp) -> Surface:
    """The emitting face of a lamp, as grey as it is without its light."""
    corners = face_of(lamp.shape)
    a, b, c = (corners[start::3, :3].astype(float) for start in range(3))
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    used, faces = needed(np.arange(len(corners)).reshape(-1, 3)[areas > 0.0], len(corners))
    grey = lamp.emitter.reflectance
    finish = Finish(f"{lamp.name}.face", (grey, grey, grey), 1.0)
    return Surface("face", corners[used, :3], corners[used, 3:], faces, None, finish)


def _lens_numbers(camera: StageCamera) -> Node:
    """What a camera is set to that the format has no word for."""
    return {
        "focal_length_mm": m_to_mm(camera.focal_length_m),
        "sensor_width_mm": m_to_mm(camera.sensor_width_m),
        "sensor_height_mm": m_to_mm(camera.sensor_height_m),
        "f_number": camera.f_number,
        "t_number": camera.t_number,
        "focus_distance_m": camera.focus_distance_m,
        "fps": camera.fps,
        "shutter_s": camera.shutter_s,
        "iso": camera.iso,
        "nd_density": camera.nd_density,
    }


def _upright(rows: F32) -> F32:
    """Places or normals (n, 3) with Y up."""
    return np.asarray(rows @ TO_Y_UP.T.astype(np.float32), np.float32)


def _matrix(pose: F64) -> list[float]:
    """A rigid local-to-world matrix (4, 4) as the format has it: Y up, column by column."""
    upright = np.eye(4)
    upright[:3] = TO_Y_UP @ np.asarray(pose, float)[:3]
    # Adding zero turns -0.0 into 0.0.
    return [float(value) + 0.0 for value in upright.T.reshape(-1)]
