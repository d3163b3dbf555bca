"""What a scene is called, and where its results go."""

from __future__ import annotations

import json
from itertools import count
from pathlib import Path


def scene_name(scene: Path) -> str:
    """What a scene is called among those of its folder: the folder's name for `scene.yaml`."""
    return _home(scene) if scene.name == "scene.yaml" else scene.stem


def default_folder(scene: Path) -> Path:
    """Where results go unless the user says: `out/` and the name of the scene's folder.

    Of another file than `scene.yaml` its own name follows: `out/bookbinder_evening`. A folder that
    holds the frames of another scene, which is still there, is left to it: the next is `NAME_2`.
    """
    name = _home(scene) if scene.name == "scene.yaml" else f"{_home(scene)}_{scene.stem}"
    names = (name if number == 1 else f"{name}_{number}" for number in count(1))
    return next(f for n in names if not _is_anothers(f := Path("out") / n, scene))


def _home(scene: Path) -> str:
    return scene.parent.resolve().name


def _is_anothers(folder: Path, scene: Path) -> bool:
    from previz.deliver.manifest import MANIFEST  # noqa: PLC0415 - who only looks needs none

    try:
        told = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        theirs = Path(told["scene"])
    except (OSError, ValueError, KeyError, TypeError):
        return False
    return theirs.is_file() and theirs.resolve() != scene.resolve()
