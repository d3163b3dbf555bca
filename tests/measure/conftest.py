"""A plain room with one guest and one camera, changed by each test as it needs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.measure.report import Report, measure_set
from previz.scenefile import read_scene
from previz.stage.build import build_stage

CATALOG = Catalog.load()
PLAIN = """\
previz: 1
title: Plain room
room: {width_m: 6, depth_m: 8, height_m: 3}
people:
  guest: {at_m: [0, 0], seat: stool, turn_deg: 0, stature_cm: 165}
cameras:
  A:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 70
    f_number: 4
    place: {at_m: [0, -2.5], height: eye}
    aim: guest
    aim_from_top_pct: 36
"""
Measure = Callable[[str], Report]


@pytest.fixture
def measure(tmp_path: Path, mannequins: None) -> Measure:
    """Measures the plain room with further blocks of YAML under it."""

    def run(more: str) -> Report:
        path = tmp_path / "scene.yaml"
        path.write_text(PLAIN + more, encoding="utf-8")
        draft = read_scene(path, CATALOG)
        assert draft.scene is not None and not draft.problems, draft.problems
        stage, problems = build_stage(draft.scene, CATALOG, tmp_path, "", draft.places)
        assert not problems
        return measure_set(stage, draft.scene.rules, draft.scene.targets)

    return run


@pytest.fixture
def plain() -> str:
    """The plain room as text."""
    return PLAIN
