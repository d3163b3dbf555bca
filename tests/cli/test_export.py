"""`previz export`: which files it writes, what it says, and how it ends without its libraries."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from previz.api import exporting
from previz.cli.exits import Exit
from previz.cli.export import FORMATS

Run = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("mannequins")


def test_formats_are_given_one_by_one_or_with_commas(
    run: Run, scene_file: Path, tmp_path: Path
) -> None:
    words = ("export", scene_file, "--no-light", "--out", tmp_path / "out", "--json")
    result = run(*words, "--format", "guides,csv", "--format", "gltf")
    assert result.exit_code == Exit.DONE, result.stderr
    told = json.loads(result.stdout)
    names = [Path(file["file"]).name for file in told["files"]]
    assert names[0] == "scene.glb" and names[-1] == "measured.csv"
    assert {"guides_A.png"} <= set(names) and "scene.usdc" not in names
    for file in told["files"]:
        assert Path(file["file"]).stat().st_size == file["bytes"] > 0
    assert "Local code and licensed practice decide." in result.stderr


def test_a_format_that_is_none_is_a_line(run: Run, scene_file: Path) -> None:
    result = run("export", scene_file, "--format", "gltf,obj")
    assert result.exit_code == Exit.WRONG
    assert 'no format is called "obj"; there are gltf, usd, guides, csv' in result.stderr


def test_without_the_usd_library_the_rest_is_written(
    run: Run, scene_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exporting, "find_spec", lambda _: None)
    asked = run("export", scene_file, "--format", "usd", "--out", tmp_path / "a")
    assert asked.exit_code == Exit.MISSING
    assert asked.stderr.splitlines()[-1] == exporting.NO_USD
    assert not (tmp_path / "a").exists()
    rest = run("export", scene_file, "--no-light", "--out", tmp_path / "b")
    assert rest.exit_code == Exit.DONE
    assert f"Left out: {exporting.NO_USD}" in rest.stderr
    assert (tmp_path / "b" / "scene.glb").exists() and not (tmp_path / "b" / "scene.usdc").exists()


def test_the_command_and_the_api_know_the_same_formats() -> None:
    assert FORMATS == exporting.FORMATS
