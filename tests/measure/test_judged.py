"""A camera that sees a profile is set by the lit skin it sees, and all on a face alike."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz import api
from previz.measure.light.in_frame import Region
from previz.measure.light.judged import judged_lx, lit_skin_stops, sees_side
from previz.measure.light.settings import skin_over_card

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parent / "bad_setups" / "base.yaml"
SIDE = ("B.place.at_m=[-2.2, 0.1]",)
SKIN = Region(10.0, {}, -0.3, 1.0, (-3.0, -3.0, -2.0, -2.0, 0.2, 0.2, 0.2, 0.2))
"""Half in the shade, half lit at 0.2 stops over grey."""


def judged(settings: tuple[str, ...], camera: str, skin: Region | None = SKIN) -> float:
    stage = api.open_scene(BASE, settings).stage
    return judged_lx(
        stage, camera, "guest", meter_lx=20.0, lit_side_lx=90.0, set_for_lx=100.0, skin=skin
    )


def test_the_shadow_side_does_not_count_as_lit_skin():
    assert lit_skin_stops(SKIN) == pytest.approx(0.2)


def test_from_the_front_the_meter_decides_and_from_the_side_the_lit_skin():
    stage = api.open_scene(BASE, SIDE).stage
    assert not sees_side(stage, "A", "guest") and sees_side(stage, "B", "guest")
    assert judged((), "A") == 20.0
    over = skin_over_card(stage, "guest")
    assert over is not None
    assert judged(SIDE, "B") == pytest.approx(100.0 * 2.0 ** (0.2 - over))
    assert judged(SIDE, "B", skin=None) == 90.0, "out of the frame, the lit side's meter"
