"""Glass stands in windows that mirror the room, and only there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz import api

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"
WINDOW = "openings.w={wall: north, along_m: 1, width_m: 2, sill_m: 0.8, height_m: 1.4}"


@pytest.mark.parametrize(
    ("sky", "stands"), [("night", True), ("dusk", True), ("overcast", False), ("clear", False)]
)
def test_panes_stand_where_it_is_dark_outside(sky: str, stands: bool):
    stage = api.open_scene(BASE, (WINDOW, f"daylight.sky={sky}")).stage
    assert ("openings.w.pane" in stage.object_ids) == stands == ("w" in stage.room.panes)
    if not stands:
        return
    [glass] = next(thing for thing in stage.things if thing.name == "openings.w.pane").pieces
    assert stage.materials[glass.material].clear
    assert float(glass.mesh.area) == pytest.approx(2.0 * 1.4, rel=1e-6)
    portal = next(emitter for emitter in stage.emitters if emitter.layer == "w").shape
    before = (np.asarray(glass.mesh.vertices) - portal.position_m) @ portal.pose[:3, 2]
    assert np.all(before > 0.0) and np.all(before < 0.01), "in the room before what shines"
