"""Points of a set by name: where they are, and whose."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz.api.opening import open_scene
from previz.measure.camera.features import features_of, level_directions

pytestmark = pytest.mark.usefixtures("mannequins")
MORE = """
openings:
  window: {wall: north, along_m: 1.0, width_m: 1.5, sill_m: 0.9, height_m: 1.2}
furniture:
  desk: {piece: desk, at_m: [0.5, 1.0]}
  round: {piece: stool, at_m: [-1.5, 1.0]}
"""


def test_where_they_are(tmp_path: Path, plain: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(plain + MORE, encoding="utf-8")
    stage = open_scene(path).stage
    found = features_of(stage, stage.cameras["A"], "guest", None)
    at = {name: feature.point_m for name, feature in found.items()}
    # Facing the north wall from inside, its left end is the west one, at x = -3.
    np.testing.assert_allclose(at["window.top_left"], [-2.0, 4.0, 2.1])
    np.testing.assert_allclose(at["window.bottom_right"], [-0.5, 4.0, 0.9])
    np.testing.assert_allclose(at["room.north_east.ceiling"], [3.0, 4.0, 3.0])
    np.testing.assert_allclose(at["room.south_west.floor"], [-3.0, -4.0, 0.0])
    marks = stage.people["guest"].landmarks
    # The pupil lies a centimetre before the middle of the eye, on the side it looks to.
    before = at["eye_left"] - marks["eye_left"]
    np.testing.assert_allclose(before, 0.01035 * stage.people["guest"].gaze, atol=1e-6)
    np.testing.assert_allclose(at["guest.chin"], marks["chin"])
    assert found["chin"].person == "guest" and found["window.top_left"].person is None
    corners = {n.removeprefix("desk.top_"): p for n, p in at.items() if n.startswith("desk.")}
    assert set(corners) == {"near_left", "near_right", "far_left", "far_right"}
    # The camera stands to the south, so what is left is west and what is near is south.
    assert corners["near_left"][0] < corners["near_right"][0]
    assert corners["near_left"][1] < corners["far_left"][1]
    assert not any(name.startswith("round.") for name in found), "a round top has no corners"
    assert len(level_directions(stage)) == 4
