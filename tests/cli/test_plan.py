"""`previz plan`: what it writes and says."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from previz.cli.exits import Exit

Run = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("mannequins")
FILES = ["plan.pdf", "plan.svg", "elevations.svg", "setting_out.csv"]


def test_files_and_sentences(run: Run, scene_file: Path, tmp_path: Path) -> None:
    result = run("plan", scene_file, "--out", tmp_path / "paper", "--units", "feet")
    assert result.exit_code == Exit.DONE, result.stderr
    lines = result.stdout.splitlines()
    assert lines[:4] == [str(tmp_path / "paper" / file) for file in FILES]
    assert sorted(f.name for f in (tmp_path / "paper").iterdir()) == sorted(FILES)
    assert "″ = 1′" in lines[4] and "on A4" in lines[4]
    assert any(line.startswith("Cables: no run is drawn") for line in lines)
    assert "Weigh down every stand" in result.stderr


def test_as_json(run: Run, scene_file: Path, tmp_path: Path) -> None:
    told = json.loads(run("plan", scene_file, "--out", tmp_path, "--json", "--paper", "a3").stdout)
    rows = {row["name"]: row for row in told["setting_out"]}
    assert rows["cameras.A"]["kind"] == "camera" and len(rows["cameras.A"]["tapes"]) == 2
    assert told["paper"] == "a3" and told["scale"] in (10, 20, 25, 50)
    assert told["cautions"]


def test_a_scale_that_does_not_fit(run: Run, scene_file: Path, tmp_path: Path) -> None:
    result = run("plan", scene_file, "--out", tmp_path, "--scale", "5")
    assert result.exit_code == Exit.WRONG
    (line,) = result.stderr.splitlines()
    assert line.startswith(f"{scene_file}: plan: at 1:5 ") and "fits" in line
