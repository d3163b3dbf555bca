"""What is computed on is said in plain words; the renderer's own names stay inside."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from previz.cli.root import COMMANDS, root
from previz.errors import MissingError
from previz.render import backends
from previz.render.compute import COMPUTE, in_plain_words, mode_of
from previz.render.variants import PREFERENCE


def test_every_mode_has_one_word() -> None:
    assert [mode_of(word) for word in COMPUTE] == list(PREFERENCE)
    assert [in_plain_words(mode) for mode in PREFERENCE] == list(COMPUTE)
    assert len(set(COMPUTE)) == len(PREFERENCE)


@pytest.mark.parametrize("name", COMMANDS)
def test_no_help_names_a_mode(name: str) -> None:
    said = CliRunner().invoke(root, [name, "--help"]).output
    assert said
    assert not any(mode in said for mode in PREFERENCE)
    assert "--variant" not in said


def test_a_mode_is_no_word_of_the_option() -> None:
    refused = CliRunner().invoke(root, ["render", "s.yaml", "--compute", PREFERENCE[-1]])
    assert isinstance(refused.exception, SystemExit | click.UsageError)
    assert refused.exit_code != 0


def test_a_refusal_says_the_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(wanted: str | None = None, say: object = None) -> object:
        raise MissingError(f"no way to render works here ({PREFERENCE[0]}: no driver)")

    monkeypatch.setattr(backends, "choose", none)
    with pytest.raises(MissingError, match=rf"\({COMPUTE[0]}: no driver\)"):
        backends.open_back_end()
