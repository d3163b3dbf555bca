"""What checking a scene file found, as `previz check --json` prints it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from previz.errors import Problem
from previz.measure.rules.findings import Finding
from previz.telling.quantities import told


def check_json(
    scene: str,
    *,
    title: str | None = None,
    problems: Iterable[Problem] = (),
    notes: Sequence[str] = (),
    findings: Iterable[Finding] | None = None,
) -> dict[str, Any]:
    """By name. A scene that does not read has problems, and neither title nor findings."""
    raw: dict[str, Any] = {
        "scene": scene,
        "title": title,
        "problems": [
            {
                "file": str(problem.place.file),
                "line": problem.place.line or None,
                "column": problem.place.column or None,
                "message": problem.message,
            }
            for problem in problems
        ],
        "notes": list(notes),
    }
    if findings is not None:
        raw["findings"] = [asdict(finding) for finding in findings]
    found: dict[str, Any] = told(raw)
    return found
