"""The table of numbers holds all that `measure --json` says, exact and with units."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from typing import Any

import pytest

from previz import api
from previz.telling.report_json import report_json

UNITS = {"m": "m", "mm": "mm", "deg": "deg", "pct": "%", "px": "px", "stops": "stops", "w": "W"}


def values(tree: Any, at: str = "") -> Iterator[tuple[str, Any]]:
    """Everything in a tree by its path."""
    if isinstance(tree, dict):
        for name, inner in tree.items():
            yield from values(inner, f"{at}.{name}" if at else name)
    elif isinstance(tree, list):
        for number, inner in enumerate(tree):
            yield from values(inner, f"{at}.{number}")
    else:
        yield at, tree


@pytest.fixture(scope="module")
def rows(made) -> dict[str, dict[str, str]]:
    with (made.folder / "measured.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert len({row["path"] for row in found}) == len(found)
    return {row["path"]: row for row in found}


def test_it_holds_what_measure_prints_but_unrounded(made, rows) -> None:
    printed = dict(values(report_json(api.measure_scene(made.opened))))
    assert list(printed) == list(rows) and len(printed) > 200
    exact = 0
    for path, value in printed.items():
        text = rows[path]["value"]
        if value is None:
            assert text in ("", "inf"), path
        elif isinstance(value, bool):
            assert text == str(value).lower()
        elif isinstance(value, str):
            assert text == value
        else:
            # As many digits as the JSON has are the same; what was cut off is still here.
            digits = len(repr(value).partition(".")[2])
            assert float(text) == pytest.approx(value, abs=0.51 * 10.0**-digits), path
            exact += float(text) != value
    assert exact > 100


def test_numbers_have_units_and_say_what_they_rest_on(made, rows) -> None:
    spoken = [p for p, row in rows.items() if row["meaning"]]
    for path in spoken:
        name = next((n for n in reversed(path.split(".")) if not n.isdigit()), "")
        ending = name.rpartition("_")[2]
        # What the stops are lost or won by may have a unit of its own in its name.
        if ending in UNITS and ".stops." not in path and "_pct." not in path:
            assert rows[path]["unit"] == UNITS[ending], path
        assert rows[path]["source"]
    lens = rows["cameras.A.focal_length_mm"]
    assert (float(lens["value"]), lens["unit"]) == (50.0, "mm")
    camera = made.stage.cameras["A"]
    angle = float(rows["cameras.A.horizontal_angle_deg"]["value"])
    assert angle == pytest.approx(math.degrees(camera.horizontal_angle_rad), rel=1e-14)


def test_a_finding_has_the_unit_that_stands_beside_it(rows) -> None:
    headroom = next(p for p, row in rows.items() if row["value"] == "headroom")
    stem = headroom.rpartition(".")[0]
    assert rows[f"{stem}.value"]["unit"] == rows[f"{stem}.unit"]["value"] != ""
