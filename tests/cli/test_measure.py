"""`measure` and `compare`: what they print without rendering, and what they refuse."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]
SETUPS = Path(__file__).parents[1] / "measure" / "bad_setups"

pytestmark = pytest.mark.usefixtures("mannequins")


def test_a_good_setup_is_measured_and_leaves_with_0(run: Run) -> None:
    result = run("measure", "--no-light", SETUPS / "base.yaml")
    assert result.exit_code == 0
    assert "Camera A" in result.stdout and "Power: 220 W at 230 V" in result.stdout
    assert "fault:" not in result.stdout and "warning:" not in result.stdout


def test_a_fault_leaves_with_1_and_is_named(run: Run) -> None:
    result = run("measure", "--no-light", SETUPS / "line_crossed.yaml", "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)["findings"]
    assert [f["rule"] for f in found if f["severity"] != "note"] == ["line_crossed"]
    said = run("check", SETUPS / "line_crossed.yaml")
    assert said.exit_code == 1 and "[line_crossed: " in said.stdout


def test_wishes_are_answered_instead(run: Run) -> None:
    result = run("measure", "--no-light", SETUPS / "base.yaml", "--camera", "A", "--want-blur", "1")
    assert result.exit_code == 0
    assert result.stdout.startswith("f/")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "give one of --focal"),
        (("--focal", "35,50", "--stop", "4"), "give one of --focal"),
        (("--focal", "35,wide"), "wide is not a number"),
        (("--stop", ","), "needs values"),
    ],
)
def test_a_comparison_of_nothing_is_refused(run: Run, words: tuple[str, ...], said: str) -> None:
    result = run("compare", SETUPS / "base.yaml", *words)
    assert result.exit_code == 2
    assert said in result.stderr
