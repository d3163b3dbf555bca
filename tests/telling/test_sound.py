"""Sound as it is told: a few lines, and names that other tools rely on."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz import api
from previz.measure.report import Report
from previz.telling.report_json import report_json
from previz.telling.report_text import report_lines

pytestmark = pytest.mark.usefixtures("mannequins")
SCENES = Path(__file__).parents[2] / "scenes"


@pytest.fixture
def report() -> Report:
    return api.check_scene(SCENES / "bookbinder")


def test_lines_say_what_the_json_says(report: Report) -> None:
    told, lines = report_json(report)["sound"], list(report_lines(report))
    section = lines[lines.index("Sound") :]
    section = section[1 : section.index("")]
    boom, clip = told["boom"], told["lavalier"]
    assert section[0].startswith(f"  room: {told['volume_m3']:.0f} m3, rings for ")
    assert section[1].startswith(f"  boom: {boom['distance_m']:.2f} m from the mouth of guest")
    assert f"{boom['under_lavalier_db']:.0f} dB under the lavalier" in section[1]
    assert [line for line in section if line.startswith("  boom and camera ")] == [
        f"  boom and camera {name}: {gap['clearance_cm']:.0f} cm over the frame's upper edge, "
        f"{gap['clearance_pct']:.0f} % of its height"
        for name, gap in boom["clearance"].items()
    ]
    assert section[-1].startswith(f"  lavalier: {clip['distance_m']:.2f} m from the mouth")


def test_json_has_every_band_and_what_makes_noise(report: Report) -> None:
    told = report_json(report)["sound"]
    assert list(told["reverberation_s"]) == [f"{hz}_hz" for hz in (125, 250, 500, 1000, 2000, 4000)]
    assert {"clock", "radiator", "key", "hair"} == set(told["noises"])
    assert set(told["boom"]["shadow_pct"]) >= {"key", "fill", "hair", "lamp", "window"}


def test_nothing_is_told_where_nothing_is_recorded() -> None:
    report = api.check_scene(SCENES / "first_light")
    told = report_json(report)["sound"]
    assert told["boom"] is None and told["lavalier"] is None
    assert told["speech_reverberation_s"] > 0.3
    assert "Sound" not in list(report_lines(report))
