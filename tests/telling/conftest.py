"""Reports to be told: of a plain room, and of light whose readings are known."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.measure.light.receptors import receptors
from previz.measure.report import Report
from previz.physics.white import white_rgb
from previz.render.contract import LightLayers
from previz.render.metering import Reading
from previz.render.readings import Readings
from previz.stage.stage import Stage

PICTURE_WIDTH_PX = 192


@pytest.fixture
def measure(tmp_path: Path, mannequins: None, plain: str) -> Callable[[str], Report]:
    """Measures the plain room with further blocks of YAML under it."""

    def run(more: str) -> Report:
        path = tmp_path / "scene.yaml"
        path.write_text(plain + more, encoding="utf-8")
        return api.measure_scene(path)

    return run


@pytest.fixture
def readings_of() -> Callable[..., Readings]:
    """Readings in which every receptor gets the same, and every frame holds something of all."""

    def make(stage: Stage, lux: dict[str, float], error: float = 0.0) -> Readings:
        by_light = {name: value * white_rgb(5600.0) for name, value in lux.items()}
        points = {name: Reading(by_light, error) for name in receptors(stage)}
        return Readings(points, {name: _picture(stage, name, lux) for name in stage.cameras})

    return make


def _picture(stage: Stage, camera: str, lux: dict[str, float]) -> LightLayers:
    """Everything on the set side by side, pixel by pixel; every second row shines itself."""
    width, height = stage.cameras[camera].picture_size(PICTURE_WIDTH_PX)
    rows, columns = np.mgrid[0:height, 0:width]
    numbers = np.array([0, *stage.object_ids.values()], np.uint16)
    objects = numbers[(rows // 2 + columns) % len(numbers)]
    albedo = np.where(rows % 2 == 0, 1.0, 0.5)[..., None] * np.ones(3)
    layers = {n: np.full((height, width, 3), v / 100.0, np.float32) for n, v in lux.items()}
    flat, far = np.zeros((height, width, 3), np.float32), np.full((height, width), 5.0, np.float32)
    return LightLayers(layers, albedo.astype(np.float32), flat, far, objects, 1)
