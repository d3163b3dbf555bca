"""No colour a user may write breaks a picture: the corners of the cube, on the walls."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.render.denoise import Denoiser
from previz.scenefile import read_scene
from previz.stage.build import build_stage

WIDTH, HEIGHT, TILE = 64, 36, 4
LIT = """\
lights:
  key: {fixture: panel_60x40, aim_m: [0, 3, 1.2], place: {at_m: [0, -3], height_m: 2.2}}
"""


@pytest.mark.parametrize("colour", ["".join(c) for c in product(("00", "ff"), repeat=3)])
@pytest.mark.usefixtures("mannequins")
def test_a_wall_of_any_colour_has_no_holes(tmp_path: Path, plain: str, colour: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(plain.replace("height_m: 3}", f'height_m: 3, wall_colour: "#{colour}"}}') + LIT)
    catalog = Catalog.load()
    draft = read_scene(path, catalog)
    assert draft.scene is not None and not draft.problems, draft.problems
    stage, _ = build_stage(draft.scene, catalog, tmp_path, "", draft.places)
    exposing = (
        open_back_end("llvm_ad_rgb").load(stage).expose("A", RenderSettings(WIDTH, HEIGHT, 16))
    )
    exposing.advance(16)
    light = exposing.light()
    clean = Denoiser().clean(light.beauty, light.albedo, light.normal, "final")
    assert np.isfinite(light.beauty).all() and np.isfinite(clean).all()
    # The wall on either side of the head, in tiles: none falls out of what its row is.
    wall = clean[4:20, :16].max(axis=2)
    tiles = wall.reshape(4, TILE, 4, TILE).mean(axis=(1, 3))
    assert tiles.min() > 0.4 * tiles.max() > 0.0
