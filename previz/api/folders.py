"""Where results go."""

from __future__ import annotations

from pathlib import Path


def default_folder(scene: Path) -> Path:
    """Where results go unless the user says: `out/` and the scene's name."""
    name = scene.parent.resolve().name if scene.name == "scene.yaml" else scene.stem
    return Path("out") / name
