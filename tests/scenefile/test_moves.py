"""Moves in a scene file: what is accepted at the very limit, what goes when one is faulty."""

from __future__ import annotations

from typing import Any

import jsonschema
import pytest
import yaml

from previz.scenefile import scene_schema

SLIDE = "camera: A, kind: slider, duration_s: 8, length_m: 1"
DOLLY = "camera: A, kind: dolly, duration_s: 8"
PAN = "camera: A, kind: pan_and_tilt, duration_s: 8"


def moved(move: str) -> tuple[str, str]:
    """The change that gives the scene a move."""
    return "lights:\n", f"moves:\n  m: {{{move}}}\nlights:\n"


@pytest.mark.parametrize(
    "move",
    [
        f"{SLIDE}, keys: [{{at_s: 0, at_m: [-0.5, -2.4]}}, {{at_s: 8, at_m: [0.5, -2.4]}}]",
        f"{SLIDE}, keys: [{{at_s: 8, at_m: [1, -2.4]}}]",
        f"{SLIDE}, keys: [{{at_s: 0, at_m: [0, -2], height_m: 1}}, {{at_s: 8, at_m: [0, -3]}}]",
        f"{SLIDE}, keys: [{{at_s: 0, at_m: [0, -2]}}, {{at_s: 4, at_m: [0.009, -2.5]}}, "
        "{at_s: 8, at_m: [0, -3]}]",
        f"{SLIDE}, keys: [{{at_s: 4, pan_deg: 5}}]",
        f"{DOLLY}, keys: [{{at_pct: 0}}, {{at_s: 0.001, at_m: [3, -3.5]}}, {{at_pct: 100}}]",
        f"{DOLLY}, keys: [{{at_s: 8, at_m: [0, -2], height_m: 2.8, focus: host}}]",
        f"{PAN}, keys: [{{at_s: 4, aim: host, focus: eye}}, {{at_s: 8, aim_m: [0, 0, 1]}}]",
        f"{PAN}, keys: [{{at_s: 4, focal_length_mm: 24}}, {{at_s: 8, focal_length_mm: 70}}]",
        f"{PAN}, keys: [{{at_s: 8, tilt_deg: -90, f_number: 22}}]",
        "camera: A, kind: focus_pull, duration_s: 600, keys: [{at_s: 600, focus: host}]",
        "camera: A, kind: gimbal_walk, duration_s: 3, sway_mm: 0, keys: [{at_s: 3, at_m: [1, -2]}]",
    ],
)
def test_the_limits_themselves_are_accepted(read: Any, move: str) -> None:
    draft = read(moved(move))
    assert [problem.message for problem in draft.problems] == []
    assert list(draft.scene.moves) == ["m"]
    jsonschema.Draft202012Validator(scene_schema()).validate(yaml.safe_load(draft.path.read_text()))


@pytest.mark.parametrize(
    ("move", "said"),
    [
        (f"{SLIDE}, keys: [{{at_s: 8, at_m: [1.01, -2.4]}}]",
         "moves.m.length_m: must be at least 1.01, as far as the keys are apart, found 1"),
        (f"{DOLLY}, length_m: 2, keys: [{{at_s: 8}}]", "moves.m: only a slider has a length_m; "
         "found length_m"),
        (f"{DOLLY}, sway_mm: 2, keys: [{{at_s: 8}}]", "moves.m: only a gimbal_walk has a sway_mm; "
         "found sway_mm"),
        (f"{DOLLY}, keys: [{{at_s: 8, focus: host, focus_distance_m: 2}}]",
         "moves.m.keys, item 1: give focus or focus_distance_m, not both"),
        (f"{DOLLY}, keys: [{{at_s: 2}}, {{at_s: 2}}]", "moves.m.keys, item 2.at_s: is at 2 s, and "
         "the key before it at 2 s; put the keys in the order of time"),
        (f"{DOLLY}, keys: [{{at_s: 2, position: [0, 0]}}]",
         'moves.m.keys, item 1: unknown key "position"; did you mean "at_m"?'),
    ],
)  # fmt: skip
def test_what_is_just_beyond_is_one_line_and_takes_that_move_alone(
    read: Any, move: str, said: str
) -> None:
    good = f"  good: {{{DOLLY}, keys: [{{at_s: 8, at_m: [0, -2]}}]}}\n"
    old, new = moved(move)
    draft = read((old, new.replace("moves:\n", f"moves:\n{good}")))
    assert [problem.message for problem in draft.problems] == [said]
    assert list(draft.scene.moves) == ["good"]
    assert list(draft.scene.cameras) == ["A"]


def test_a_zoom_that_darkens_as_it_grows_longer_asks_for_a_stop(read: Any) -> None:
    lens = ("zoom_24_70_f2.8\n    focal_length_mm: 50", "LENS\n    focal_length_mm: FOCAL")
    from previz.catalog import Catalog

    lenses = Catalog.load().records("lenses")
    name, record = next(
        (name, lens) for name, lens in lenses.items()
        if lens.is_zoom and lens.widest_f_number(lens.focal_length_mm[1])
        > 1.1 * lens.widest_f_number(lens.focal_length_mm[0])
    )  # fmt: skip
    low, high = record.focal_length_mm
    open_stop = record.widest_f_number(low)
    changes = [
        (lens[0], lens[1].replace("LENS", name).replace("FOCAL", f"{low:g}")),
        ("f_number: 2.8", f"f_number: {open_stop:g}"),
    ]
    zoom = f"{PAN}, keys: [{{at_s: 8, focal_length_mm: {high:g}}}]"
    [problem] = read(*changes, moved(zoom)).problems
    assert "at this focal length the lens opens to f/" in problem.message
    closed = zoom.replace("}]", f", f_number: {record.widest_f_number(high) + 0.1:g}}}]")
    assert read(*changes, moved(closed)).problems == []


def test_a_setting_finds_a_move_by_its_name(read: Any) -> None:
    draft = read(moved(f"{DOLLY}, keys: [{{at_s: 2, at_m: [0, -2]}}]"), sets=("m.duration_s=4",))
    assert draft.problems == []
    assert draft.scene.moves["m"].duration_s == 4
