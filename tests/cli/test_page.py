"""`previz page`: mistakes are told before anything is rendered."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from previz.cli.exits import Exit

Run = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("mannequins")


def test_no_earlier_frames_is_one_line(
    run: Run, scene_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("previz.api.paging.pictures_of", None)  # nothing is rendered
    result = run("page", scene_file, "--out", tmp_path / "out", "--before", tmp_path)
    assert result.exit_code == Exit.WRONG
    (line,) = result.stderr.splitlines()
    assert line.startswith(f"{tmp_path}: --before: no frames in {tmp_path}; name the folder")


def test_settings_belong_to_one_scene(run: Run, scene_file: Path) -> None:
    result = run("page", scene_file, scene_file, "--set", "key.dimmer_pct=5")
    assert result.exit_code == Exit.WRONG
    assert "name one scene" in result.stderr
