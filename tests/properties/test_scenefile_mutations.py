"""Whatever is done to a scene file, reading it gives problems with a place, never an error.

3,000 scenes: a third mutated as text, a third with values replaced by any other, a third with
many entries, most of them holding groups, lists and nothing where numbers belong.
"""

from __future__ import annotations

import copy
import functools
import tempfile
from pathlib import Path
from typing import Any

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from previz.catalog import Catalog
from previz.scenefile import SceneDraft, read_scene

SCENE = """\
previz: 1
title: Luthier at her bench
room: {width_m: 6, depth_m: 7, height_m: 2.8, walls: lime_plaster}
openings:
  window: {wall: west, along_m: 2, width_m: 2.2, sill_m: 0.9, height_m: 1.4, covering: {}}
  door: {kind: door, wall: 3, along_m: 0.5, width_m: 0.9, height_m: 2}
daylight: {sky: overcast}
people:
  guest: {at_m: [0, 0], seat: side_chair, faces: host, clothes: {colour: "#334455"}}
  host: {at_m: [0.5, -2.1], faces: guest, gaze: A}
furniture:
  bench: {piece: workbench, wall: north, along_m: 3}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 2.8
    place: {at_m: [0, -2.4], height: eye}
    aim: guest
  B: {sensor: full_frame, mode: uhd, lens: prime_85_f1.8, f_number: 2.8, aim_m: [0, 0, 1.2],
      place: {at_m: [1.8, -2], height_m: 1.2}, focus_distance_m: 2.5}
lights:
  key:
    fixture: softbox_90
    aim: guest
    place: {side: camera_left, azimuth_deg: 45, elevation_deg: 35, distance_m: 1.6}
    dimmer_pct: 60
  hair: {fixture: fresnel_150, aim: guest, place: {at_m: [1, 1], height_m: 2.2}, beam_deg: 25}
sound: {boom: {over: guest, stand_at_m: [-1.5, 1]}, lavalier: guest}
exposure: {iso: 800, fps: 25, white_balance: {card: guest}}
look: {view: film}
"""
LINES = SCENE.splitlines()
DATA = yaml.safe_load(SCENE)

JUNK = st.sampled_from(
    [
        *(b"\t", b"\x00", b"\xff", b"\xc3", b": ", b"- ", b"[", b"]", b"{", b"}", b"&a ", b"*a"),
        *(b"'", b'"', b"#", b"!!set ", b"<<: ", b"---\n", b"? ", b"|", b">", b"%", b"@", b"~"),
        *(
            b"16:9",
            b"1e400",
            b".nan",
            b"-",
            b"\r",
            b"\n",
            b"\xef\xbb\xbf",
            b"\xe2\x80\xa8",
            b"null",
        ),
    ]
)


@functools.cache
def catalog() -> Catalog:
    return Catalog.load()


def check(data: bytes) -> SceneDraft:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.yaml"
        path.write_bytes(data)
        draft = read_scene(path, catalog())
    for problem in draft.problems:
        assert problem.place.file == path
        assert problem.place.line >= 1
        assert problem.place.column >= 1
        assert problem.message.isprintable()
    assert draft.scene is not None or draft.problems
    assert draft.pruned is False or draft.problems
    return draft


@st.composite
def mutated_text(draw: st.DrawFn) -> bytes:
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 3))):
        here = draw(st.integers(0, len(lines) - 1))
        there = draw(st.integers(0, len(lines) - 1))
        kind = draw(st.sampled_from(["delete", "repeat", "swap", "indent", "junk"]))
        if kind == "delete" and len(lines) > 1:
            del lines[here]
        elif kind == "repeat":
            lines.insert(there, lines[here])
        elif kind == "swap":
            lines[here], lines[there] = lines[there], lines[here]
        elif kind == "indent":
            lines[here] = " " * draw(st.integers(1, 3)) + lines[here]
    data = "\n".join(lines).encode()
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(data)))
        data = data[:at] + draw(JUNK | st.binary(min_size=1, max_size=3)) + data[at:]
    return data


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=12),
    st.sampled_from(["guest", "A", "eye", "uhd", "softbox_90", "north", "prime_35_f2", "16:9", ""]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=6,
)


