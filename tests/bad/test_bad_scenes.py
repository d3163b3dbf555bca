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


def test_what_remains_is_a_scene_without_problems() -> None:
    """Half of them lose no more than what is broken; the others have no room or no camera left."""
    remaining = {case.stem: read_scene(case, catalog()).scene for case in CASES}
    scenes = {case: scene for case, scene in remaining.items() if scene is not None}
    assert len(scenes) >= 0.45 * len(CASES)
    for case, scene in scenes.items():
        assert scene.cameras, case
        for camera in scene.cameras.values():
            catalog().lens(camera.lens)
            assert camera.mode in catalog().sensor(camera.sensor).modes, case
            assert camera.aim is None or camera.aim in scene.people, case


@pytest.mark.parametrize(
    ("case", "gone"),
    [
        ("082_person_outside", {"host"}),
        ("086_opening_too_long", {"window"}),
        ("104_unknown_fixture", {"key"}),
        ("155_target_subject_unknown", set()),
    ],
)
def test_only_what_is_broken_goes(case: str, gone: set[str]) -> None:
    scene = read_scene(HERE / f"{case}.yaml", catalog()).scene
    assert scene is not None
    left = {*scene.people, *scene.openings, *scene.lights, *scene.cameras}
    assert left == {"guest", "host", "window", "key", "A"} - gone


def test_every_scene_has_its_lines_and_all_lines_have_their_scene() -> None:
    lines = {path.stem for path in HERE.glob("*.txt") if path.read_text(encoding="utf-8").strip()}
    assert {case.stem for case in CASES} == lines
    assert len(CASES) >= 165
