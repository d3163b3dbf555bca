"""Every rule speaks on one side of its limit and is silent on the other; README.md has the keys."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import yaml

from previz.measure.report import Report
from previz.measure.rules.findings import Finding

HERE = Path(__file__).parent
OF_LIGHT = "light."


@dataclass(frozen=True)
class Case:
    """One row of a table."""

    rule: str
    about: str
    severity: str
    words: list[str]
    by_hand: str
    what: str = ""
    set: list[str] = field(default_factory=list)
    speaks: str = ""
    silent: str = ""
    value: float | None = None
    within: float = 1e-4
    limit: float | None = None
    light: dict[str, dict[str, float]] | None = None

    @property
    def name(self) -> str:
        return f"{self.rule}: {self.what}" if self.what else self.rule

    def measured(self, measure: Any, moved: str) -> Report:
        """The scene with one more setting."""
        light = self.light and {name: dict(read) for name, read in self.light.items()}
        settings = list(self.set)
        if light and moved.startswith(OF_LIGHT):
            path, value = moved.split("=")
            _, name, what = path.split(".")
            light[name][what] = float(value)
        elif moved:
            settings.append(moved)
        return measure("", settings, light)


CASES = [
    Case(**row)
    for path in sorted(HERE.glob("*.yaml"))
    for row in yaml.safe_load(path.read_text(encoding="utf-8"))
]


def said(report: Report, rule: str) -> list[Finding]:
    return [finding for finding in report.findings if finding.rule == rule]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_it_speaks_on_one_side_of_its_limit_and_is_silent_on_the_other(
    measure: Any, case: Case
) -> None:
    [finding] = said(case.measured(measure, case.speaks), case.rule)
    assert (finding.about, finding.severity) == (case.about, case.severity)
    assert finding.value == (
        None if case.value is None else pytest.approx(case.value, abs=case.within)
    )
    assert finding.limit == (None if case.limit is None else pytest.approx(case.limit, abs=1e-3))
    for words in case.words:
        assert words in finding.message
    assert said(case.measured(measure, case.silent), case.rule) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_one_thing_is_moved_and_the_value_is_explained(case: Case) -> None:
    moved = {setting.partition("=")[0] for setting in (case.speaks, case.silent) if setting}
    assert len(moved) == 1 and case.speaks != case.silent
    assert case.by_hand and case.words
    assert (case.value is None) <= (case.within == Case.within), "nothing to be within"


def test_no_case_is_there_twice() -> None:
    names = [case.name for case in CASES]
    assert len(set(names)) == len(names)
