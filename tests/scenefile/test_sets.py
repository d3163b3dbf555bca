"""A set takes the wall that its pieces need, and says how it would fit a shorter one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.scenefile import read_scene
from previz.scenefile.set_span import fit_to, spans_of, taken_by
from previz.scenefile.view import View
from previz.scenefile.yaml_tree import Mapping

CATALOG = Catalog.load()
SCENE = """\
previz: 1
title: A narrow workshop
room: {{width_m: {width_m}, depth_m: 6, height_m: 2.8}}
cameras:
  A: {{sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 35, f_number: 4,
      place: {{at_m: [0, -2], height_m: 1.2}}, aim_m: [0, 3, 1], focus_distance_m: 4}}
sets:
  shop: {{set: workshop, wall: north, {place}}}
"""


def problems(folder: Path, place: str, width_m: float = 3.3) -> list[str]:
    path = folder / "scene.yaml"
    path.write_text(SCENE.format(width_m=width_m, place=place), encoding="utf-8")
    return [problem.message for problem in read_scene(path, CATALOG).problems]


def test_what_a_short_wall_is_told_to_leave_out_fits_it(tmp_path: Path) -> None:
    [said] = problems(tmp_path, "along_m: 1.65")
    assert "takes 4.50 m of wall, and wall north has 3.30 m" in said
    told = re.search(r"with (without: \[.*\]) and (along_m: [\d.]+) it fits", said)
    assert told is not None
    assert problems(tmp_path, f"{told[2]}, {told[1]}") == []


def test_what_is_left_out_takes_no_wall(tmp_path: Path) -> None:
    """The timber leans to 2.25 m right of the middle, the next piece ends at 1.90."""
    whole, without = "along_m: 2.6", "along_m: 2.6, without: [timber]"
    assert problems(tmp_path, whole, 4.6) == [
        "sets.shop.along_m: must be from 2.25 to 2.35, for it takes 4.50 m of wall north, found 2.6"
    ]
    assert problems(tmp_path, without, 4.6) == []


@pytest.mark.parametrize("name", CATALOG.names("sets"))
@pytest.mark.parametrize("length_m", [1.5, 2.5, 3.3])
def test_every_set_keeps_what_fits(name: str, length_m: float) -> None:
    record = CATALOG.furniture_set(name)
    nothing_said = View(Mapping({}, None), [])  # type: ignore[arg-type]
    spans = spans_of(nothing_said, "shop", record, CATALOG)
    low, high = taken_by(spans)
    assert high - low <= record.width_m
    fit = fit_to(length_m, spans, record)
    assert fit is not None
    kept = taken_by({part: spans[part] for part in record.left(fit.without)})
    assert kept[1] - kept[0] <= length_m + 1e-6
    assert fit.along_m == pytest.approx((-kept[0], length_m - kept[1]))
