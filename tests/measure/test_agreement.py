"""Framing measured from geometry against the path tracer's own id images, 1920 x 1080.

The tracer sends one ray through each pixel's centre; head top, chin side and outline must
agree with what is measured without rendering to one pixel.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.measure.camera.raster import project, rasterize
from previz.measure.camera.sight import see
from previz.measure.measured import Ruler
from previz.model.scene import Scene
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.scenefile import read_scene
from previz.stage.build import build_stage
from previz.stage.placing import composed
from previz.stage.stage import Stage, StageCamera

pytestmark = pytest.mark.usefixtures("mannequins")

BASE = Path(__file__).parent / "bad_setups" / "base.yaml"
WIDTH_PX, HEIGHT_PX = 1920, 1080
COUNT = 12


def opened() -> tuple[Scene, Stage]:
    catalog = Catalog.load()
    draft = read_scene(BASE, catalog)
    assert draft.scene is not None
    stage, _ = build_stage(draft.scene, catalog, draft.folder, "", draft.places)
    return draft.scene, stage


def cameras(stage: Stage) -> dict[str, StageCamera]:
    """Cameras all round the guest, near and far, high and low, the head whole or cut."""
    rng = np.random.default_rng(12)
    base, eyes = stage.cameras["A"], stage.people["guest"].landmarks["eyes"]
    found = {}
    for number in range(COUNT):
        turn = np.radians(-90.0 + rng.uniform(-80.0, 80.0))
        away = rng.uniform(1.2, 2.6)
        offset = np.array([away * np.cos(turn), away * np.sin(turn), rng.uniform(-0.3, 0.5)])
        position = eyes + offset
        across, up = rng.uniform(-0.08, 0.08, 2)
        found[f"C{number}"] = replace(
            base,
            name=f"C{number}",
            pose=composed(position, eyes, across, up),
            sensor_height_m=base.sensor_width_m * 9.0 / 16.0,
            focal_length_m=rng.uniform(0.024, 0.075),
        )
    return found


def test_outline_headroom_and_every_id_agree_with_rendered_ids_to_one_pixel() -> None:
    scene, stage = opened()
    views = cameras(stage)
    stage = replace(stage, cameras=views)
    renderer = open_back_end(None).load(stage)
    ruler = Ruler(stage, scene.rules)
    number = stage.object_ids["people.guest"]
    tops = 0
    for name, camera in views.items():
        exposing = renderer.expose(
            name, RenderSettings(WIDTH_PX, HEIGHT_PX, samples=1, max_depth=1)
        )
        exposing.advance(1)
        ids = exposing.light().objects
        mask = ids == number
        rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))

        framing = ruler.camera(stage.setups["A"], camera).framing
        assert framing is not None and framing.subject_box is not None
        box = framing.subject_box
        measured = (
            box.top_pct * HEIGHT_PX / 100.0,
            box.bottom_pct * HEIGHT_PX / 100.0,
            box.left_pct * WIDTH_PX / 100.0,
            box.right_pct * WIDTH_PX / 100.0,
        )
        rendered = (rows[0], rows[-1] + 1, columns[0], columns[-1] + 1)
        assert np.abs(np.subtract(measured, rendered)).max() <= 1.0, name
        if framing.headroom_pct > 0.0:
            tops += 1
            assert abs(framing.headroom_pct * HEIGHT_PX / 100.0 - rows[0]) <= 1.0, name
        if name not in ("C0", "C1", "C2"):  # one look at every pixel is slow, and enough
            continue
        whole = project(camera, see(stage, camera, ruler.surfaces).surfaces)
        seen = rasterize((whole,), WIDTH_PX, HEIGHT_PX)
        assert np.mean(seen.things != ids) < 2e-4, name
    assert tops >= 6
