"""Values written into a scene's text: only their own characters are others afterwards."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from previz.errors import InputError
from previz.scenefile.writing import Edit, edited
from previz.scenefile.yaml_tree import Mapping, read_tree

TEXT = """\
# Two cameras.
previz: 1
title: 'The bench'   # said

cameras:
  A:  # beside her
    lens: zoom    # the long one
    f_number: 2.8 # open
    iso: 800      # bright
    place: {at_m: [0.1, -2.35], height: eye}  # p
    # what A has not: nd

  # B is next.
  B: {f_number: 4, aim_m: [0, 0, 1.2],
      place: {at_m: [1.8, -2]}, gels: [nd_0.6]}
  C: {
    f_number: 4,  # four
    iso: 400  # less
  }
lights:
  key:
    at_m:
    - 1   # x
    - -2  # y
    gels: []
    dimmer_pct: 18
notes: >-  # n
  Some words,
  and more.

picture: {size: hd}
"""


def changes(text: str, *edits: tuple[str, Any], below: str | None = None) -> list[str]:
    """Lines taken out (-) and put in (+)."""
    tree = None
    if below is not None:
        tree = read_tree(below, Path("day.yaml")).root
        assert isinstance(tree, Mapping)
    after = edited(text, [Edit(path, value) for path, value in edits], tree)
    old, new = text.split("\n"), after.split("\n")
    while old and new and old[0] == new[0]:
        del old[0], new[0]
    while old and new and old[-1] == new[-1]:
        del old[-1], new[-1]
    return [f"-{line}" for line in old] + [f"+{line}" for line in new]


@pytest.mark.parametrize(
    ("path", "value", "lines"),
    [
        ("lights.key.dimmer_pct", 42, ["-    dimmer_pct: 18", "+    dimmer_pct: 42"]),
        ("key.dimmer_pct", 17.26, ["-    dimmer_pct: 18", "+    dimmer_pct: 17.3"]),
        ("cameras.A.f_number", 11.3137085,
         ["-    f_number: 2.8 # open", "+    f_number: 11.31 # open"]),
        ("A.iso", 12800, ["-    iso: 800      # bright", "+    iso: 12800    # bright"]),
        ("A.lens", "prime",
         ["-    lens: zoom    # the long one", "+    lens: prime   # the long one"]),
        ("A.place.at_m", [0.1, -2],
         ["-    place: {at_m: [0.1, -2.35], height: eye}  # p",
          "+    place: {at_m: [0.1, -2], height: eye}  # p"]),
        ("A.place.height", None,
         ["-    place: {at_m: [0.1, -2.35], height: eye}  # p",
          "+    place: {at_m: [0.1, -2.35]}  # p"]),
        ("A.place.height_m", 1.25,
         ["-    place: {at_m: [0.1, -2.35], height: eye}  # p",
          "+    place: {at_m: [0.1, -2.35], height: eye, height_m: 1.25}  # p"]),
        ("A.nd_density", 0.3, ["+    nd_density: 0.3"]),
        ("A.iso", None, ["-    iso: 800      # bright"]),
        ("B.aim_m", None, ["-  B: {f_number: 4, aim_m: [0, 0, 1.2],", "+  B: {f_number: 4,"]),
        ("B.gels", ["nd_0.3", "half, ctb"],
         ["-      place: {at_m: [1.8, -2]}, gels: [nd_0.6]}",
          '+      place: {at_m: [1.8, -2]}, gels: [nd_0.3, "half, ctb"]}']),
        ("C.nd_density", 0.6,
         ["-    iso: 400  # less", "+    iso: 400,  # less", "+    nd_density: 0.6"]),
        ("C.iso", None,
         ["-    f_number: 4,  # four", "-    iso: 400  # less", "+    f_number: 4  # four"]),
        ("key.at_m", [1, -2.5], ["-    - -2  # y", "+    - -2.5  # y"]),
        ("key.at_m", [1, -2, 3], ["+    - 3"]),
        ("key.at_m", [1], ["-    - -2  # y"]),
        ("key.gels", ["ctb"], ["-    gels: []", "+    gels: [ctb]"]),
        ("title", "it's", ["-title: 'The bench'   # said", "+title: 'it''s'       # said"]),
        ("notes", "a: b",
         ["-notes: >-  # n", "-  Some words,", "-  and more.", '+notes: "a: b"  # n']),
        ("picture.size", None, ["-picture: {size: hd}", "+picture: {}"]),
        ("exposure.white_balance.cct_k", 4500.0,
         ["+exposure:", "+  white_balance: {cct_k: 4500}"]),
        ("look.view", "film", ["+look: {view: film}"]),
        ("lights.fill.dimmer_pct", 5, ["+  fill:", "+    dimmer_pct: 5"]),
        ("cameras.D.f_number", 4, ["+  D: {f_number: 4}"]),
        ("lights", None,
         ["-lights:", "-  key:", "-    at_m:", "-    - 1   # x", "-    - -2  # y", "-    gels: []",
          "-    dimmer_pct: 18"]),
        ("A.place.nothing_m", None, []),
        ("A.f_number", 2.8, []),
        ("A.place.at_m", [0.1, -2.35], []),
    ],
)  # fmt: skip
def test_what_changes(path: str, value: Any, lines: list[str]) -> None:
    assert changes(TEXT, (path, value)) == lines


def test_a_comment_column_shared_by_lines_is_kept() -> None:
    text = "room:\n  a: 5   # one\n  b: 15  # two\n  c: 5 # three\n"
    assert changes(text, ("room.a", 123)) == ["-  a: 5   # one", "+  a: 123 # one"]
    assert changes(text, ("room.b", 1)) == ["-  b: 15  # two", "+  b: 1   # two"]
    assert changes(text, ("room.c", 55)) == ["-  c: 5 # three", "+  c: 55 # three"]


def test_the_columns_of_a_table_are_kept() -> None:
    text = "room:\n  a: {piece: table,   at: 1}\n  bb: {piece: chairs, at: 2}\n"
    assert changes(text, ("room.a.piece", "bench_2")) == [
        "-  a: {piece: table,   at: 1}", "+  a: {piece: bench_2, at: 1}"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "value", "word"),
    [
        ("x_m", 35.00000001, "35"), ("x_m", 0.1 + 0.2, "0.3"), ("x_m", -2.34567, "-2.346"),
        ("x_m", 0.0004567, "0.000457"), ("x_m", -0.0, "0"), ("cct_k", 5612.4, "5612"),
        ("latitude_deg", 54.201237, "54.20124"), ("turn_deg", 54.201237, "54.2"),
        ("fps", 23.976023976, "23.976"), ("fps", 1e20, "1.0e+20"), ("fps", 0.00001, "0.00001"),
        ("seed", 123456789, "123456789"), ("seed", True, "true"), ("a", "no", '"no"'),
        ("a", "16:9", '"16:9"'), ("a", "null", '"null"'), ("a", "3", '"3"'),
        ("a", "a #b", '"a #b"'),
        ("a", "é\n\x85", '"é\\n\\u0085"'), ("a", "", '""'), ("a", "Ein Möbel", "Ein Möbel"),
        ("at", "2026-05-12T11:00+02:00", "2026-05-12T11:00+02:00"),
    ],
)  # fmt: skip
def test_how_a_value_is_written(key: str, value: Any, word: str) -> None:
    assert edited("room: {a: 1}\n", [Edit(f"look.{key}", value)]) == (
        f"room: {{a: 1}}\nlook: {{{key}: {word}}}\n"
    )


def test_line_ends_mark_and_a_last_line_without_end_stay() -> None:
    text = "\ufeffroom:\r\n  a: 1  # x\r\n\r\n  # b\r\n  b: 2"
    assert edited(text, [Edit("room.c", 3), Edit("room.a", 4)]) == (
        "\ufeffroom:\r\n  a: 4  # x\r\n\r\n  # b\r\n  b: 2\r\n  c: 3"
    )
    assert edited(text, [Edit("room.b", None)]) == "\ufeffroom:\r\n  a: 1  # x\r\n\r\n  # b"


def test_comments_further_in_stay_with_what_they_follow() -> None:
    text = "room:\n  a: 1\n  b:\n    c: 2\n    # d: 3\n\n    # e: 4\n\n  # next\n# last\n"
    assert edited(text, [Edit("room.f", 5)]) == text.replace("e: 4\n", "e: 4\n  f: 5\n")
    assert edited(text, [Edit("look.f", 5)]) == text.replace("next\n", "next\nlook:\n  f: 5\n")
    assert edited(text, [Edit("room.b.f", 5)]) == text.replace("c: 2\n", "c: 2\n    f: 5\n")


SHARED = """\
lights:
  key: &lamp  # the large one
    dimmer_pct: &half 50
    gels: [nd_0.6, "a, b"]  # two
  fill: *lamp
  hair: *lamp
  lamp: {dimmer_pct: *half}
