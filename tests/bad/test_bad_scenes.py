"""Broken scenes, each beside the exact lines that it must give.

`NNN_what.yaml`, or a folder with a `scene.yaml`, and `NNN_what.txt`. The scene file is called
scene.yaml in the lines, whatever its name here.
"""

from __future__ import annotations

import functools
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.scenefile import SceneDraft, read_scene

HERE = Path(__file__).parent
CASES = sorted(path for path in HERE.iterdir() if path.name[0].isdigit() and path.suffix != ".txt")
JARGON = ("Input should", "pydantic", "NoneType", "Traceback", "dict", "value_error", "literal")


@functools.cache
def catalog() -> Catalog:
    return Catalog.load()


def lines_of(draft: SceneDraft, case: Path) -> list[str]:
    folder = case if case.is_dir() else case.parent
    return [
        str(problem).replace(f"{folder}/", "").replace(case.name, "scene.yaml")
        for problem in draft.problems
    ]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_gives_exactly_these_lines(case: Path) -> None:
    expected = case.with_name(f"{case.stem}.txt").read_text(encoding="utf-8").splitlines()
    assert lines_of(read_scene(case, catalog()), case) == expected


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_lines_are_plain_and_point_somewhere(case: Path) -> None:
    draft = read_scene(case, catalog())
    assert draft.problems
    for problem in draft.problems:
        assert problem.place.line > 0
        assert problem.place.file in draft.files
        assert problem.message.isprintable()
        assert not any(word in problem.message for word in JARGON)
    assert len(set(draft.problems)) == len(draft.problems)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_remains_is_a_scene_without_problems(case: Path) -> None:
    draft = read_scene(case, catalog())
    if draft.scene is not None:
        assert draft.scene.cameras
        for camera in draft.scene.cameras.values():
            catalog().lens(camera.lens)
            assert camera.mode in catalog().sensor(camera.sensor).modes
            assert camera.aim is None or camera.aim in draft.scene.people


def test_there_are_enough_of_them() -> None:
    assert len(CASES) >= 60
