"""Whatever is given with --set, and whatever a file is based on, reading it never fails."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from previz.catalog import Catalog
from previz.scenefile import read_scene

SCENE = """\
previz: 1
title: Luthier at her bench
room: {width_m: 6, depth_m: 7, height_m: 2.8}
people:
  guest: {at_m: [0, 0], seat: side_chair}
cameras:
  A: {sensor: full_frame, lens: prime_50_f1.8, f_number: 2.8, aim: guest,
      place: {at_m: [0, -2.4], height: eye}}
lights:
  key: {fixture: softbox_90, aim: guest, place: {at_m: [1, -1], height_m: 2}}
"""
PATHS = st.sampled_from(
    [
        "key.dimmer_pct",
        "A.f_number",
        "cameras.A",
        "people",
        "room.scan",
        "title",
        "guest.at_m",
        "lights.key.place",
        "based_on",
        "nobody.x",
        "exposure.white_balance.card",
        "",
        "a..b",
    ]
) | st.text(max_size=10)
VALUES = st.sampled_from(
    ["1", "null", "~", "no", "[", "{}", "[1, 2]", "{at_m: [0, 1]}", "&a [*a]", "!!set {}", "", "é"]
) | st.text(max_size=12)
BASES = st.sampled_from(
    ["day.yaml", "[day.yaml, day.yaml]", "scene.yaml", "[]", "null", "3", "{}", "../x", "/", "*x"]
) | st.text(max_size=8)
QUICK = settings(max_examples=150, derandomize=True, database=None, deadline=None)


@functools.cache
def catalog() -> Catalog:
    return Catalog.load()


@QUICK
@given(st.lists(st.tuples(PATHS, VALUES), max_size=3))
def test_any_setting(pairs: list[tuple[str, str]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.yaml"
        path.write_text(SCENE)
        draft = read_scene(path, catalog(), tuple(f"{key}={value}" for key, value in pairs))
    assert draft.scene is not None or draft.problems
    for problem in draft.problems:
        assert problem.message.isprintable()
        assert problem.place.file in (path, Path("--set"))


@QUICK
@given(BASES)
def test_any_base(base: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.yaml"
        (Path(folder) / "day.yaml").write_text(SCENE)
        path.write_bytes(f"title: Evening\nbased_on: {base}\n".encode("utf-8", "replace"))
        draft = read_scene(path, catalog())
    assert draft.scene is not None or draft.problems
    for problem in draft.problems:
        assert problem.message.isprintable()
        assert problem.place.line >= 1