def trails(value: Any, trail: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    return [trail, *(t for key, v in inner for t in trails(v, (*trail, key)))]


TRAILS = trails(DATA)[1:]


@st.composite
def mutated_values(draw: st.DrawFn) -> bytes:
    data = copy.deepcopy(DATA)
    for _ in range(draw(st.integers(1, 3))):
        *above, last = draw(st.sampled_from(TRAILS))
        node = data
        for part in above:
            inside = isinstance(node, dict) and part in node
            inside |= isinstance(node, list) and isinstance(part, int) and part < len(node)
            node = node[part] if inside else None
        if isinstance(node, dict):
            node[last if draw(st.booleans()) else draw(st.text(max_size=8))] = draw(VALUES)
        elif isinstance(node, list) and isinstance(last, int) and last < len(node):
            node[last] = draw(VALUES)
    return yaml.dump(data, Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True).encode(
        "utf-8", "surrogatepass"
    )


UNLIKE_NUMBERS = st.sampled_from(
    [None, {}, {"x": 1}, {"x": {"y": 2}}, [], [1], [{}], [{}, 1], [1, {"x": 1}], [None, 2],
     [[1, 2], [3, 4]], [[1, {}], [2, 3], [4, 5]], True, "x", "1.5", -1, 1e9, float("inf")]
).map(copy.deepcopy)  # fmt: skip


def at(value: Any, trail: tuple[Any, ...]) -> Any:
    """What stands at `trail`; None where another change has taken it away."""
    for part in trail:
        inside = isinstance(value, dict) and part in value
        inside |= isinstance(value, list) and isinstance(part, int) and part < len(value)
        if not inside:
            return None
        value = value[part]
    return value


def put(value: Any, trail: tuple[Any, ...], new: Any) -> None:
    group, last = at(value, trail[:-1]), trail[-1]
    if isinstance(group, dict) or (
        isinstance(group, list) and isinstance(last, int) and last < len(group)
    ):
        group[last] = new


def numbers(value: Any) -> list[tuple[Any, ...]]:
    """Where numbers stand, alone or as parts of a list, and the lists of them."""
    return [t for t in trails(value)[1:] if isinstance(at(value, t), (int, float, list))]


COLLECTIONS = {name: entries for name, entries in DATA.items() if name in (
    "openings", "people", "furniture", "cameras", "lights",
)}  # fmt: skip


@st.composite
def crowded_scenes(draw: st.DrawFn) -> bytes:
    """Several faults at once, up to more than are ever told, in all places of a scene."""
    data = copy.deepcopy(DATA)
    corners = [[-3.0, -3.0], [3.0, -3.0], [3.0, 4.0], [-3.0, 4.0]]
    if draw(st.booleans()):
        data["room"] = {"floor_m": corners, "height_m": 2.8}
        data["openings"]["window"]["wall"] = 4
    data["meters"] = {"desk": {"at_m": [0, 1, 1], "facing": "up"}}
    data["power"] = {"circuits": {"wall": {"breaker_a": 10}}}
    for _ in range(draw(st.integers(1, 6))):
        put(data, draw(st.sampled_from(numbers(data))), draw(UNLIKE_NUMBERS))
    for name, entries in COLLECTIONS.items():
        pattern = copy.deepcopy(draw(st.sampled_from(list(entries.values()))))
        spoilt = draw(st.lists(st.sampled_from(trails(pattern)[1:]), max_size=8))
        for trail in spoilt:
            put(pattern, trail, draw(UNLIKE_NUMBERS))
        for number in range(draw(st.sampled_from([0, 1, 3, 12, 41]))):
            data[name][f"more_{number}"] = pattern
    return yaml.dump(data, Dumper=Plain, sort_keys=False).encode()


class Plain(yaml.CSafeDumper):
    """Writes what is there twice in full: an alias is a fault of its own."""

    def ignore_aliases(self, _data: Any) -> bool:
        return True


MANY = settings(
    max_examples=400, derandomize=True, database=None, deadline=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip


def test_the_scene_itself_is_sound() -> None:
    draft = check(SCENE.encode())
    assert draft.problems == []
    assert draft.scene is not None
    assert not draft.pruned


@MANY
@given(mutated_text())
def test_any_text_is_read(data: bytes) -> None:
    check(data)


@MANY
@given(mutated_values())
def test_any_values_are_read(data: bytes) -> None:
    check(data)


@MANY
@given(crowded_scenes())
def test_any_number_of_faults_is_read(data: bytes) -> None:
    check(data)
