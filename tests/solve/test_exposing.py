"""Cameras on `exposure: auto`: what they take, with answers known by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.develop.exposure import exposure_scale
from previz.errors import InputError
from previz.measure.light.light import light_numbers, set_for_lx
from previz.measure.light.receptors import receptors
from previz.measure.light.whole import whole_frame
from previz.model.meters import Targets
from previz.physics.white import white_rgb
from previz.render.contract import LightLayers
from previz.render.metering import Reading
from previz.render.readings import Readings
from previz.solve.exposing import exposed_alone
from previz.telling.first_look import lost_frame, taken_lines

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"


def evenly_lit(stage, lx: float, cd_m2: float) -> Readings:
    """Every receptor reads `lx`, and every picture is one grey."""
    points = {name: Reading({"key": lx * white_rgb(5600.0)}, 0.0) for name in receptors(stage)}
    pictures = {}
    for name, camera in stage.cameras.items():
        width, height = camera.picture_size(16)
        grey = np.full((height, width, 3), cd_m2, np.float32)
        none = np.zeros((height, width), np.uint16)
        pictures[name] = LightLayers(
            {"key": grey}, 0.0 * grey, 0.0 * grey, 5.0 + 0.0 * grey[..., 0], none, 1
        )
    return Readings(points, pictures)


def taken(stops: float, *settings: str):
    """What camera A takes in light that is so many stops over what the scene sets it for."""
    opened = api.open_scene(BASE, ("A.exposure=auto", *settings))
    camera = opened.stage.cameras["A"]
    readings = evenly_lit(opened.stage, set_for_lx(camera) * 2.0**stops, 1.0)
    stage, found = exposed_alone(
        opened.stage, light_numbers(opened.stage, readings), opened.scene.targets
    )
    assert stage.cameras["B"] is opened.stage.cameras["B"] and list(found) == ["A"]
    return stage.cameras["A"], found["A"]


@pytest.mark.parametrize(
    ("stops", "iso", "nd"),
    [(0.0, 800.0, 0.0), (1.0, 800.0, 0.3), (5.0, 800.0, 1.5), (2.67, 500.0, 0.6),
     (-1.0, 1600.0, 0.0), (-2.0, 3200.0, 0.0), (-9.0, 12800.0, 0.0), (13.0, 100.0, 3.0)],
)  # fmt: skip
def test_light_is_taken_by_sheets_of_nd_and_the_rest_by_iso(stops: float, iso: float, nd: float):
    camera, found = taken(stops)
    assert (camera.iso, camera.nd_density) == pytest.approx((iso, nd))
    right = -9.0 < stops < 13.0
    assert abs(found.off_stops) < 0.17 if right else stops * found.off_stops > 0.0


def test_the_wanted_face_counts_and_iso_of_the_scene_is_where_it_begins():
    camera, _ = taken(0.0, "targets.face.stops_over_grey=-1")
    assert (camera.iso, camera.nd_density) == (800.0, 0.3)


def test_a_camera_on_nobody_brings_the_mean_of_its_frame_to_grey():
    """A grey of 18 % that shines five stops over what the camera is set for."""
    on_nobody = (
        "cameras.A={aim: null, aim_m: [0, 0, 1.2], focus_distance_m: 2, "
        "place: {height_m: 1.2, height: null}, exposure: auto}"
    )
    stage = api.open_scene(BASE, (on_nobody,)).stage
    shining = 0.18 * 2.0**5 / exposure_scale(stage.cameras["A"])
    light = light_numbers(stage, evenly_lit(stage, 1.0, shining))
    done, found = exposed_alone(stage, light, Targets())
    assert (found["A"].iso, found["A"].nd_density) == (800.0, 1.5)
    assert whole_frame(
        done.cameras["A"], light.readings.pictures["A"].beauty
    ).mean_stops == pytest.approx(0.0, abs=0.05)
    [line] = taken_lines(found)
    assert line.startswith("camera A (exposure: auto) takes ISO 800 and ND 1.5 at T")


@pytest.mark.parametrize(
    ("stops", "said"),
    [(5.0, "overexposed, 5.0 stops over"), (2.4, None), (-2.4, None),
     (-4.0, "underexposed, 4.0 stops")],
)  # fmt: skip
def test_a_lost_frame_has_one_line_with_what_would_put_it_right(stops: float, said: str | None):
    camera = replace(api.open_scene(BASE).stage.cameras["A"], t_number=2.8, iso=1600.0)
    grey = np.full((4, 6, 3), 0.18 * 2.0**stops / exposure_scale(camera), np.float32)
    line = lost_frame(camera, whole_frame(camera, grey))
    assert (line is None) == (said is None)
    if line is not None and said is not None:
        assert said in line and "exposure: auto" in line
        assert ("ISO 50, ND 1.5, T15.8 or" in line) == (stops > 0.0)


def test_auto_and_a_set_iso_exclude_each_other():
    with pytest.raises(InputError, match="auto chooses iso and nd_density itself"):
        api.open_scene(BASE, ("A.exposure=auto", "A.iso=400"))
