"""What a frame rests on: all that is seen in it, and nothing that is not."""

from pathlib import Path

import pytest

from previz import api
from previz.stage.shown import shown_digests

SCENE = Path(__file__).parents[2] / "scenes" / "bookbinder"


def digests(*settings: str) -> dict[str, str]:
    opened = api.open_scene(SCENE, settings)
    return shown_digests(opened.stage, opened.scene.look, opened.lut)


@pytest.fixture(scope="module")
def before() -> dict[str, str]:
    return digests()


@pytest.mark.parametrize(
    ("setting", "touched"),
    [
        ("title=Another", ""),
        ("notes=Another", ""),
        ("B.f_number=4", "B"),
        ("B.focal_length_mm=100", "B"),
        ("cameras.B.place.at_m=[-1.4,-1.95]", "B"),  # B's tripod stands beside A's picture
        ("key.dimmer_pct=20", "AB"),
        ("lamp.dimmer_pct=44", "AB"),
        ("furniture.tea.turn_deg=50", "AB"),
        ("window.gel_nd=0.9", "AB"),
        ("exposure.white_balance={cct_k: 4000, card: null}", "AB"),
        ("look.view=video", "AB"),
        ("exposure.iso=400", "AB"),
        ("guest.hair=short", "AB"),
        ("targets.key_to_fill=2", ""),
        ("recording.hours=3", ""),
    ],
)
def test_a_frame_rests_on_what_is_seen_in_it(
    before: dict[str, str], setting: str, touched: str
) -> None:
    after = digests(setting)
    assert "".join(name for name in before if before[name] != after[name]) == touched


def test_gear_that_comes_into_the_picture_counts(before: dict[str, str]) -> None:
    after = digests("cameras.B.place.at_m=[-0.3,1.2]")
    assert after["A"] != before["A"]
