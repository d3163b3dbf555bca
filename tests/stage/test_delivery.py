"""Cameras are framed for the shape that is delivered first; the others are cut out of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz import api
from previz.deliver.exports.guides import delivered
from previz.errors import InputError

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"


@pytest.mark.parametrize(
    ("shape", "aspect"),
    [("16x9", 16 / 9), ("2.39x1", 2.39), ("4x5", 0.8), ("1x1", 1.0), ("9x16", 9 / 16)],
)
def test_the_frame_has_the_first_shape_and_is_as_much_of_the_recording_as_can_be(
    shape: str, aspect: float
):
    opened = api.open_scene(BASE, (f"picture.delivery=[{shape}]",))
    camera, kit = opened.stage.cameras["A"], opened.stage.setups["A"].kit
    whole = kit.recorded
    assert camera.aspect == pytest.approx(aspect, rel=1e-6)
    assert kit.mode.width_px / kit.mode.height_px == pytest.approx(aspect, rel=2e-3)
    sides = (kit.mode.width_mm / whole.width_mm, kit.mode.height_mm / whole.height_mm)
    assert max(sides) == pytest.approx(1.0) and min(sides) <= 1.0
    upright = min(aspect, 1.0)
    assert opened.scene.picture.width_px == pytest.approx(1280 * upright, abs=1)


def test_a_point_aimed_at_lies_where_it_shall_in_the_delivered_frame():
    stage = api.open_scene(BASE, ("picture.delivery=[9x16]",)).stage
    eyes = stage.people["guest"].landmarks["eyes"]
    at = stage.cameras["A"].project(eyes, 100, 100)[0]
    assert at == pytest.approx((42.0, 30.0), abs=0.5)


def test_guides_draw_what_is_cut_out_and_leave_out_what_is_not_in_the_frame():
    delivery = ("2.39x1", "9x16")
    opened = api.open_scene(BASE, (f"picture.delivery=[{', '.join(delivery)}]",))
    framing = api.check_scene(opened).measured.cameras["A"].framing
    assert framing is not None
    cut = framing.crops["vertical_9_16"]
    whole = opened.stage.setups["A"].kit.recorded
    wide = 9 / 16 * whole.height_mm / whole.width_mm
    assert (cut.right_pct - cut.left_pct) / 100.0 == pytest.approx(wide, rel=2e-3)
    # Higher than the frame: only its sides are in it.
    rules = list(delivered((1000, 418), framing, delivery))
    assert [rule.along for rule in rules] == ["y", "y"]
    assert rules[0].at_px == pytest.approx(10.0 * cut.left_pct)


def test_no_shape_is_delivered_twice():
    with pytest.raises(InputError, match="each shape is delivered once"):
        api.open_scene(BASE, ("picture.delivery=[9x16, 9x16]",))
