"""Files based on others, and settings from the command line."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.errors import Place
from previz.scenefile.layers import merge
from previz.scenefile.yaml_tree import Entry, Leaf, Mapping, Node, plain

HERE = Place(Path("x"), 1, 1)


def messages(draft: Any) -> list[str]:
    return [problem.message for problem in draft.problems]


def test_own_keys_win_and_null_takes_away(read: Any) -> None:
    variant = "based_on: day.yaml\ncameras: {A: {f_number: 4}}\nlights: {key: null}\n"
    base = read().path.read_text()
    draft = read(files={"day.yaml": base, "scene.yaml": variant})
    assert draft.problems == []
    assert draft.scene.cameras["A"].f_number == 4
    assert draft.scene.cameras["A"].focal_length_mm == 50
    assert draft.scene.lights == {}
    assert [file.name for file in draft.files] == ["scene.yaml", "day.yaml"]


def test_places_point_to_the_file_that_holds_the_value(read: Any) -> None:
    variant = "based_on: day.yaml\ncameras:\n  A: {f_number: 4}\n"
    draft = read(files={"day.yaml": read().path.read_text(), "scene.yaml": variant})
    own = draft.places.of("cameras", "A", "f_number")
    inherited = draft.places.of("cameras", "A", "lens")
    assert (own.file.name, own.line, own.column) == ("scene.yaml", 3, 17)
    assert (inherited.file.name, inherited.line) == ("day.yaml", 12)


def test_later_bases_win_and_lists_are_replaced(read: Any) -> None:
    base = read().path.read_text()
    files = {
        "day.yaml": base,
        "far.yaml": "people: {host: {at_m: [1, -3]}}\ntitle: Far\n",
        "near.yaml": "title: Near\n",
        "scene.yaml": "based_on: [day.yaml, far.yaml, near.yaml]\n",
    }
    scene = read(files=files).scene
    assert scene.title == "Near"
    assert scene.people["host"].at_m == (1, -3)


def test_the_first_camera_of_the_base_stays_first(read: Any) -> None:
    camera = "{sensor: full_frame, lens: prime_85_f1.8, f_number: 2.8, aim: guest, "
    camera += "place: {at_m: [1.5, -2], height: eye}}"
    variant = f"based_on: day.yaml\ncameras:\n  B: {camera}\n  A: {{f_number: 4}}\n"
    draft = read(files={"day.yaml": read().path.read_text(), "scene.yaml": variant})
    assert list(draft.scene.cameras) == ["A", "B"]


def test_bases_in_subfolders_count_from_their_own_folder(read: Any) -> None:
    base = read().path.read_text() + "look: {lut: warm.cube}\n"
    files = {
        "parts/day.yaml": base,
        "parts/evening.yaml": "based_on: day.yaml\ntitle: Evening\n",
        "parts/warm.cube": "LUT_3D_SIZE 2\n",
        "scene.yaml": "based_on: parts/evening.yaml\n",
    }
    draft = read(files=files)
    assert draft.problems == []
    assert draft.scene.title == "Evening"
    assert draft.scene.look.lut == "parts/warm.cube"


def test_a_later_place_replaces_an_earlier_way_of_placing(read: Any) -> None:
    base = read().path.read_text()
    numbers = "based_on: day.yaml\nlights: {key: {place: {at_m: [1, -1], height_m: 2}}}\n"
    draft = read(files={"day.yaml": base, "scene.yaml": numbers})
    assert draft.problems == []
    place = draft.scene.lights["key"].place
    assert (place.at_m, place.height_m, place.side, place.distance_m) == ((1, -1), 2, None, None)
    words = (
        "based_on: numbers.yaml\nlights: {key: {place: {side: camera_right, azimuth_deg: 30, "
        "elevation_deg: 20, distance_m: 2}}}\n"
    )
    back = read(files={"day.yaml": base, "numbers.yaml": numbers, "scene.yaml": words})
    assert back.problems == []
    assert back.scene.lights["key"].place.at_m is None


def test_settings_replace_another_way_of_saying_the_same(read: Any) -> None:
    draft = read(sets=("A.place.height_m=1.5", "guest.turn_deg=20", "A.place.frame=close_up"))
    assert draft.problems == []
    assert draft.scene.cameras["A"].place.height is None
    assert draft.scene.cameras["A"].place.at_m is None
    assert draft.scene.people["guest"].faces is None


def test_who_gives_both_ways_at_once_is_told(read: Any) -> None:
    both = "based_on: day.yaml\ncameras: {A: {place: {at_m: [0, -2], frame: close_up}}}\n"
    draft = read(files={"day.yaml": read().path.read_text(), "scene.yaml": both})
    assert ["at_m, or where frame asks" in message for message in messages(draft)] == [True]


def test_too_many_files(read: Any) -> None:
    files = {f"f{i}.yaml": "title: T\n" for i in range(40)}
    files["scene.yaml"] = f"based_on: [{', '.join(files)}]\n"
    assert set(messages(read(files=files))) == {"based_on: more than 32 files make up this scene"}


def test_links_may_not_lead_out(read: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside") / "day.yaml"
    outside.write_text("title: Secret\n")
    draft = read()
    (draft.folder / "link.yaml").symlink_to(outside)
    draft = read(files={"scene.yaml": "based_on: link.yaml\n"})
    assert messages(draft) == ['based_on: "link.yaml": is a link that leaves the scene\'s folder']


def test_settings_change_one_value(read: Any) -> None:
    draft = read(sets=("key.dimmer_pct=25", "cameras.A.f_number=4", "guest.at_m=[0.2, 0.1]"))
    assert draft.problems == []
    assert draft.scene.lights["key"].dimmer_pct == 25
    assert draft.scene.cameras["A"].f_number == 4
    assert draft.scene.people["guest"].at_m == (0.2, 0.1)
    assert str(draft.places.of("lights", "key", "dimmer_pct")) == "--set"


def test_a_colour_is_no_comment(read: Any) -> None:
    draft = read(sets=("room.wall_colour=#00b140",))
    assert draft.problems == []
    assert draft.scene.room.wall_colour == "#00b140"


def test_a_setting_may_take_away_and_may_add(read: Any) -> None:
    assert read(sets=("lights.key=null",)).scene.lights == {}
    assert read(sets=("exposure.white_balance={card: guest}",)).scene.exposure.white_balance.card


@pytest.mark.parametrize(
    ("setting", "message"),
    [
        ("key", '"key" is not PATH=VALUE, such as key.dimmer_pct=50'),
        ("key.on=", "key.on: give one value after =, or null to take the entry away"),
        ("kex.dimmer_pct=5", 'kex.dimmer_pct: nothing in the scene is called "kex"; '
                             'did you mean "key"?'),
        ("key.dimmer_pct=no", 'key.dimmer_pct: no is read as false or as text; write false, '
                              'or "no" for text'),
        ("key.dimmer_pct=[1", "key.dimmer_pct: a list opened with [ lacks a comma or its ]"),
        ("key.dimmer_pct=150", "lights.key.dimmer_pct: must be from 0 to 100, found 150"),
        ("key.dimer_pct=50", 'lights.key: unknown key "dimer_pct"; did you mean "dimmer_pct"?'),
        ("../x=1", '"../x=1" is not PATH=VALUE, such as key.dimmer_pct=50'),
    ],
)  # fmt: skip
def test_settings_that_do_not_fit(read: Any, setting: str, message: str) -> None:
    draft = read(sets=(setting,))
    assert [str(problem) for problem in draft.problems] == [f"--set: {message}"]


def test_a_name_used_twice_needs_its_collection(read: Any) -> None:
    stool = ("cameras:\n", "furniture:\n  key: {piece: stool, at_m: [1, 1]}\ncameras:\n")
    draft = read(stool, sets=("key.turn_deg=20",))
    assert messages(draft) == [
        "key.turn_deg: is there in lights and furniture; write lights.key or furniture.key"
    ]


KEYS = st.sampled_from("abc")
TREES = st.dictionaries(
    KEYS,
    st.recursive(
        st.integers(0, 9),
        lambda inner: st.dictionaries(KEYS, inner, max_size=3),
        max_leaves=8,
    ),
    max_size=3,
)


def grown(value: Any) -> Node:
    if isinstance(value, dict):
        return Mapping({key: Entry(HERE, grown(inner)) for key, inner in value.items()}, HERE)
    return Leaf(value, HERE)


def merged(base: dict[str, Any], own: dict[str, Any]) -> Any:
    first, second = grown(base), grown(own)
    assert isinstance(first, Mapping)
    assert isinstance(second, Mapping)
    return plain(merge(first, second))


def by_hand(base: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    result = copy.deepcopy(base)
    for key, value in own.items():
        both = isinstance(value, dict) and isinstance(result.get(key), dict)
        result[key] = by_hand(result[key], value) if both else value
    return result


@settings(max_examples=200, derandomize=True, database=None, deadline=None)
@given(TREES, TREES)
def test_merging_goes_key_by_key(a: Any, b: Any) -> None:
    assert merged(a, b) == by_hand(a, b)
    assert merged(a, a) == a
    assert merged(a, {}) == a
