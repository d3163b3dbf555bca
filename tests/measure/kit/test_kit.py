"""Parts of the list by hand: cuts and rolls, leads along walls, fittings, media, cases."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from previz.measure.gear.stands import POUND_BAG_KG
from previz.measure.kit.day import LIFT_KG, day_of
from previz.measure.kit.gel import nd_sheets, roll_for
from previz.measure.kit.item import Item
from previz.measure.kit.leads import Lead, ramps_of
from previz.measure.kit.needs import Needs, needs_of
from previz.measure.report import Report

GELS = {"nd_0.6": "ND 0.6", "orange_full": "Orange, full"}
KEY = "lights.key={fixture: softbox_90, aim: guest, place: {at_m: [1.5, -1.5], height_m: 2}}"


def needs(measure: Any, settings: Sequence[str] = ()) -> Needs:
    report: Report = measure("", settings)
    return needs_of(report.measured.stage, GELS)


def named(found: Needs, words: str) -> list[Item]:
    return [item for item in found.items if words in item.name]


@pytest.mark.parametrize(
    ("density", "sheets"),
    [(0.0, ()), (0.05, ()), (0.3, (0.3,)), (0.45, (0.3, 0.15)), (0.6, (0.6,)), (1.05, (0.9, 0.15)),
     (1.8, (1.2, 0.6)), (2.1, (1.2, 0.9)), (0.5, (0.3, 0.15))],
)  # fmt: skip
def test_films_that_make_a_density(density: float, sheets: tuple[float, ...]) -> None:
    assert nd_sheets(density) == sheets


@pytest.mark.parametrize(
    ("sizes", "roll_m", "length_m"),
    [
        ([(0.6, 1.0)] * 2, 1.22, 1.0),  # side by side
        ([(0.6, 1.0)] * 3, 1.22, 1.8),  # one under another, for that takes less
        ([(0.74, 1.0)] * 2, 1.52, 1.0),  # two abreast only on the wider one
        ([(1.4, 2.0)], 1.52, 2.0),
        ([(2.0, 1.0)], 1.22, 2.0),  # the long side along the roll
        ([(2.0, 2.0)], 1.22, 4.0),  # two strips, joined; on the wider one as long
        ([(0.6, 1.0), (0.6, 1.0), (1.2, 0.5)], 1.22, 1.5),
    ],
)
def test_the_roll_that_wastes_least(
    sizes: list[tuple[float, float]], roll_m: float, length_m: float
) -> None:
    assert roll_for(sizes) == (roll_m, pytest.approx(1.1 * length_m))


def test_cuts_are_larger_than_pane_and_face(measure: Any) -> None:
    window = ("openings.window={kind: window, wall: west, along_m: 2, width_m: 1.2, height_m: 1.5, "
              "sill_m: 0.9, panes_across: 3, panes_up: 2, gels: [orange_full]}")  # fmt: skip
    found = needs(measure, [KEY, "key.gels=[nd_0.6]", window])
    [pane], [face] = named(found, "Orange, full, cut"), named(found, "ND 0.6, cut")
    assert (pane.count, pane.size_m) == (6, (0.44, 0.79))
    assert (face.count, face.size_m) == (1, (1.0, 1.0))


def test_a_tube_is_wrapped_and_a_hot_lamps_gel_is_rated(measure: Any) -> None:
    for fixture, size in (("tube_120", (0.241, 1.3)), ("fresnel_tungsten_650", (0.22, 0.22))):
        found = needs(measure, [KEY, f"key.fixture={fixture}", "key.gels=[nd_0.6]"])
        [cut] = named(found, "ND 0.6, cut")
        assert cut.size_m == size
        assert ("heat-rated" in cut.note) == (fixture == "fresnel_tungsten_650")


def test_a_lead_runs_along_the_walls(measure: Any) -> None:
    """The room is 6 x 8 m. The key stands 1.5 m from the east wall and 1.5 m south of its middle:
    1.5 along and 1.5 over the floor, 2 up to the lamp, 0.3 to a socket, 15 % more; 6 cm off the
    wall it is a little less. To a socket far up the east wall it is 5 along the wall."""
    [lead] = needs(measure, [KEY]).leads
    assert (lead.length_m, lead.doors) == (pytest.approx(1.15 * 5.3, abs=0.1), ())
    socket = "furniture.socket={piece: wall_socket, wall: east, along_m: 0.5, gap_m: 0}"
    found = needs(measure, [KEY, socket])
    [lead], [extension] = found.leads, named(found, "Extension lead")
    assert lead.length_m == pytest.approx(1.15 * 8.8, abs=0.15)
    assert extension.size_m == (10.0,)
    assert not any("Where are the sockets" in question for question in found.questions)


def test_a_doorway_that_leads_pass_takes_ramps_once(measure: Any) -> None:
    door = "openings.door={kind: door, wall: east, along_m: 2, width_m: 1.2, height_m: 2}"
    stage = measure("", [KEY, door]).measured.stage
    leads = tuple(Lead(name, 9.0, ("door",)) for name in ("key", "fill"))
    assert ramps_of(stage, leads) == 2, "1.2 m of doorway takes two pieces of a metre"
    assert ramps_of(stage, (Lead("key", 9.0, ()),)) == 0


def test_a_door_on_the_other_way_round_is_not_passed(measure: Any) -> None:
    door = "openings.door={kind: door, wall: west, along_m: 2, width_m: 1.2, height_m: 2}"
    found = needs(measure, [KEY, door])
    assert [lead.doors for lead in found.leads] == [()]
    assert named(found, "Cable ramp") == []


def test_what_holds_and_what_is_fitted(measure: Any) -> None:
    found = needs(
        measure,
        [KEY, "key.grid_deg=40",
         "lights.rim={fixture: fresnel_tungsten_300, aim: guest, stand: boom_arm, dimmer_pct: 50, "
         "barn_doors: {top_deg: 30}, place: {at_m: [-1, 1.5], height_m: 2.2}}",
         "lights.top={fixture: lantern_60, aim: guest, stand: none, "
         "place: {at_m: [0, 0.8], height_m: 2.6}}"],
    )  # fmt: skip
    for words, count in (
        ("Egg-crate of 40 degrees for softbox 90", 1), ("Barn doors for small fresnel", 1),
        ("Dimmer for 300 W of filament", 1), ("Clamp and safety wire", 1),
        ("Arm to reach over the set", 1), ("Light stand", 2), ("Pair of heat-proof gloves", 2),
    ):  # fmt: skip
        assert [item.count for item in named(found, words)] == [count], words
    # Key: two bags (20 N at 2 m over 0.25 m, less 7.6 kg); rim: 20 x 2.2 / (9.81 x 0.225) is 19.9,
    # less 5.2 kg: three, and two on its arm.
    assert [item.count for item in named(found, "Sandbag")] == [7]
    assert any("hang from" in question for question in found.questions)


def test_bags_of_15_pounds_are_fewer_where_they_hold_more(measure: Any) -> None:
    """Rim of the test above, lower: 20 x 1.85 / (9.81 x 0.225) is 16.8, less 5.2: 11.6 kg."""
    rim = (
        "lights.rim={fixture: fresnel_tungsten_300, aim: guest, "
        "place: {at_m: [-1, 1.5], height_m: 1.85}}"
    )
    stage = measure("", [rim]).measured.stage
    counts = [
        [(item.count, round(item.weight_kg, 1)) for item in needs_of(stage, {}, bag_kg).items
         if item.name == "Sandbag"]
        for bag_kg in (5.0, POUND_BAG_KG)
    ]  # fmt: skip
    assert counts == [[(3, 5.0)], [(2, 6.8)]]


def test_what_is_not_there_is_not_brought(measure: Any) -> None:
    found = needs(measure, ["recording.hours=0"])
    categories = {item.category for item in found.items}
    assert categories.isdisjoint({"gel", "lights", "filters", "sound", "power", "media"})
    assert named(found, "Ladder") == named(found, "Gaffer") == named(found, "Sandbag") == []
    assert any("Who records the voice" in question for question in found.questions)
    assert not any("rated for" in question for question in found.questions)


def test_a_rating_that_the_scene_gives_is_not_asked_for(measure: Any) -> None:
    found = needs(measure, [KEY, "power.circuits={wall: {breaker_a: 10}, hall: {other_w: 500}}"])
    assert found.guessed == ("hall",)
    [asked] = [question for question in found.questions if "rated for" in question]
    assert "breaker of hall rated" in asked


def test_nd_between_the_steps_is_a_variable_filter(measure: Any) -> None:
    [even] = named(needs(measure, ["exposure.nd_density=1.2"]), "filter, front")
    [odd] = named(needs(measure, ["exposure.nd_density=0.5"]), "filter, front")
    assert even.name.startswith("ND 1.2 filter") and odd.name.startswith("Variable ND filter")


def test_a_move_brings_what_carries_it(measure: Any) -> None:
    slide = ("moves.slide={camera: A, kind: slider, length_m: 0.6, duration_s: 6, keys: "
             "[{at_s: 0, at_m: [-0.2, -2.5]}, {at_s: 6, at_m: [0.2, -2.5]}]}")  # fmt: skip
    [slider] = named(needs(measure, [slide]), "Slider")
    assert slider.size_m == (0.4,)


def day(*lines: tuple[str, int, float | None], category: str = "lights") -> Any:
    items = tuple(Item(category, n, c, weight_kg=kg) for n, c, kg in lines)  # type: ignore[arg-type]
    return day_of({"one": Needs("", items, None, (), (), (), ())})  # type: ignore[arg-type]


def test_cases_are_filled_and_closed_before_they_take_two(measure: Any) -> None:
    """A light case weighs 4 kg and is closed over 15: two of 5 kg go in, the third does not."""
    made = day(("soft", 3, 5.0), ("small", 1, 1.0))
    assert [(c.name, c.weight_kg) for c in made.cases] == [
        ("Light case 1", 14.0), ("Light case 2", 10.0),
    ]  # fmt: skip
    assert [[(line.item.name, n) for line, n in c.contents] for c in made.cases] == [
        [("soft", 2)], [("soft", 1), ("small", 1)],
    ]  # fmt: skip
    assert not any(c.takes_two for c in made.cases)


def test_one_heavy_thing_is_carried_by_two() -> None:
    [alone] = day(("large", 1, 13.0)).cases
    assert alone.weight_kg == 17.0 > LIFT_KG and alone.takes_two
    [just] = day(("large", 1, 12.0)).cases
    assert just.weight_kg == 16.0 and not just.takes_two


def test_what_has_no_known_weight_is_packed_and_said_to_be_unknown() -> None:
    made = day(("own", 2, None), category="cameras")
    assert made.items[0].weight_kg is None
    [case] = made.cases
    assert case.weight_kg == 4.5 and case.contents[0][1] == 2
