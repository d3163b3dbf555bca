"""The report as it is read aloud: trade words, sources of limits, one sense a word."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from previz.measure.report import Report
from previz.telling.report_json import report_json
from previz.telling.report_text import finding_lines, report_lines, sides_in_words

Measure = Callable[[str], Report]
PANEL = "{fixture: panel_40, aim: guest, place: {at_m: [%s, %s], height_m: 1.8}}"


def text(report: Report) -> str:
    return "\n".join(report_lines(report))


def test_lens_and_frame_in_the_trades_words(measure: Measure) -> None:
    said = text(measure(""))
    trade = ("mm on full frame, by width), f/4", "depth of field", "background", "room to crop to")
    for words in trade:
        assert words in said
    for words in ("sharp", "behind", "36 x 24", "head fits in"):
        assert words not in said


def test_stops_are_named_for_what_takes_the_light(measure: Measure) -> None:
    stops = report_json(measure(""))["cameras"]["A"]["stops"]
    assert "transmission" in stops
    assert not {"lens_glass", "extension", "close_focus"} & set(stops)


def test_every_finding_prints_what_its_limit_rests_on(measure: Measure) -> None:
    report = measure(f"lights: {{key: {PANEL % (1.5, -1.5)}}}\n")
    assert report.findings
    told = report_json(report)["findings"]
    lines = finding_lines(report.findings)
    for finding, line, one in zip(report.findings, lines, told, strict=True):
        assert line.endswith(f"[{finding.rule}: {finding.source}]") and finding.source
        assert one["source"] == finding.source
    assert list(finding_lines(())) == ["No findings."]


@pytest.mark.parametrize(
    ("west", "east", "said"),
    [
        (-0.6, 0.6, "camera A leaves no way past, 60 cm is usual"),
        (-1.2, 0.6, "to walk past, 60 cm is usual"),
    ],
)
def test_the_way_past_a_camera(measure: Measure, west: float, east: float, said: str) -> None:
    lights = f"west: {PANEL % (west, -2.6)}, east: {PANEL % (east, -2.6)}"
    report = measure(f"lights: {{{lights}}}\n")
    messages = [f.message for f in report.findings if f.rule == "aisle"]
    assert len(messages) == 1 and said in messages[0]


def test_sides_of_the_line_are_said_together() -> None:
    sides = {"A": "right", "B": "right", "C": "left", "D": "on_line"}
    assert sides_in_words(sides) == (
        "A and B on the right of the line, C on the left of the line, D on the line"
    )


def test_what_runs_on_is_continuous_and_a_fuse_blows(measure: Measure) -> None:
    heavy = "{fixture: fresnel_tungsten_650, aim: guest, place: {at_m: [1.5, -1.5], height_m: 2}}"
    lights = ", ".join(f"l{n}: {heavy}" for n in range(5))
    said = text(measure(f"lights: {{{lights}}}\npower: {{outlet: uk_13a}}\n"))
    assert "its fuse blows over 13 A" in said and "breaker" not in said
    assert "continuous:" in said and "every light at full" in said and "for hours" not in said
    said = text(measure(f"lights: {{{lights}}}\npower: {{outlet: eu_10a}}\n"))
    assert "its breaker trips over 10 A" in said and "continental Europe" in said


def test_full_frame_compares_widths(measure: Measure) -> None:
    """36 mm over the sensor's width, so that 16:9 of the whole width keeps its focal length."""
    report = measure("")
    lens = report_json(report)["cameras"]["A"]
    across = math.radians(lens["horizontal_angle_deg"])
    width_mm = 2.0 * lens["focal_length_mm"] * math.tan(across / 2.0)
    as_on_full_frame = lens["focal_length_mm"] * 36.0 / width_mm
    assert f"(as {as_on_full_frame:.0f} mm on full frame, by width)" in text(report)
