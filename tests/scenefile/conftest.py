"""A sound scene to start from, and a way to read changed copies of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.scenefile import SceneDraft, read_scene

SCENE = """\
previz: 1
title: Luthier at her bench
room: {width_m: 6, depth_m: 7, height_m: 2.8}
openings:
  window: {wall: west, along_m: 2, width_m: 2.2, sill_m: 0.9, height_m: 1.4}
people:
  guest: {at_m: [0, 0], seat: side_chair, faces: host}
  host: {at_m: [0.5, -2.1], seat: side_chair, faces: guest}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 2.8
    place: {at_m: [0, -2.4], height: eye}
    aim: guest
lights:
  key:
    fixture: softbox_90
    aim: guest
    place: {side: camera_left, azimuth_deg: 45, elevation_deg: 35, distance_m: 1.6}
    dimmer_pct: 60
"""

Read = Callable[..., SceneDraft]


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    return Catalog.load()


@pytest.fixture
def read(tmp_path: Path, catalog: Catalog) -> Read:
    """Read the scene with (old, new) changes made to its text, or other files in its place."""

    def _read(
        *changes: tuple[str, str], sets: tuple[str, ...] = (), files: dict[str, str] | None = None
    ) -> SceneDraft:
        text = SCENE
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        for name, content in {"scene.yaml": text, **(files or {})}.items():
            path = tmp_path / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(content, encoding="utf-8")
        return read_scene(tmp_path, catalog, sets)

    return _read
