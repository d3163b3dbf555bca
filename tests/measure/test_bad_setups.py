"""Ten set-ups with one thing wrong each, beside a good one: exactly that is found."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.measure.report import Report, measure_set
from previz.scenefile import read_scene
from previz.stage.build import build_stage

pytestmark = pytest.mark.usefixtures("mannequins")

HERE = Path(__file__).parent / "bad_setups"
CATALOG = Catalog.load()
EXPECTED = {
    "line_crossed": ("fault", "cameras.B"),
    "key_side": ("warning", "lights.key"),
    "jump_cut": ("warning", "cameras.B"),
    "boom_in_frame": ("fault", "cameras.A"),
    "gear_in_frame": ("fault", "cameras.B"),
    "head_cut": ("fault", "cameras.B"),
    "look_room": ("warning", "cameras.A"),
    "close_focus": ("fault", "cameras.B"),
    "stand_in_wall": ("fault", "cameras.A"),
    "eyeline_height": ("warning", "cameras.A"),
}


def report_on(name: str) -> Report:
    draft = read_scene(HERE / f"{name}.yaml", CATALOG)
    assert draft.scene is not None and not draft.problems, draft.problems
    stage, problems = build_stage(draft.scene, CATALOG, draft.folder, "", draft.places)
    assert not problems
    return measure_set(stage, draft.scene.rules, draft.scene.targets)


REMINDERS = {"overhead", "stand_weight", "cables", "room_rings", "noise"}
"""The boom hangs over the guest in every one of them, the lights are on stands with cables, and the
bare room rings, with a fan in it."""
# A lone key on B's side is mirrored in the white of eyes that look away from B; a boom that hangs
# in A's frame is close over B's.
FOLLOWS = {"key_side": {"no_catchlight"}, "boom_in_frame": {"boom_near_frame"}}


def test_the_good_setup_has_nothing_to_remark() -> None:
    found = report_on("base").findings
    assert {finding.rule for finding in found} == REMINDERS
    assert {finding.severity for finding in found} == {"note"}


@pytest.mark.parametrize("name", EXPECTED)
def test_each_bad_setup_gives_its_finding_and_no_other(name: str) -> None:
    found = report_on(name).findings
    assert {finding.rule for finding in found} - REMINDERS == {name} | FOLLOWS.get(name, set())
    severity, about = EXPECTED[name]
    first = found[0]
    assert (first.severity, first.about) == (severity, about)
    assert first.source and len(first.message.split()) > 8


def test_every_bad_setup_is_tried() -> None:
    assert {path.stem for path in HERE.glob("*.yaml")} == {*EXPECTED, "base"}
