"""Results of two scenes never come to lie in one folder unasked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from previz.api.folders import default_folder, scene_name


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def written(path: Path) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("previz: 1\n", encoding="utf-8")
    return path


def rendered(scene: Path) -> Path:
    """The scene's folder, as a render of it leaves it."""
    folder = default_folder(scene)
    folder.mkdir(parents=True)
    (folder / "manifest.json").write_text(json.dumps({"scene": str(scene)}), encoding="utf-8")
    return folder


def test_files_of_one_name_in_two_folders_go_apart(here: Path) -> None:
    kitchen, studio = (written(Path(n, "scene_balanced.yaml")) for n in ("kitchen", "studio"))
    assert default_folder(kitchen) == Path("out/kitchen_scene_balanced")
    assert default_folder(studio) == Path("out/studio_scene_balanced")
    assert scene_name(kitchen) == "scene_balanced"
    assert default_folder(written(Path("kitchen/scene.yaml"))) == Path("out/kitchen")


def test_a_folder_with_anothers_frames_is_left_alone(here: Path) -> None:
    first, second = (written(Path(n, "kitchen/scene.yaml")) for n in ("monday", "tuesday"))
    assert rendered(first) == Path("out/kitchen")
    assert rendered(second) == Path("out/kitchen_2")
    assert default_folder(here / first) == Path("out/kitchen"), "its own, however it is named"
    assert default_folder(second) == Path("out/kitchen_2")
    first.unlink()
    assert default_folder(second) == Path("out/kitchen"), "of a scene that is gone"
