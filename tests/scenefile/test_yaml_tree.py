"""The tree knows where everything stands, and stays small whatever the text."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.errors import Problem
from previz.scenefile import yaml_tree
from previz.scenefile.places import Places
from previz.scenefile.text import MAX_BYTES, decode, read_text
from previz.scenefile.yaml_tree import Mapping, plain, read_tree

FILE = Path("scene.yaml")


def only_message(text: str) -> str:
    problems = read_tree(text, FILE).problems
    assert len(problems) == 1
    return problems[0].message


def test_every_value_knows_its_line_and_column() -> None:
    root = read_tree("a: 1\nb:\n  c: [x, {d: y}]\n", FILE).root
    assert isinstance(root, Mapping)
    places = Places(root)
    at = {trail: (places.of(*trail).line, places.of(*trail).column) for trail in (
        ("a",), ("b",), ("b", "c"), ("b", "c", 0), ("b", "c", 1, "d"), ("b", "lacking"), (),
    )}  # fmt: skip
    assert at == {
        ("a",): (1, 4), ("b",): (2, 1), ("b", "c"): (3, 3), ("b", "c", 0): (3, 7),
        ("b", "c", 1, "d"): (3, 14), ("b", "lacking"): (2, 1), (): (1, 1),
    }  # fmt: skip


def test_windows_line_ends_and_byte_order_mark_change_nothing() -> None:
    text = decode(b"\xef\xbb\xbfa: 1\r\nb: no\r\n", FILE)
    assert isinstance(text, str)
    reading = read_tree(text, FILE)
    assert [(p.place.line, p.place.column) for p in reading.problems] == [(2, 4)]


def test_key_words_stay_keys() -> None:
    root = read_tree("on: true\nno: 1\ny: 2\n", FILE).root
    assert root is not None
    assert plain(root) == {"on": True, "no": 1, "y": 2}


def test_aliases_repeat_values() -> None:
    root = read_tree("a: &here [1, 2]\nb: *here\n", FILE).root
    assert root is not None
    assert plain(root) == {"a": [1, 2], "b": [1, 2]}


def test_all_traps_are_found_in_one_pass() -> None:
    text = "a: no\nb: 16:9\nc: 1\nc: 2\nd:\ne: ~\n"
    assert [p.place.line for p in read_tree(text, FILE).problems] == [1, 2, 4, 5, 6]


def test_a_growing_alias_costs_no_more_than_it_is_long() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 30)]
    assert "more than 50000 values" in only_message("\n".join(lines))


def test_long_text_may_not_be_multiplied() -> None:
    text = f"a: &a {'x' * 100_000}\nb: [{', '.join(['*a'] * 40)}]\n"
    assert "more than 2000000 characters" in only_message(text)


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_depth_is_limited(opening: str) -> None:
    assert read_tree(opening * 5000, FILE).root is None


def test_depth_counts_through_aliases() -> None:
    text = f"a: &a {'[' * 12}{']' * 12}\nb: {'[' * 12}*a{']' * 12}\n"
    assert "nested more than 20 levels" in only_message(text)


def test_number_of_problems_is_limited() -> None:
    assert len(read_tree("a: 1\n" * 5000, FILE).problems) == yaml_tree.MAX_PROBLEMS + 1


def test_number_of_anchors_is_limited() -> None:
    text = "".join(f"k{i}: &a{i} 1\n" for i in range(200))
    assert "more than 100 anchors" in only_message(text)


def test_the_readers_own_python_version_gives_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    texts = ["a: b: c\n", "a: [1, 2\n", "a: 'x\n", "a:\n\t- b\n", "a: @x\n", "a: ]\n", "a: no\n"]
    with_c = [read_tree(text, FILE).problems for text in texts]
    monkeypatch.setattr(yaml_tree, "LOADER", yaml.SafeLoader)
    assert [read_tree(text, FILE).problems for text in texts] == with_c


def test_files_that_are_no_files(tmp_path: Path) -> None:
    big = tmp_path / "big.yaml"
    big.write_bytes(b"#" * (MAX_BYTES + 1))
    for path, said in (
        (tmp_path / "none.yaml", "no such file"),
        (tmp_path, "is not a file"),
        (big, "is larger than 1000 kB, the most a scene may be"),
        (tmp_path / ("x" * 300), "cannot be read: file name too long"),
    ):
        problem = read_text(path)
        assert isinstance(problem, Problem)
        assert (problem.place.file, problem.message) == (path, said)


@pytest.mark.skipif(sys.platform == "win32", reason="permissions work differently")
def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.yaml"
    path.write_text("a: 1")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    problem = read_text(path)
    assert isinstance(problem, Problem)
    assert problem.message == "cannot be read: permission denied"


KEYS = st.text("abcdefghij_", min_size=1, max_size=8)
VALUES = st.recursive(
    st.text("abc :#-{}[]'\"\\\n", max_size=12) | st.integers(-999, 999) | st.booleans(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=200, derandomize=True, database=None, deadline=None)
@given(st.dictionaries(KEYS, VALUES, min_size=1, max_size=5))
def test_reads_what_a_yaml_writer_wrote(data: dict[str, object]) -> None:
    root = read_tree(yaml.safe_dump(data, width=60), FILE).root
    assert root is not None
    assert plain(root) == data
