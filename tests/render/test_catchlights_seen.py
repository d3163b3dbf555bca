"""A soft source in front of a face shows in both eyes, through spectacles too."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.api.opening import open_scene
from previz.physics.colour import luminance
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.stage.placing import looking

SCENE = """previz: 1
title: One face and one soft source
room: {{width_m: 4, depth_m: 5, height_m: 2.8}}
people:
  guest: {{at_m: [0, 0], seat: side_chair, hair: bald, spectacles: {spectacles}}}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_70_200_f2.8
    focal_length_mm: 85
    f_number: 4
    focus: eye
    place: {{at_m: [0, -2.1], height: eye}}
    aim: guest
lights:
  key:
    fixture: softbox_90
    aim: guest
    place: {{side: camera_left, azimuth_deg: 30, elevation_deg: 25, distance_m: 1.5}}
exposure: {{iso: 800, fps: 25}}
"""
MEDIUM_CLOSE_UP_PX = 1280
SIZE = (224, 96)
SAMPLES = 4


@pytest.mark.parametrize("spectacles", ["false", "true"])
def test_a_soft_source_shows_in_each_eye(spectacles: str, tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE.format(spectacles=spectacles))
    stage = open_scene(path).stage
    marks = stage.people["guest"].landmarks
    whole = stage.cameras["A"]
    # A window on the eyes out of a picture as wide as that: the same pixels, fewer of them.
    camera = replace(
        whole,
        pose=looking(whole.position_m, marks["eyes"]),
        sensor_width_m=whole.sensor_width_m * SIZE[0] / MEDIUM_CLOSE_UP_PX,
        sensor_height_m=whole.sensor_width_m * SIZE[1] / MEDIUM_CLOSE_UP_PX,
    )
    seen = replace(stage, cameras={"A": camera})
    exposing = open_back_end("llvm_ad_rgb").load(seen).expose("A", RenderSettings(*SIZE, SAMPLES))
    exposing.advance(SAMPLES)
    light = luminance(exposing.light().layers["key"].astype(float))
    for side in ("left", "right"):
        (x, y) = camera.project(marks[f"eye_{side}"], *SIZE)[0]
        eye = light[int(y) - 10 : int(y) + 11, int(x) - 12 : int(x) + 13]
        # The softbox is ten times as bright as any skin; the cornea mirrors a twentieth of it.
        bright = eye > 2.0 * np.median(light)
        assert 3 <= bright.sum() <= 80, (side, int(bright.sum()))
        rows, columns = np.nonzero(bright)
        # All of it in one place but a point on the wet edge of a lid, or on a rim.
        for along in (rows, columns):
            assert np.ptp(np.quantile(along, [0.05, 0.95])) < 12
