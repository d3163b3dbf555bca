"""Inverse questions answered back by the forward law; variants that keep what they promise."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.measure.measured import Measured, Ruler, measure
from previz.physics import focus
from previz.scenefile import read_scene
from previz.solve.lens import Wishes, answers
from previz.solve.variants import Comparing, stage_with, without_gear
from previz.stage.build import build_stage
from previz.telling.comparison import variant_remark

pytestmark = pytest.mark.usefixtures("mannequins")

BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"


@pytest.fixture
def measured(mannequins: None) -> Measured:
    del mannequins
    catalog = Catalog.load()
    draft = read_scene(BASE, catalog)
    assert draft.scene is not None
    stage, _ = build_stage(draft.scene, catalog, draft.folder, "", draft.places)
    return measure(stage, draft.scene.rules, draft.scene.targets)


def comparing(measured: Measured, name: str = "A") -> Comparing:
    return Comparing(measured.stage, Catalog.load(), name)


def test_the_stop_for_a_blur_gives_that_blur(measured: Measured) -> None:
    [answer] = answers(measured, Wishes("A", blur_pct_width=0.8))
    o = measured.cameras["A"].optics
    width = measured.cameras["A"].kit.mode.width_mm
    blur = focus.blur_disc(
        o.focal_length_mm, answer.value, 1000 * o.focus_distance_m, 1000 * o.background_distance_m
    )
    assert blur / width == pytest.approx(0.008)
    assert answer.within_reach
    [wide] = answers(measured, Wishes("A", blur_pct_width=8.0))
    assert not wide.within_reach and "but the lens goes from f/2.8" in wide.message


def test_the_distance_for_a_depth_of_field_gives_that_depth(measured: Measured) -> None:
    [answer] = answers(measured, Wishes("B", depth_m=0.3))
    o = measured.cameras["B"].optics
    depth = focus.depth_of_field(
        o.focal_length_mm, o.f_number, o.circle_of_confusion_mm, 1000 * answer.value
    )
    assert depth.total == pytest.approx(300.0, rel=1e-6)


def test_the_focal_length_for_a_size_gives_that_size(measured: Measured) -> None:
    [answer] = answers(measured, Wishes("A", size="close_up"))
    [variant] = comparing(measured).focal([answer.value], "same_position")
    ruler = Ruler(measured.stage, measured.rules)
    framing = ruler.camera(variant.setup, variant.placed).framing
    assert framing is not None and framing.shot_size == "close_up"
    assert framing.head_height_pct == pytest.approx(math.sqrt(46.0 * 72.0), rel=0.01)
    with pytest.raises(ValueError, match="no camera Z"):
        answers(measured, Wishes("Z", size="close_up"))


def test_same_size_keeps_the_head_and_moves_the_camera(measured: Measured) -> None:
    variants = comparing(measured).focal([35.0, 54.0, 85.0], "same_size")
    ruler = Ruler(measured.stage, measured.rules)
    base = measured.cameras["A"].framing
    assert base is not None
    away = []
    for variant in variants:
        numbers = ruler.camera(variant.setup, variant.placed)
        assert numbers.framing is not None
        assert numbers.framing.head_height_pct == pytest.approx(base.head_height_pct, rel=0.01)
        assert numbers.framing.headroom_pct == pytest.approx(base.headroom_pct, abs=0.3)
        assert numbers.framing.eye_from_left_pct == pytest.approx(base.eye_from_left_pct, abs=0.1)
        away.append(numbers.optics.subject_distance_m)
    assert away == sorted(away)
    moved = variants[1].placed.position_m - measured.stage.cameras["A"].position_m
    assert np.abs(moved).max() < 2e-3
    assert variants[2].outside_m > 0.0 and variants[1].outside_m == 0.0


def test_other_stops_are_equally_bright(measured: Measured) -> None:
    for variant in comparing(measured).stop([2.8, 5.6, 11.0]):
        light = variant.placed.iso / variant.placed.t_number**2
        base = measured.stage.cameras["A"]
        assert light == pytest.approx(base.iso / base.t_number**2)


def test_sensors_distances_and_heights_are_as_asked(measured: Measured) -> None:
    made = comparing(measured)
    [sensor] = made.sensor(["full_frame"])
    assert sensor.placed.sensor_width_m == pytest.approx(0.036)
    [near] = made.distance([1.5])
    eyes = measured.stage.people["guest"].landmarks["eyes"]
    assert np.linalg.norm((near.placed.position_m - eyes)[:2]) == pytest.approx(1.5)
    [high] = made.height([1.6])
    assert high.placed.position_m[2] == pytest.approx(1.6)
    for variant in (sensor, near, high):
        x, y = variant.placed.project(eyes, 100, 100)[0]
        assert (x, y) == pytest.approx((42.0, 30.0), abs=1e-6)


def test_variants_do_not_see_their_own_gear_nor_the_wall_they_stand_behind(
    measured: Measured,
) -> None:
    [far] = comparing(measured).focal([85.0], "same_size")
    stage = stage_with(measured.stage, "A", [far])
    assert set(stage.cameras) == {far.placed.name}
    assert not any(thing.owner == "A" for thing in stage.things)
    ruler = Ruler(stage, measured.rules)
    assert ruler.camera(far.setup, far.placed).in_frame["people.guest"] > 10.0


def test_the_cameras_own_gear_is_no_finding_in_the_frames_of_its_variants(
    measured: Measured,
) -> None:
    """From behind its own tripod, which is not there then; other gear is named as what it is."""
    [far] = comparing(measured).focal([70.0], "same_size")
    as_it_stands = Ruler(measured.stage, measured.rules).camera(far.setup, far.placed)
    assert "camera A" in variant_remark(as_it_stands, far)
    ruler = Ruler(without_gear(measured.stage, "A"), measured.rules)
    assert "camera A" not in variant_remark(ruler.camera(far.setup, far.placed), far)


def test_a_zoom_is_not_compared_at_lengths_it_has_not(measured: Measured) -> None:
    comparing(measured).refuse_beyond_zoom([24.0, 70.0])
    with pytest.raises(ValueError, match="85 mm is not on the lens of camera A, which has 24"):
        comparing(measured).refuse_beyond_zoom([35.0, 85.0])
