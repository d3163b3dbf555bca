"""Every published value under this folder against the function it is about."""

from __future__ import annotations

import importlib
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

CONFIDENCES = {"V-src", "V-src2", "V-lib", "V-math", "MEM"}
CHECK_KEYS = {"function", "source", "confidence", "tolerance", "cases", "as", "pick"}


@dataclass(frozen=True)
class Case:
    table: str
    name: str
    check: dict[str, Any]
    inputs: Any
    expected: Any

    def __str__(self) -> str:
        pick = f".{self.check['pick']}" if "pick" in self.check else ""
        return f"{self.table}:{self.check['function'].split('.')[-1]}{pick}:{self.name}"


def read_cases() -> Iterator[Case]:
    for path in sorted(Path(__file__).parent.glob("*.yaml")):
        for check in yaml.safe_load(path.read_text(encoding="utf-8")):
            for name, (inputs, expected) in check["cases"].items():
                yield Case(path.stem, str(name), check, inputs, expected)


CASES = list(read_cases())


def call(function: str, inputs: Any) -> Any:
    module, _, name = function.rpartition(".")
    home = module if module.startswith("oracles.") else f"previz.{module}"
    target = getattr(importlib.import_module(home), name)
    if isinstance(inputs, dict):
        return target(**{key: resolve(value) for key, value in inputs.items()})
    return target(*(resolve(value) for value in inputs))


def resolve(value: Any) -> Any:
    if isinstance(value, dict) and "call" in value:
        return call(value["call"], value["inputs"])
    return value


def margin(tolerance: Any, expected: Any) -> Any:
    if isinstance(tolerance, str):
        return float(tolerance.removesuffix("%")) / 100.0 * np.abs(np.asarray(expected))
    return tolerance


@pytest.mark.parametrize("case", CASES, ids=str)
def test_published_value(case: Case) -> None:
    found = call(case.check["function"], case.inputs)
    if "pick" in case.check:
        found = getattr(found, case.check["pick"])
    if case.check.get("as") == "deg":
        found = np.degrees(found)
    if isinstance(case.expected, str | bool) or case.expected is None:
        assert found == case.expected
        return
    if isinstance(case.expected, float) and math.isinf(case.expected):
        assert found == case.expected
        return
    found = np.asarray(found, dtype=float)
    expected = np.asarray(case.expected, dtype=float)
    assert found.shape == expected.shape
    off = np.abs(found - expected)
    assert np.all(off <= margin(case.check["tolerance"], expected)), f"{found} is not {expected}"


def test_every_check_says_where_its_value_comes_from() -> None:
    assert CASES
    for case in CASES:
        assert set(case.check) <= CHECK_KEYS, case
        assert case.check["source"].strip(), case
        assert case.check["confidence"] in CONFIDENCES, case


def test_case_names_are_unique() -> None:
    names = [str(case) for case in CASES]
    assert len(names) == len(set(names))
