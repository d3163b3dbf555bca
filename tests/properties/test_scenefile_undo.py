"""Every value of the shipped scenes can be written over, and what was written can be undone."""

from __future__ import annotations

import copy
import functools
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.catalog import Catalog
from previz.errors import InputError
from previz.scenefile.history import History
from previz.scenefile.writing import Edit, edited
from previz.scenefile.written import as_written, same
from previz.scenefile.yaml_tree import plain, read_tree

SCENES = sorted(Path("scenes").glob("*/*.yaml"))
SOME = settings(max_examples=40, derandomize=True, database=None, deadline=None)


def trails(data: dict[str, Any], above: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for key, value in data.items():
        found.append((*above, key))
        if isinstance(value, dict):
            found += trails(value, (*above, key))
    return found


def content(text: str) -> dict[str, Any]:
    reading = read_tree(text, Path("scene.yaml"))
    assert reading.problems == []
    assert reading.root is not None
    data = plain(reading.root)
    assert isinstance(data, dict)
    return data


def at(data: Any, trail: tuple[str, ...]) -> Any:
    for key in trail:
        data = data[key]
    return data


def wanted(data: dict[str, Any], trail: tuple[str, ...], value: Any) -> dict[str, Any]:
    data = copy.deepcopy(data)
    group = at(data, trail[:-1])
    if value is None:
        del group[trail[-1]]
    else:
        group[trail[-1]] = as_written(trail[-1], value)
    return data


@pytest.mark.parametrize("path", SCENES, ids=str)
def test_every_value_of_the_shipped_scenes(path: Path) -> None:
    before = path.read_text(encoding="utf-8")
    data = content(before)
    for number, trail in enumerate(t for t in trails(data) if t[0] != "based_on"):
        value = (0.125, None, [1.5, 2.5], "word", 0.125)[number % 5]
        after = edited(before, [Edit(".".join(trail), value)])
        assert same(content(after), wanted(data, trail, value))
        if isinstance(at(data, trail), (int, float)) and value is not None:
            pairs = zip(before.splitlines(), after.splitlines(), strict=True)
            assert sum(old != new for old, new in pairs) == 1


@functools.cache
def catalog() -> Catalog:
    return Catalog.load()


SLIDES: tuple[tuple[str, tuple[Any, ...]], ...] = (
    ("key.dimmer_pct", (3, 55.5, 100)),
    ("key.cct_k", (3200, 4300.0)),
    ("A.focal_length_mm", (35, 24.00000001, None, 900)),
    ("A.f_number", (2.8, 11.3137, -1)),
    ("A.nd_density", (0.3, None, 1.2)),
    ("A.place.at_m", ([0.1, -2.4], [0.2, -2.3333333])),
    ("A.place.height_m", (1.2, None)),
    ("exposure.white_balance", (4, None)),
    ("exposure.iso", (400, 1600)),
    ("title", ("Another: day", "Evening")),
)


@SOME
@given(
    st.sampled_from(SCENES),
    st.lists(st.sampled_from([(p, v) for p, values in SLIDES for v in values]), max_size=6),
)
def test_undo_gives_back_every_byte(path: Path, moves: list[tuple[str, Any]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for file in path.parent.glob("*.yaml"):
            (Path(folder) / file.name).write_bytes(file.read_bytes())
        scene = Path(folder) / path.name
        history = History(scene, catalog())
        states = [scene.read_bytes()]
        for where, value in moves:
            try:
                history.write([Edit(where, value)])
            except InputError:
                assert scene.read_bytes() == states[-1]
            if scene.read_bytes() != states[-1]:
                states.append(scene.read_bytes())
        for state in reversed(states[:-1]):
            history.undo()
            assert scene.read_bytes() == state
        assert not history.can_undo
        for state in states[1:]:
            history.redo()
            assert scene.read_bytes() == state
        assert not history.can_redo
        assert sorted(p.name for p in Path(folder).iterdir()) == sorted(
            p.name for p in path.parent.glob("*.yaml")
        )
