"""Who has which face in a scene: the one asked for, else nobody's twin."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from previz.api.opening import open_scene
from previz.catalog import Catalog
from previz.errors import InputError
from previz.geometry.people.faces import Face
from previz.stage.faces import faces_of

pytestmark = pytest.mark.usefixtures("mannequins")  # who is who shows without a body
PERSON = "  {name}: {{at_m: [{x}, 1], sex: {sex}, skin: {skin}{more}}}"
SCENE = """\
previz: 1
title: Faces
seed: {seed}
room: {{width_m: 9, depth_m: 6, height_m: 2.7}}
people:
{people}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 35
    f_number: 2.8
    place: {{at_m: [0, -2], height: eye}}
    aim: p0
"""


def faces(
    folder: Path, people: list[tuple[str, str, str]], seed: int = 1
) -> tuple[dict[str, Face], Path]:
    """Faces of people, each of sex, skin and further keys."""
    lines = [
        PERSON.format(name=f"p{i}", x=i - len(people) // 2, sex=sex, skin=skin, more=more)
        for i, (sex, skin, more) in enumerate(people)
    ]
    path = folder / "scene.yaml"
    path.write_text(SCENE.format(seed=seed, people="\n".join(lines)))
    return faces_of(open_scene(path).scene, Catalog.load()), path


def test_more_people_than_faces_are_still_no_twins(tmp_path: Path) -> None:
    found, _ = faces(tmp_path, [("female", "brown", "")] * 6)
    shapes = {(face.features, face.africa) for face in found.values()}
    assert len(shapes) == 6


def test_one_who_comes_last_changes_nobody(tmp_path: Path) -> None:
    three, _ = faces(tmp_path, [("male", "light", "")] * 3)
    four, _ = faces(tmp_path, [("male", "light", "")] * 4)
    assert {name: four[name] for name in three} == three


def test_who_asks_for_a_face_has_it_alone(tmp_path: Path) -> None:
    alone, _ = faces(tmp_path, [("male", "light", "")])
    taken = next(
        name
        for name in Catalog.load().names("faces")
        if tuple(Catalog.load().face(name).features.items()) == alone["p0"].features
    )
    both, _ = faces(tmp_path, [("male", "light", ""), ("male", "light", f", face: {taken}")])
    assert both["p1"] == alone["p0"]
    assert both["p0"].features != both["p1"].features


def test_twins_are_had_by_asking(tmp_path: Path) -> None:
    twins, _ = faces(tmp_path, [("female", "light", ", face: ash")] * 2)
    assert twins["p0"] == twins["p1"]
    numbered, _ = faces(tmp_path, [("female", "light", f", face: {n}") for n in (4, 4, 5)])
    assert numbered["p0"] == numbered["p1"] != numbered["p2"]


def test_another_seed_of_the_scene_is_another_cast(tmp_path: Path) -> None:
    casts = {faces(tmp_path, [("male", "light", "")], seed)[0]["p0"] for seed in range(1, 9)}
    assert len(casts) > 2


@pytest.mark.parametrize(
    ("face", "says"),
    [("asch", r'face.*asch.*did you mean "ash"'), ("-3", r"face.*-3"), ("2.5", r"face.*2\.5")],
)
def test_a_face_that_there_is_not_is_said(tmp_path: Path, face: str, says: str) -> None:
    with pytest.raises(InputError) as found:
        faces(tmp_path, [("female", "light", f", face: {face}")])
    assert len(found.value.problems) == 1
    assert re.search(says, str(found.value), re.DOTALL)
    assert "scene.yaml:6" in str(found.value)
