"""Fixtures of the catalogue with their housings, stands, gels and egg-crates, read by the meter.

Only what stands on the set is left out: the room would add its bounce.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.physics import beam, emitters
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.contract import Ability
from previz.scenefile import read_scene
from previz.stage.build import build_stage
from previz.stage.emission import beam_profile, grid_depth_over_cell, solid

pytestmark = pytest.mark.needs(Ability.METER, Ability.BEAMS)
CATALOG = Catalog.load()
SCENE = """previz: 1
title: One light
room: {width_m: 12, depth_m: 12, height_m: 3.5}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 2.8
    place: {at_m: [0, -5], height_m: 1.2}
    aim_m: [0, 0, 1.2]
    focus_distance_m: 2.4
    support: none
lights:
  key:
    fixture: FIXTURE
    place: {at_m: [0, 0], height_m: 2.0}
    aim_m: [0, 4, 2.0]
    MORE
"""


def direct_lux(back_end, folder: Path, fixture: str, points, more: str = "on: true") -> np.ndarray:
    """Lux at points in the light's frame (right, ahead, up) on receptors that face the light."""
    path = folder / "scene.yaml"
    path.write_text(SCENE.replace("FIXTURE", fixture).replace("MORE", more))
    draft = read_scene(path, CATALOG)
    assert draft.problems == []
    stage, _ = build_stage(draft.scene, CATALOG, draft.folder, draft.digest, draft.places)
    alone = replace(stage, things=tuple(t for t in stage.things if t.name == "lights.key"))
    at = np.array(points, float)
    facing = -at / np.linalg.norm(at, axis=1, keepdims=True)
    read = back_end.load(alone).meter(at + np.array([0.0, 0.0, 2.0]), facing, 16384)
    return read["key"] @ LUMINANCE_WEIGHTS


@pytest.mark.parametrize("distance_m", [1.0, 3.0])
@pytest.mark.parametrize(
    "fixture", ["panel_40", "panel_100x30", "softbox_90", "lantern_60", "tube_120"]
)
def test_a_fixture_gives_its_flux(back_end, tmp_path, fixture, distance_m):
    """Closed form: luminance from the flux, integrated over the face, on the axis."""
    record = CATALOG.fixture(fixture)
    pose = np.eye(4)
    faces = {
        "panel": EmitterShape("rectangle", pose, record.width_m or 0, record.height_m or 0),
        "softbox": EmitterShape("rectangle", pose, record.width_m or 0, record.height_m or 0),
        "lantern": EmitterShape("sphere", pose, radius_m=(record.diameter_m or 0) / 2),
        "tube": EmitterShape(
            "cylinder", pose, radius_m=(record.diameter_m or 0) / 2, length_m=record.length_m or 0
        ),
    }
    shape = solid(faces[record.form])
    profile = None if record.form in ("lantern", "tube") else beam_profile(record, None)
    away_m = (record.diameter_m or 0.0) / 2.0 + 0.0015
    hubs = 1.0 - away_m / np.hypot(0.055, away_m) if record.form == "lantern" else 0.0
    luminance = emitters.luminance_from_flux_cd_m2(shape, record.flux_lm / (1.0 - hubs), profile)
    expected = emitters.axis_illuminance_lx(shape, luminance, distance_m, profile)
    read = direct_lux(back_end, tmp_path, fixture, [[0.0, distance_m, 0.0]])
    assert read[0] == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    "fixture", ["lantern_60", "practical_bulb_led", "practical_bulb_60w", "tube_120"]
)
def test_the_flux_that_leaves_a_fixture_is_what_its_record_says(back_end, tmp_path, fixture):
    """By meters all round it: the mean over a sphere times the sphere's area, less what a near
    source adds, which at 5 m is under 0.5 %."""
    number = np.arange(400) + 0.5
    up, turn = 1.0 - number / 200.0, number * np.pi * (1.0 + np.sqrt(5.0))
    flat = np.sqrt(1.0 - up**2)
    ways = np.stack([flat * np.cos(turn), flat * np.sin(turn), up], axis=1)
    read = direct_lux(back_end, tmp_path, fixture, 5.0 * ways, "stand: none")
    flux_lm = float(read.mean()) * 4.0 * np.pi * 25.0
    assert flux_lm == pytest.approx(CATALOG.fixture(fixture).flux_lm, rel=0.01)


@pytest.mark.parametrize(
    ("fixture", "beam_deg", "lux"),
    [
        ("fresnel_150", 12, 9000), ("fresnel_150", 55, 880), ("fresnel_80", 15, 3000),
        ("fresnel_tungsten_650", 10, 5000), ("fresnel_tungsten_300", 50, 300),
    ],
)  # fmt: skip
def test_a_fresnel_gives_what_its_record_says(back_end, tmp_path, fixture, beam_deg, lux):
    """The catalogue's own estimate at 3 m, through open barn doors."""
    more = f"beam_deg: {beam_deg}"
    read = direct_lux(back_end, tmp_path, fixture, [[0.0, 3.0, 0.0]], more)
    assert read[0] == pytest.approx(lux, rel=0.01)


def test_open_doors_leave_the_beam_alone_and_shut_ones_cut_it(back_end, tmp_path):
    """50 degrees off a flood: open, the beam's own; with that leaf at 0, nothing."""
    off = np.radians(50.0)
    points = [[3.0 * np.sin(off), 3.0 * np.cos(off), 0.0], [0.0, 3.0, 0.0]]
    free = direct_lux(back_end, tmp_path, "fresnel_150", points, "beam_deg: 55")
    doors = "beam_deg: 55\n    barn_doors: {right_deg: 0}"
    cut = direct_lux(back_end, tmp_path, "fresnel_150", points, doors)
    profile = beam_profile(CATALOG.fixture("fresnel_150"), 55.0)
    by_beam = 880.0 * float(profile(off))
    assert free[0] == pytest.approx(by_beam, rel=0.02)
    assert cut[0] < 0.02 * free[0]
    assert cut[1] == pytest.approx(free[1], rel=0.01)


def test_an_egg_crate_keeps_the_axis_and_ends_where_it_says(back_end, tmp_path):
    """On the axis the integral over the face of what the cells let through; dark beyond it."""
    off = np.radians(42.0)
    points = [[0.0, 5.5, 0.0], [5.5 * np.sin(off), 5.5 * np.cos(off), 0.0]]
    box = emitters.Rectangle(0.6, 0.6)
    cells = beam.through_grid(beam.lambertian(), grid_depth_over_cell(60.0))
    luminance = emitters.luminance_from_flux_cd_m2(box, 5700.0)
    grid = direct_lux(back_end, tmp_path, "softbox_60", points, "grid_deg: 60")
    by_hand = emitters.axis_illuminance_lx(box, luminance, 5.5, cells)
    assert grid[0] == pytest.approx(by_hand, rel=0.01)
    assert grid[1] == 0.0


def test_gels_and_dimmer_multiply_at_the_meter(back_end, tmp_path):
    point = [[0.0, 2.0, 0.0]]
    bare = direct_lux(back_end, tmp_path, "softbox_60", point)
    more = "dimmer_pct: 40\n    gels: [orange_half, nd_0.3]"
    dressed = direct_lux(back_end, tmp_path, "softbox_60", point, more)
    assert dressed[0] / bare[0] == pytest.approx(0.4 * 0.73 * 0.5012, rel=1e-4)
