"""A scene's LM-63 files: what they do to its lights, and how their faults are told."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.physics.beam import mean_of_table
from previz.scenefile import read_scene
from previz.stage.build import build_stage

CATALOG = Catalog.load()
FILE = (
    "IESNA:LM-63-2002\nTILT={tilt}\n1 -1 1.0 4 1 1 2 0.1 0.1 0\n1 1 50\n"
    "0 30 60 90\n0\n1000 800 300 0\n"
)
SCENE = """previz: 1
title: A measured light
room: {width_m: 6, depth_m: 7, height_m: 2.8}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 2.8
    place: {at_m: [0, -2.4], height_m: 1.2}
    aim_m: [0, 0, 1.2]
    focus_distance_m: 2.4
lights:
  key:
    fixture: panel_40
    place: {at_m: [1, 0], height_m: 2.0}
    aim_m: [0, 0, 1.2]
    ies: lamp.ies
    MORE
"""


def built(folder: Path, text: str, more: str = "on: true"):
    (folder / "lamp.ies").write_text(text)
    path = folder / "scene.yaml"
    path.write_text(SCENE.replace("MORE", more))
    draft = read_scene(path, CATALOG)
    assert draft.problems == []
    return build_stage(draft.scene, CATALOG, draft.folder, draft.digest, draft.places)


def flux_lm(emitter) -> float:
    return (
        math.pi * emitter.shape.area_m2 * emitter.luminance_cd_m2 * mean_of_table(emitter.profile)
    )


def test_the_flux_is_the_files(tmp_path):
    """By exact integration 2404.72 lm, times the dimmer."""
    stage, problems = built(tmp_path, FILE.format(tilt="NONE"), "dimmer_pct: 40")
    assert problems == []
    assert flux_lm(stage.emitters[0]) == pytest.approx(0.4 * 2404.72, rel=1e-3)


def test_the_lamp_gives_less_when_it_is_tilted(tmp_path):
    """Aimed 51.34 degrees off straight down; 0.8 there by the file's table."""
    tilt = "INCLUDE\n1\n2\n0 90\n1.0 " + f"{1 - 0.2 * 90 / math.degrees(math.atan2(1, 0.8)):.9f}"
    stage, _ = built(tmp_path, FILE.format(tilt=tilt))
    assert flux_lm(stage.emitters[0]) == pytest.approx(0.8 * 2404.72, rel=1e-3)


def test_gels_and_egg_crate_go_before_a_measured_light(tmp_path):
    bare, _ = built(tmp_path, FILE.format(tilt="NONE"))
    nd, _ = built(tmp_path, FILE.format(tilt="NONE"), "gels: [nd_0.3]")
    soft, _ = built(tmp_path, FILE.format(tilt="NONE"), "gels: [diffusion_half]")
    grid, _ = built(tmp_path, FILE.format(tilt="NONE"), "grid_deg: 50")
    whole = flux_lm(bare.emitters[0])
    assert flux_lm(nd.emitters[0]) == pytest.approx(0.5012 * whole, rel=1e-9)
    assert flux_lm(soft.emitters[0]) == pytest.approx(0.65 * whole, rel=1e-3)
    assert flux_lm(grid.emitters[0]) < 0.2 * whole
    first = [e.luminance_cd_m2 * e.profile[0] for e in (bare.emitters[0], grid.emitters[0])]
    assert first[0] == pytest.approx(first[1], rel=1e-12)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            FILE.format(tilt="NONE").replace("800", "8oo"),
            "lights.key.ies: lamp.ies, line 7: candela values must be a number, found '8oo'",
        ),
        (
            FILE.format(tilt="NONE").replace("0 30 60 90", "90 120 150 180"),
            "lights.key.ies: lamp.ies, all of its light goes backwards, beyond 90 degrees",
        ),
    ],
    ids=["word", "backwards"],
)
def test_what_is_wrong_in_the_file_is_told_where_the_scene_names_it(tmp_path, text, message):
    stage, problems = built(tmp_path, text)
    assert [problem.message for problem in problems] == [message]
    assert problems[0].place.line == 18
    assert len(stage.emitters) == 1


def test_light_that_goes_backwards_is_told(tmp_path):
    text = FILE.format(tilt="NONE").replace("0 30 60 90", "0 90 120 180")
    stage, problems = built(tmp_path, text.replace("1000 800 300 0", "100 100 100 100"))
    assert problems == []
    assert any("50% of the light in lamp.ies goes backwards" in note for note in stage.notes)


def test_an_off_light_keeps_its_measured_beam(tmp_path):
    on, _ = built(tmp_path, FILE.format(tilt="NONE"))
    off, _ = built(tmp_path, FILE.format(tilt="NONE"), "on: false")
    assert off.emitters[0].luminance_cd_m2 == 0.0
    np.testing.assert_array_equal(on.emitters[0].profile, off.emitters[0].profile)