"""


def test_a_value_reached_through_a_repeat_is_written_out_there() -> None:
    assert changes(SHARED, ("fill.dimmer_pct", 20)) == [
        "-  fill: *lamp", '+  fill: {dimmer_pct: 20, gels: [nd_0.6, "a, b"]}'
    ]  # fmt: skip
    assert changes(SHARED, ("lights.lamp.dimmer_pct", 20)) == [
        "-  lamp: {dimmer_pct: *half}", "+  lamp: {dimmer_pct: 20}"
    ]  # fmt: skip


def test_what_repeats_a_value_keeps_it_when_that_changes() -> None:
    assert edited(SHARED, [Edit("key.dimmer_pct", 20)]) == (
        "lights:\n"
        "  key:  # the large one\n"
        "    dimmer_pct: 20\n"
        '    gels: [nd_0.6, "a, b"]  # two\n'
        '  fill: &lamp {dimmer_pct: 50, gels: [nd_0.6, "a, b"]}\n'
        "  hair: *lamp\n"
        "  lamp: {dimmer_pct: 50}\n"
    )


def test_what_is_inherited_is_overridden_here_and_taken_away_by_null() -> None:
    text = "based_on: day.yaml\ncameras:\n  A: {f_number: 4}\n"
    below = "cameras: {A: {f_number: 2.8, nd_density: 0.3}}\nlights: {key: {dimmer_pct: 5}}\n"
    changed = "-  A: {f_number: 4}"
    assert changes(text, ("key.dimmer_pct", 20), below=below) == [
        "+lights:", "+  key: {dimmer_pct: 20}"
    ]  # fmt: skip
    assert changes(text, ("A.nd_density", None), below=below) == [
        changed, "+  A: {f_number: 4, nd_density: null}"
    ]  # fmt: skip
    assert changes(text, ("A.f_number", None), below=below) == [changed, "+  A: {f_number: null}"]
    assert changes(text, ("A.iso", None), below=below) == []


@pytest.mark.parametrize(
    ("text", "path", "value", "line"),
    [
        (TEXT, "kex.dimmer_pct", 5,
         'scene.yaml: kex.dimmer_pct: nothing in the scene is called "kex"; did you mean "key"?'),
        (TEXT, "key..x", 5,
         "scene.yaml: key..x: is no path to a value, such as key.dimmer_pct"),
        (TEXT, "title.x", 5,
         'scene.yaml:3:8: title.x: title must be a group of keys to hold this, found "The bench"'),
        (TEXT, "A.iso", float("nan"),
         "scene.yaml:9:10: A.iso: must be a finite number, found nan"),
        (TEXT, "A.iso", {"a": 1},
         "scene.yaml:9:10: A.iso: must be a number, text, true, false or a list of them, "
         "found a group of keys"),
        ("title: x\n", "title", None,
         "scene.yaml:1:8: title: is all that the file holds and cannot be taken out of it"),
        ("room: {a: 1}\n? title\n: x\n", "title", None,
         "scene.yaml:3:3: title: begins in the middle of a line; change it by hand"),
        ("notes: |+\n  x\ntitle: a\n\nlook: {}\n", "title", None,
         "scene.yaml:3:8: title: cannot be changed without touching what is beside it; "
         "do it by hand"),
        ("a: [\n", "title", 1,
         "scene.yaml:2:1: a value is expected here; put text that starts with a sign in quotes"),
        ("a: \u2028\n", "title", 1,
         "scene.yaml:1:4: invisible character U+2028 is not allowed; delete it"),
        ("- a\n", "title", 1, "scene.yaml:1:1: a scene is keys with values; nothing was written"),
    ],
)  # fmt: skip
def test_what_cannot_be_written_is_one_line(text: str, path: str, value: Any, line: str) -> None:
    with pytest.raises(InputError) as caught:
        edited(text, [Edit(path, value)])
    assert str(caught.value) == line
