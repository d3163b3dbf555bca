"""Findings on windows by night, which mirror the lit room."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from previz.measure.light.mirrored import Mirrored, mirrored
from previz.measure.measured import Measured
from previz.measure.rules.findings import GEOMETRY, Finding
from previz.scenefile.wording import listed

CURES: dict[str, tuple[Literal["warning", "note"], str]] = {
    "light": ("warning", "move it or the camera, turn it, or draw a curtain"),
    "camera": ("note", "move it, hang black cloth round it, or draw a curtain"),
}


def mirror_findings(measured: Measured) -> Iterator[Finding]:
    """Lights and cameras mirrored in dark panes that a camera sees."""
    stage = measured.stage
    for name, camera in stage.cameras.items():
        found = list(mirrored(stage, camera))
        for window, kind in dict.fromkeys((one.window, one.kind) for one in found):
            yield _finding(name, window, kind, found)


def _finding(camera: str, window: str, kind: str, found: list[Mirrored]) -> Finding:
    names = dict.fromkeys(o.name for o in found if (o.window, o.kind) == (window, kind))
    severity, cure = CURES[kind]
    them = [f"{kind} {name}" if name != camera or kind == "light" else "itself" for name in names]
    return Finding(
        "night_mirror",
        severity,
        f"cameras.{camera}",
        f"by night {window} mirrors the room, and camera {camera} sees {listed(them, 'and')} in "
        f"it, unless something stands between: {cure}",
        source=f"{GEOMETRY}; the law of reflection",
    )
