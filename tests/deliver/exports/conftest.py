"""One room with every kind of lamp, glass, a sheet, hair, a sun and a move, exported once."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from previz import api
from previz.stage.stage import Emitter, Stage

SCENE = """\
previz: 1
title: Every kind of lamp
room: {width_m: 5, depth_m: 6, height_m: 2.9}
openings:
  window: {wall: east, along_m: 2.0, width_m: 1.6, sill_m: 0.9, height_m: 1.4, gel_nd: 0.3}
daylight: {sky: clear, sun: {bearing_deg: 100, elevation_deg: 25}}
people:
  guest: {at_m: [0, 0.4], seat: stool, faces: A, stature_cm: 168, spectacles: true, hair: medium}
furniture:
  plant: {piece: plant_tall, at_m: [1.6, 1.9]}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 2.8
    place: {at_m: [0.2, -2.0], height: eye}
    aim: guest
    aim_from_left_pct: 42
    nd_density: 0.6
  B: {sensor: full_frame, lens: zoom_24_70_f2.8, focal_length_mm: 35, f_number: 4,
      aim_m: [0, 0.4, 1], place: {at_m: [-1.6, -1.5], height_m: 1.9}, focus: guest}
moves:
  push:
    camera: A
    kind: slider
    length_m: 0.4
    duration_s: 1
    keys: [{at_s: 0, at_m: [0.2, -2.0]}, {at_s: 1, at_m: [0.5, -2.0], focal_length_mm: 60}]
lights:
  key: {fixture: softbox_90, aim: guest, dimmer_pct: 40,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.6}}
  hair: {fixture: fresnel_150, aim: guest, dimmer_pct: 20, beam_deg: 30,
         place: {side: camera_left, azimuth_deg: 130, elevation_deg: 35, distance_m: 1.9}}
  ball: {fixture: lantern_60, place: {at_m: [-1.4, 1.6], height_m: 2.0}, dimmer_pct: 30}
  stick: {fixture: tube_120, aim: guest, dimmer_pct: 30, cct_k: 3200,
          place: {at_m: [1.7, -0.6], height_m: 1.4}}
  spare: {fixture: panel_40, aim: guest, on: false,
          place: {side: camera_left, azimuth_deg: 40, elevation_deg: 10, distance_m: 1.8}}
"""


@dataclass(frozen=True)
class Made:
    """The scene and the folder that its files were exported to."""

    opened: api.OpenScene
    folder: Path

    @property
    def stage(self) -> Stage:
        return self.opened.stage

    def emitter(self, thing: str) -> Emitter:
        return next(e for e in self.stage.emitters if e.thing == thing)

    @cached_property
    def glb(self) -> dict[str, Any]:
        """The JSON of the GLB."""
        data = (self.folder / "scene.glb").read_bytes()
        length = struct.unpack_from("<I", data, 12)[0]
        return json.loads(data[20 : 20 + length])

    @cached_property
    def block(self) -> bytes:
        """Its binary chunk."""
        data = (self.folder / "scene.glb").read_bytes()
        start = 20 + struct.unpack_from("<I", data, 12)[0]
        length, kind = struct.unpack_from("<II", data, start)
        assert kind == 0x004E4942 and start + 8 + length == len(data)
        return data[start + 8 :]

    def node(self, name: str) -> dict[str, Any]:
        return next(node for node in self.glb["nodes"] if node["name"] == name)

    def pose(self, name: str) -> np.ndarray:
        """Local-to-world of a node of the GLB in our axes, Z up."""
        z_up = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]])
        return z_up @ np.array(self.node(name)["matrix"]).reshape(4, 4).T

    def light(self, name: str) -> dict[str, Any]:
        lights = self.glb["extensions"]["KHR_lights_punctual"]["lights"]
        return lights[self.node(name)["extensions"]["KHR_lights_punctual"]["light"]]


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Everything exported, but for the light's readings."""
    folder = tmp_path_factory.mktemp("exports")
    (folder / "scene.yaml").write_text(SCENE, encoding="utf-8")
    opened = api.open_scene(folder / "scene.yaml")
    options = api.ExportOptions(out=folder / "out", light=False)
    written = api.export_scene(opened, options)
    assert [file.name for file in written.files] == [
        "scene.glb", "scene.usdc", "sky.exr", "guides_A.png", "guides_B.png", "measured.csv",
    ]  # fmt: skip
    return Made(opened, folder / "out")
