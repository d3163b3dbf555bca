"""The spot meter reads the degree it is pointed at."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.measure.light.spots import Spot, read_spot
from previz.render.contract import LightLayers
from previz.render.readings import Readings

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parent / "bad_setups" / "base.yaml"


def test_a_spot_sees_its_own_degree_and_no_more():
    stage = api.open_scene(BASE).stage
    width, height = stage.cameras["A"].picture_size(192)
    picture = np.zeros((height, width, 3), np.float32)
    picture[:, : width // 2] = 40.0
    picture[:, width // 2 :] = 10.0
    dark, far = np.zeros_like(picture), np.full((height, width), 5.0, np.float32)
    things = np.ones((height, width), np.uint16)
    light = LightLayers({"key": picture}, dark, dark, far, things, 1)
    readings = Readings({}, {"A": light})
    left = read_spot(Spot("A", 25.0, 50.0), stage, readings)
    right = read_spot(Spot("A", 75.0, 50.0), stage, readings)
    assert left.luminance_cd_m2 == pytest.approx({"key": 40.0, "total": 40.0}, rel=1e-4)
    assert left.stops_over_grey - right.stops_over_grey == pytest.approx(2.0, abs=1e-3)
    assert left.thing == stage.things[0].name
    # 18 % grey of the camera's settings: 250 T^2 / (t S) lx on a card, times 0.18 / pi.
    camera = stage.cameras["A"]
    grey = 0.18 / np.pi * 250.0 * camera.t_number**2 / (camera.shutter_s * camera.iso)
    assert left.stops_over_grey == pytest.approx(np.log2(40.0 / grey), abs=1e-3)


@pytest.mark.parametrize("text", ["A", "A:50", ":50,50", "A:50,101", "A:x,y", "A:-1,2", "A:1,2,3"])
def test_what_is_no_spot_is_told_what_one_is(text: str):
    with pytest.raises(ValueError, match="a spot is CAMERA:LEFT,TOP"):
        Spot.parse(text)


def test_a_spot_in_no_camera_is_refused():
    stage = api.open_scene(BASE).stage
    with pytest.raises(ValueError, match="there is no camera C; the scene has A, B"):
        read_spot(Spot("C", 50.0, 50.0), stage, Readings({}, {}))
