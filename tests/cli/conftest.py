"""Runs of the command line in this process, and a scene that needs no render."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from previz.cli.new_layout import Answers
from previz.cli.new_text import scene_text
from previz.cli.root import root

Run = Callable[..., Result]


@pytest.fixture
def run() -> Run:
    """`run("check", "scene.yaml")` as if typed in a shell whose output is a file."""

    def typed(*words: str | Path, **more: str) -> Result:
        return CliRunner().invoke(root, [str(w) for w in words], prog_name="previz", **more)

    return typed


@pytest.fixture
def scene_file(tmp_path: Path) -> Path:
    """The scene that `previz new` writes."""
    path = tmp_path / "scene.yaml"
    path.write_text(scene_text(Answers(), "scene.yaml"), encoding="utf-8")
    return path
