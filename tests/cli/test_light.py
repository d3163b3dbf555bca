"""`relight`, `balance` and `hours`: what they refuse, in one line and with status 2."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Run = Callable[..., Result]
SETUPS = Path(__file__).parents[1] / "measure" / "bad_setups"

pytestmark = pytest.mark.usefixtures("mannequins")


def refused(result: Result) -> str:
    """The one line of a refusal."""
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    lines = [line for line in result.stderr.splitlines() if not line.startswith("reading ")]
    assert len(lines) == 1, lines
    return lines[0]


def test_relight_without_a_render_says_to_render(run: Run, tmp_path: Path) -> None:
    line = refused(run("relight", SETUPS / "base.yaml", "--from", tmp_path))
    assert "nothing to relight in" in line and "render first, previz render" in line


@pytest.mark.parametrize("text", ["", "{}", "[1]", '{"frames": {"A": {}}}', "not json"])
def test_a_manifest_that_is_none_counts_as_none(run: Run, tmp_path: Path, text: str) -> None:
    (tmp_path / "manifest.json").write_text(text)
    assert "nothing to relight in" in refused(
        run("relight", SETUPS / "base.yaml", "--from", tmp_path)
    )


def test_hours_without_a_place_says_what_to_give(run: Run) -> None:
    line = refused(run("hours", SETUPS / "base.yaml", "--from", "09:00", "--to", "12:00"))
    assert "daylight" in line and "place" in line


@pytest.mark.parametrize(
    ("first", "last", "step"),
    [("25:00", "12:00", "30"), ("9", "12", "30"), ("12:00", "09:00", "30")],
)
def test_hours_that_are_none_are_refused(run: Run, first: str, last: str, step: str) -> None:
    result = run("hours", SETUPS / "base.yaml", "--from", first, "--to", last, "--every", step)
    assert result.exit_code == 2 and "Traceback" not in result.output


@pytest.mark.parametrize("command", ["relight", "balance", "hours"])
def test_a_setting_of_nothing_is_refused(run: Run, command: str) -> None:
    more = ("--from", "09:00", "--to", "12:00") if command == "hours" else ()
    result = run(command, SETUPS / "base.yaml", *more, "--set", "kee.dimmer_pct=10")
    assert "kee" in refused(result)
