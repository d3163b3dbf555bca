"""Numbers and findings as a page shows them beside the pictures: rows of words."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from previz.measure.report import Report
from previz.telling.light_text import camera_light_lines, face_light_lines
from previz.telling.quantities import told
from previz.telling.report_text import camera_rows


def facts_json(report: Report) -> dict[str, Any]:
    """`findings`; `cameras`: label and text of each number; `light`, once it was read, in lines."""
    measured, light = report.measured, report.light
    findings = told({"findings": [asdict(finding) for finding in report.findings]})
    return {
        **findings,
        "cameras": {
            name: [list(row) for row in camera_rows(numbers)]
            for name, numbers in measured.cameras.items()
        },
        "light": None
        if light is None
        else {
            "faces": {name: [*face_light_lines(face)] for name, face in light.faces.items()},
            "cameras": {
                name: [*camera_light_lines(name, measured, light)] for name in light.cameras
            },
        },
    }
