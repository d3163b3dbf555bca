"""A small room with two people, five lights and a window, for the tests of light."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.geometry.mesh import Mesh
from previz.stage.identity import identity_of

LIT = """\
previz: 1
title: A lit corner
room: {width_m: 4.4, depth_m: 5.0, height_m: 2.7}
openings:
  window: {wall: north, along_m: 1.4, width_m: 1.4, sill_m: 0.9, height_m: 1.3}
people:
  guest: {at_m: [0, 0], seat: stool, faces: host, stature_cm: 165}
  host: {at_m: [0.6, -1.7], seat: stool, faces: guest, stature_cm: 170}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 35
    f_number: 2.8
    place: {at_m: [0.0, -2.0], height: eye}
    aim: guest
lights:
  key: {fixture: softbox_90, aim: guest, dimmer_pct: 40,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.5}}
  fill: {fixture: panel_60x40, aim: guest, dimmer_pct: 10,
         place: {side: camera_left, azimuth_deg: 30, elevation_deg: 10, distance_m: 1.9}}
  hair: {fixture: panel_40, aim: guest, dimmer_pct: 20,
         place: {side: camera_left, azimuth_deg: 140, elevation_deg: 40, distance_m: 1.6}}
exposure: {iso: 800, fps: 25, shutter_deg: 180, white_balance: {card: guest}}
meters:
  knees: {at_m: [0, -0.4, 0.7], facing: up}
  to_key: {at_m: [0, -0.3, 1.1], facing: key}
"""


@pytest.fixture
def lit() -> str:
    """The room's scene file."""
    return LIT


@pytest.fixture
def scene(tmp_path: Path, lit: str) -> Path:
    """The file itself."""
    path = tmp_path / "scene.yaml"
    path.write_text(lit, encoding="utf-8")
    return path


def plain(value: object) -> object:
    """A value as what compares with ==: arrays by kind, shape and bytes, objects by field."""
    if isinstance(value, np.ndarray):
        return str(value.dtype), value.shape, value.tobytes()
    if isinstance(value, Mesh):
        return plain(value.vertices), plain(value.faces)
    if is_dataclass(value):
        return type(value).__name__, [plain(getattr(value, f.name)) for f in fields(value)]
    if isinstance(value, Mapping):
        return [(key, plain(inner)) for key, inner in value.items()]
    if isinstance(value, (list, tuple)):
        return [plain(inner) for inner in value]
    return value


@pytest.fixture
def same() -> Callable[[api.OpenScene, api.OpenScene], None]:
    """Asserts that two openings came to the same, down to the last bit of every array."""

    def check(found: api.OpenScene, wanted: api.OpenScene) -> None:
        assert identity_of(found.stage) == identity_of(wanted.stage)
        assert plain(found.stage) == plain(wanted.stage)
        assert found.scene == wanted.scene and found.digest == wanted.digest
        assert (found.lut, found.settings) == (wanted.lut, wanted.settings)

    return check
