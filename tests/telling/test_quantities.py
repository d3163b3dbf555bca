"""Every number that is printed has a row that says what it is, and no row is there in vain."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from previz import api
from previz.measure.light.spectacles import Veil
from previz.measure.light.spots import Spot
from previz.measure.report import Report, measure_set
from previz.render.readings import Readings
from previz.telling.quantities import ANSWERED, MEASURED, Row, told
from previz.telling.report_json import report_json

pytestmark = pytest.mark.usefixtures("mannequins")
SCENES = Path(__file__).parents[2] / "scenes"
SHIPPED = sorted(path.parent for path in SCENES.glob("*/scene.yaml"))
LIT = SCENES / "bookbinder"
UNITS = {
    "deg": "deg", "mm": "mm", "m": "m", "px": "px", "pct": "%", "lx": "lx", "stops": "stops",
    "cd_m2": "cd/m2", "m2": "m2", "m3": "m3", "db": "dB", "cm": "cm", "kg": "kg", "k": "K",
    "w": "W", "va": "VA", "a": "A", "v": "V", "kwh": "kWh", "s": "s",
    "ms": "ms", "h": "h", "grey": "stops", "key": "stops", "ratio": "", "number": "", "nd": "",
}  # fmt: skip
"""Unit by the last word of a name, or the last two; `stops_over_grey` and the like are stops."""

Leaf = tuple[str, float]


def leaves(value: Any, at: str = "") -> Iterator[Leaf]:
    """Every number in a tree, with its place; lists have no place of their own."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from leaves(inner, f"{at}/{name}" if at else str(name))
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, at)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield at, value


def rows(*tables: Mapping[str, Mapping[str, Row]]) -> dict[str, Row]:
    """Rows by a pattern of the places they are for."""
    found = {}
    for table in tables:
        for section, names in table.items():
            for name, row in names.items():
                steps = [*(section.split(".") if section else ()), name]
                found["/".join("[^/]+" if step == "*" else re.escape(step) for step in steps)] = row
    return found


PATTERNS = {re.compile(rf"{p}(/.+)?$"): row for p, row in rows(MEASURED).items()}


def matching(at: str) -> list[re.Pattern[str]]:
    return [pattern for pattern in PATTERNS if pattern.match(at)]


def lit(readings_of: Callable[..., Readings], error: float) -> Report:
    """The scene with most to tell, read by known light, and a veil that no shipped scene has."""
    opened = api.open_scene(LIT)
    lux = {name: 100.0 + 50.0 * number for number, name in enumerate(opened.stage.layers)}
    readings = readings_of(opened.stage, lux, error)
    rules, targets = opened.scene.rules, opened.scene.targets
    report = measure_set(opened.stage, rules, targets, readings, [Spot("A", 50.0, 40.0)])
    veil = Veil("guest", "key", "left", 12.34567, 5.4321, -1.23456)
    return replace(report, spectacles={"A": (veil,)})


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_every_number_of_a_shipped_scene_has_its_row(path: Path) -> None:
    found = list(leaves(report_json(api.measure_scene(path))))
    assert len(found) > 80
    assert {at for at, _ in found if len(matching(at)) != 1} == set()


def test_with_light_every_row_occurs_and_holds_its_digits(
    readings_of: Callable[..., Readings],
) -> None:
    seen: set[re.Pattern[str]] = set()
    for at, value in leaves(report_json(lit(readings_of, error=0.05))):
        (pattern,) = matching(at)
        seen.add(pattern)
        digits = PATTERNS[pattern].digits
        assert digits is None or value == round(value, digits), at
    assert {pattern.pattern for pattern in PATTERNS} - {p.pattern for p in seen} == set()


@pytest.mark.parametrize(("place", "row"), rows(MEASURED, ANSWERED).items())
def test_a_row_says_all_and_the_unit_that_its_name_ends_with(place: str, row: Row) -> None:
    assert row.meaning and row.source
    words = place.rsplit("/", 1)[-1].split("_")
    last = "_".join(words[-2:]) if "_".join(words[-2:]) in UNITS else words[-1]
    if last in UNITS and len(words) > 1:
        assert row.unit == UNITS[last]


def test_a_number_without_a_row_is_refused() -> None:
    with pytest.raises(LookupError, match=r"cameras\.A\.weight_kg: a number without a row"):
        told({"cameras": {"A": {"tilt_deg": 1.0, "weight_kg": 2.0}}})
    with pytest.raises(LookupError, match="altitude"):
        told({"altitude": 3})


def test_what_is_no_number_passes_and_what_json_cannot_hold_becomes_none() -> None:
    camera = {"tilt_deg": -0.00001, "far_limit_m": math.inf, "aisle_m": math.nan, "subject": "a",
              "head_in_action_safe": True, "position_m": (1.00004, 2.0, -0.0)}  # fmt: skip
    found = told({"cameras": {"stops": camera}})["cameras"]["stops"]
    assert str(found["tilt_deg"]) == "0.0" and found["head_in_action_safe"] is True
    assert found["far_limit_m"] is None and found["aisle_m"] is None and found["subject"] == "a"
    assert str(found["position_m"]) == "[1.0, 2.0, 0.0]"


def test_whole_numbers_stay_whole_and_what_was_given_stays_as_it_was() -> None:
    crop = told({"spare_across_px": 1920}, "cameras.*.crops.*")
    assert str(crop["spare_across_px"]) == "1920"
    assert told({"gel_nd": 0.123456}, "exposure.*.windows.*") == {"gel_nd": 0.123456}
