"""One example worked by hand, from a lamp's lumens to the stop and to the grey of the picture.

A matt panel of 0.6 x 0.6 m gives 6000 lm. A face is 1.5 m before its middle, turned to it.

    luminance       L = flux / (pi A) = 6000 / (pi 0.36)                    = 5305.2 cd/m2
    share of view   F, parallel rectangle, 0.6 x 0.6 m at 1.5 m (Howell B-3,
                    number from memory): A = B = 0.2
                    F = 4 / 2 pi x 2 x 0.2 / sqrt(1.04) x atan(0.2 / sqrt(1.04)) = 0.048371
    at the face     E = pi L F                                              = 806.2 lx
    as of a point   I = flux / pi = 1909.9 cd, I / d2                       = 848.8 lx, 5.3 % more
    the meter       N = sqrt(E t S / C), 1/50 s, ISO 800, C = 250 (ISO 2720) = T7.18
    18 % card       L = 0.18 E / pi                                         = 46.19 cd/m2
    its luminance in the picture at T7.18                                   = 0.18
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from previz.develop.exposure import exposure_scale
from previz.geometry.piece import Piece
from previz.measure.light.light import set_for_lx, stops_between
from previz.model.lights import Light
from previz.model.records import Fixture
from previz.physics.colour import LUMINANCE_WEIGHTS, luminance
from previz.physics.exposure import stop_for_illuminance
from previz.render.contract import Ability, RenderSettings
from previz.stage.emission import emission
from previz.stage.stage import Emitter

FACE_LX = 806.2
STOP = 7.18
FIXTURE = Fixture.model_validate(
    {
        "label": "a matt panel", "kind": "standard", "source": "made for a test",
        "form": "softbox", "width_m": 0.6, "height_m": 0.6, "flux_lm": 6000.0,
        "cct_k": [5600.0, 5600.0], "default_cct_k": 5600.0, "weight_kg": 1.0,
        "stand_footprint_m": 0.0, "stand_height_m": [1.0, 2.0],
    }
)  # fmt: skip
LIGHT = Light.model_validate(
    {"fixture": "panel", "place": {"at_m": [0, 0], "height_m": 1.5}, "aim_m": [0, 0, 0]}
)


@pytest.fixture
def panel(kit) -> Emitter:
    shape = kit.rectangle_light("key", kit.facing((0, 0, 1.5), (0, 0, -1)), 1.0, 0.6, 0.6).shape
    given = emission(FIXTURE, LIGHT, shape)
    return Emitter("key", "lights.key", shape, given.luminance_cd_m2, given.rgb, given.profile)


def test_the_panel_has_the_luminance_of_its_flux(panel):
    assert panel.luminance_cd_m2 == pytest.approx(6000.0 / (math.pi * 0.36), rel=1e-6)
    assert luminance(panel.rgb) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.needs(Ability.METER, Ability.BEAMS)
def test_the_meter_at_the_face_and_the_stop_it_gives(back_end, make_stage, kit, panel):
    stage = make_stage([], [panel], kit.camera())
    read = back_end.load(stage).meter(np.zeros((1, 3)), np.array([[0.0, 0.0, 1.0]]), 65536)
    lux = float(read["key"][0] @ LUMINANCE_WEIGHTS)
    assert lux == pytest.approx(FACE_LX, rel=0.01)
    assert stop_for_illuminance(lux, 0.02, 800.0) == pytest.approx(STOP, abs=0.04)


def test_a_camera_at_that_stop_has_the_face_at_grey(kit):
    at_it = kit.camera(f_number=STOP, t_number=STOP)
    assert set_for_lx(at_it) == pytest.approx(FACE_LX, rel=0.002)
    assert stops_between(FACE_LX, set_for_lx(at_it)) == pytest.approx(0.0, abs=0.003)
    opened = kit.camera(f_number=STOP / 2.0, t_number=STOP / 2.0)
    assert stops_between(FACE_LX, set_for_lx(opened)) == pytest.approx(2.0, abs=0.003)


@pytest.mark.needs(Ability.BOUNCES, Ability.BEAMS)
def test_an_18_per_cent_card_there_is_0_18_in_the_picture(back_end, make_stage, kit, panel):
    card = Piece("card", trimesh.creation.box((0.02, 0.02, 0.0002)), "grey")
    view = kit.camera(
        (0.0, -0.35, 0.35), (0, 0, 0), focal_length_m=1.2, focus_distance_m=0.495,
        f_number=400.0, t_number=STOP,
    )  # fmt: skip
    stage = make_stage([card], [panel], view, reflectance=0.18)
    exposing = back_end.load(stage).expose("A", RenderSettings(16, 8, 8192, 2, 5))
    exposing.advance(8192)
    seen = float(luminance(exposing.light().beauty[2:6, 5:11]).mean())
    assert seen == pytest.approx(0.18 * FACE_LX / math.pi, rel=0.01)
    assert seen * exposure_scale(view) == pytest.approx(0.18, rel=0.01)
