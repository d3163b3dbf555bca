"""The proof refuses what dies, warns or gives wrong light, and says what was wrong."""

from __future__ import annotations

import json
import math
from types import SimpleNamespace

import pytest

from previz.errors import MissingError
from previz.render import variants
from previz.render.backends import open_back_end
from previz.render.contract import Ability
from previz.render.proof.checks import CheckedPart, examine


@pytest.fixture
def home(monkeypatch: pytest.MonkeyPatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))


def answering(monkeypatch: pytest.MonkeyPatch, **answer: object) -> list[object]:
    """Child processes that give this answer, and which were started."""
    started: list[object] = []

    def run(command: object, **_: object) -> SimpleNamespace:
        started.append(command)
        return SimpleNamespace(**{"returncode": 0, "stdout": "", "stderr": "", **answer})

    monkeypatch.setattr(variants.subprocess, "run", run)
    return started


def report(**part: object) -> str:
    return json.dumps([{"right": True, "sentence": "fine", **part}])


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ({"returncode": -11}, "aborted (signal 11)"),
        ({"returncode": 1, "stderr": "a\nImportError: no atom"}, "ImportError: no atom"),
        ({"stdout": report(), "stderr": "more than one table: Disabling"}, "warns: more than one"),
        ({"stdout": report(right=False, sentence="sun: 2 instead of 1")}, "wrong light: sun: 2"),
        ({"stdout": "[]"}, "no answer"),
        ({"stdout": "works"}, "no answer"),
    ],
)
def test_whatever_is_not_right_is_refused(monkeypatch, home, answer, said):
    answering(monkeypatch, **answer)
    with pytest.raises(MissingError, match="no way to render works here") as raised:
        variants.choose("scalar_rgb")
    assert said in str(raised.value)


def test_an_answer_is_kept_and_a_late_one_is_not(monkeypatch, home):
    started = answering(monkeypatch, stdout=report())
    heard: list[str] = []
    for _ in range(3):
        assert variants.choose("scalar_rgb", heard.append).works
    assert len(started) == len(heard) == 1

    def late(*_: object, **__: object) -> None:
        started.append("late")
        raise variants.subprocess.TimeoutExpired("proof", 1.0)

    monkeypatch.setattr(variants.subprocess, "run", late)
    monkeypatch.setattr(variants, "llvm_candidates", lambda: iter([variants.Path("libLLVM.so")]))
    for _ in range(2):
        assert not variants.proved("llvm_ad_rgb").works
    assert started.count("late") == 2


def test_it_is_said_once_however_many_ways_to_compute_are_proved(monkeypatch, home):
    answering(monkeypatch, stdout=report(right=False))
    monkeypatch.setattr(variants, "llvm_candidates", lambda: iter([variants.Path("libLLVM.so")]))
    heard: list[str] = []
    with pytest.raises(MissingError, match="no way to render works here"):
        variants.choose(None, heard.append)
    assert len(heard) == 1 and heard[0].startswith("proving once")


def test_what_is_no_number_is_never_right():
    assert CheckedPart("lux", 100.0, 101.0, 0.02).right
    assert not CheckedPart("lux", 100.0, 103.0, 0.02).right
    assert not CheckedPart("lux", 100.0, math.nan, 0.02).right
    assert not CheckedPart("dark", 0.0, 0.01, 0.001).right
    assert "+3.0 %" in CheckedPart("lux", 100.0, 103.0, 0.02).sentence


class Wrong:
    """A back end whose lamps behind glass read 7 % high, as a card was seen to do."""

    def __init__(self) -> None:
        self._right = open_back_end()
        self.abilities, self.name = self._right.abilities, self._right.name

    def load(self, stage):
        renderer = self._right.load(stage)

        class Reading:
            expose = staticmethod(renderer.expose)

            @staticmethod
            def meter(*given):
                read = dict(renderer.meter(*given))
                read["glass"] = 1.07 * read["glass"]
                return read

        return Reading()


def test_light_that_is_7_per_cent_off_is_found_and_nothing_else_is():
    back_end = Wrong()
    assert Ability.CLEAR_GLASS in back_end.abilities
    parts = examine(back_end)
    wrong = [part.name for part in parts if not part.right]
    assert wrong == ["light through clear glass"]
    assert len(parts) > 12
