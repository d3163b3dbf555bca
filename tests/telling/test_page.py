"""Numbers and findings as the page shows them: the words of the report, sorted by what they say."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

from previz.measure.light.light import light_numbers
from previz.measure.report import Report
from previz.render.readings import Readings
from previz.telling.page import facts_json
from previz.telling.report_text import report_lines

LIT = """\
lights:
  key: {fixture: panel_60x40, aim: guest, dimmer_pct: 40,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.5}}
  fill: {fixture: panel_60x40, aim: guest, dimmer_pct: 10,
         place: {side: camera_left, azimuth_deg: 30, elevation_deg: 10, distance_m: 1.9}}
"""


def test_without_light_there_are_numbers_and_findings(measure: Callable[[str], Report]) -> None:
    report = measure("")
    facts = facts_json(report)
    assert facts["light"] is None
    told = "\n".join(report_lines(report))
    rows = facts["cameras"]["A"]
    assert [key for key, _ in rows][:2] == ["lens", "angles"] and all(t in told for _, t in rows)
    assert len(facts["findings"]) == len(report.findings) > 0
    json.dumps(facts, allow_nan=False)


def test_light_is_told_by_face_and_by_camera(
    measure: Callable[[str], Report], readings_of: Callable[..., Readings]
) -> None:
    report = measure(LIT)
    stage = report.measured.stage
    readings = readings_of(stage, {"key": 200.0, "fill": 50.0})
    lit = replace(report, light=light_numbers(stage, readings))
    light = facts_json(lit)["light"]
    first, ratio, *_ = light["faces"]["guest"]
    assert first == "250 lx: key 200, fill 50"
    assert ratio.startswith("key : fill 4.0 : 1 (+2.0 stops)")
    assert any(line.startswith("face of guest") for line in light["cameras"]["A"])
    told = [line.strip() for line in report_lines(lit)]
    assert all(line in told for line in [*light["faces"]["guest"], *light["cameras"]["A"]])
