"""`relight`, `balance` and `hours`: what they print, and what they refuse in one line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import Result

from previz import api
from previz.solve.balance import Balance, Dimmed

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


def test_balance_prints_settings_cautions_and_file_as_json(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = Balance("A", "guest", {"key": Dimmed(80.0, 25.0, 32.6)}, {}, ())
    done = SimpleNamespace(balance=found, cautions=("Mind the cables.",), file=Path("b.yaml"))
    monkeypatch.setattr(api, "balance_scene", lambda *_: done, raising=False)
    result = run("balance", SETUPS / "base.yaml", "--json")
    assert result.exit_code == 0
    told = json.loads(result.stdout)
    assert list(told) == [
        "camera", "subject", "lights", "windows", "targets", "reached", "cautions", "file",
    ]  # fmt: skip
    assert told["cautions"] == ["Mind the cables."] and told["file"] == "b.yaml"
    lines = run("balance", SETUPS / "base.yaml").stdout.splitlines()
    assert lines[0] == "key: 80 % -> 25 % of its light (dimmer at 33)" and lines[-1] == "b.yaml"
