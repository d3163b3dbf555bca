"""A value written into any scene's text is there, and nothing else of the text is another."""

from __future__ import annotations

import copy
import random
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from previz.errors import InputError
from previz.scenefile.writing import Edit, edited
from previz.scenefile.written import as_written, same
from previz.scenefile.yaml_tree import plain, read_tree

TOPS = ("room", "lights", "cameras", "exposure", "title", "notes", "look", "sound")
KEYS = ("a", "bb", "c_m", "d_pct", "key_2", "no", "E")
WORDS = ("guest", "eye level", "nd_0.6", "first, second", "it's: so", "# none", "true", "é", "4:3")


@dataclass
class Text:
    """Lines with the trail of the entry that each belongs to; comments name it too."""

    lines: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    anchors: list[str] = field(default_factory=list)
    comments: int = 0

    @property
    def has_aliases(self) -> bool:
        return any("*r" in line for line, _ in self.lines)


class Writer:
    def __init__(self, seed: int, repeats: bool) -> None:
        self.chance = random.Random(seed)
        self.text = Text()
        self.named = 0
        self.repeats = repeats

    def write(self) -> tuple[str, Text]:
        step = self.chance.choice((2, 2, 4))
        self.block(0, (), step, TOPS)
        ending = self.chance.choice(("\n", "\n", "\r\n"))
        whole = ending.join(line for line, _ in self.text.lines)
        last = "" if self.chance.random() < 0.3 else ending
        mark = "\ufeff" if self.chance.random() < 0.2 else ""
        return mark + whole + last, self.text

    def often(self, share: float) -> bool:
        return self.chance.random() < share

    def line(self, line: str, trail: tuple[str, ...]) -> None:
        self.text.lines.append((line, trail))

    def comment(self, trail: tuple[str, ...]) -> str:
        self.text.comments += 1
        return f"# c{self.text.comments} of {'.'.join(trail)}"

    def tail(self, trail: tuple[str, ...]) -> str:
        blanks = " " * self.chance.choice((1, 2, 2, 5))
        return blanks + self.comment(trail) if self.often(0.3) else ""

    def block(
        self, indent: int, trail: tuple[str, ...], step: int, keys: tuple[str, ...] = KEYS
    ) -> None:
        for key in self.chance.sample(keys, self.chance.randint(1, 4)):
            inner = (*trail, key)
            if self.often(0.2):
                self.line("", trail)
            if self.often(0.25):
                column = self.chance.choice((indent, indent, 0, indent + 1))
                self.line(" " * column + self.comment(trail), trail)
            self.entry(" " * indent, key, indent, inner, step)

    def entry(self, pad: str, key: str, indent: int, trail: tuple[str, ...], step: int) -> None:
        shown = self.chance.choice((key, key, key, f'"{key}"'))
        head = f"{pad}{shown}:{' ' * self.chance.choice((1, 1, 1, 3))}"
        kind = self.chance.choice(("map", "map", "flow", "list", "number", "word", "lines"))
        if len(trail) > 4 and kind == "map":
            kind = "flow"
        if kind in ("map", "list") and self.often(0.6 if kind == "map" else 0.4):
            name = self.anchor(repeated=False)
            self.line(f"{head}{name}".rstrip() + self.tail(trail), trail)
            if kind == "map":
                self.block(indent + step, trail, step)
            else:
                self.items(indent + self.chance.choice((0, step)), trail)
            self.note(name)
        elif kind == "lines":
            self.lines(head, indent, step, trail)
        elif kind == "flow" and self.often(0.3):
            self.tall_flow(head, indent, trail, step)
        else:
            self.line(f"{head}{self.flow(kind, trail)}{self.tail(trail)}", trail)

    def items(self, indent: int, trail: tuple[str, ...]) -> None:
        for _ in range(self.chance.randint(1, 3)):
            self.line(f"{' ' * indent}- {self.value()}{self.tail(trail)}", trail)

    def lines(self, head: str, indent: int, step: int, trail: tuple[str, ...]) -> None:
        sign = self.chance.choice(("|", "|-", ">", ">-", "|+"))
        self.line(f"{head}{sign}{self.tail(trail)}", trail)
        for _ in range(self.chance.randint(1, 2)):
            self.line(f"{' ' * (indent + step)}{self.chance.choice(WORDS)}", trail)
        # So that a text never ends here: there | and |- would mean the same.
        key = f"after_{len(self.text.lines)}"
        self.line(f"{' ' * indent}{key}: 1", (*trail[:-1], key))

    def tall_flow(self, head: str, indent: int, trail: tuple[str, ...], step: int) -> None:
        keys = self.chance.sample(KEYS, self.chance.randint(1, 3))
        hanging = self.often(0.5)
        pad = " " * (indent + step)
        self.line(head + "{" + (self.tail(trail) if hanging else f"z: 0,{self.tail(trail)}"), trail)
        for key in keys[:-1]:
            inner = (*trail, key)
            self.line(f"{pad}{key}: {self.value()},{self.tail(inner)}", inner)
        inner = (*trail, keys[-1])
        last = f"{pad}{keys[-1]}: {self.value()}{self.chance.choice(('', ',')) if hanging else ''}"
        if hanging:
            self.line(last + self.tail(inner), inner)
            self.line(" " * (indent + 1) + "}", trail)
        else:
            self.line(last + "}" + self.tail(trail), inner)

    def flow(self, kind: str, trail: tuple[str, ...]) -> str:
        name = self.anchor()
        if name.startswith("*"):
            return name
        word = self.value()
        if kind == "list":
            word = f"[{', '.join(self.value() for _ in range(self.chance.randint(0, 3)))}]"
        elif kind in ("map", "flow"):
            word = self.flow_map(len(trail))
        if word.startswith("*"):
            return word
        self.note(name)
        return f"{name}{' ' if name else ''}{word}"

    def flow_map(self, depth: int) -> str:
        edge = self.chance.choice(("", "", " "))
        parts = []
        for key in self.chance.sample(KEYS, self.chance.randint(0, 3)):
            deeper = depth < 5 and self.often(0.3)
            parts.append(f"{key}: {self.flow_map(depth + 1) if deeper else self.value()}")
        return "{" + edge + self.chance.choice((", ", ", ", ",  ")).join(parts) + edge + "}"

    def value(self) -> str:
        if self.repeats and self.text.anchors and self.often(0.15):
            return f"*{self.chance.choice(self.text.anchors)}"
        number = self.chance.choice(("1", "2.50", "-0.35", "5600", "0", "1e3", "true", "null"))
        word = self.chance.choice(WORDS)
        quoted = word.replace("'", "''")
        plain = self.chance.choice(("guest", "eye level", "nd_0.6"))
        return self.chance.choice((number, number, f'"{word}"', f"'{quoted}'", plain))

    def anchor(self, repeated: bool = True) -> str:
        """Sometimes an anchor, sometimes (in place of a value) an alias, mostly nothing."""
        if not self.repeats or self.often(0.6):
            return ""
        if repeated and self.text.anchors and self.often(0.5):
            return f"*{self.chance.choice(self.text.anchors)}"
        self.named += 1
        return f"&r{self.named}"

    def note(self, name: str) -> None:
        if name.startswith("&"):
            self.text.anchors.append(name[1:])


MANY = settings(max_examples=300, derandomize=True, database=None, deadline=None)
VALUES: tuple[Any, ...] = (
    42, 2.8, -0.35, 35.00000001, 0.1 + 0.2, 1e-4, True, "guest", "no", "a: b # c", "it's", "",
    "é\n", "2026-05-12T11:00+02:00", [0.1, -2.35], [1], [1, 2, 3, 4], ["nd_0.3", "half, ctb"], [],
)  # fmt: skip
COMMENT = re.compile(r"# c(\d+) of ([\w.]*)")


def trails(data: dict[str, Any], above: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for key, value in data.items():
        found.append((*above, key))
        if isinstance(value, dict):
            found += trails(value, (*above, key))
    return found


def content(text: str) -> dict[str, Any]:
    reading = read_tree(text.removeprefix("\ufeff"), Path("x.yaml"))
    assert reading.problems == []
    assert reading.root is not None
    data = plain(reading.root)
    assert isinstance(data, dict)
    return data


def wanted(data: dict[str, Any], trail: tuple[str, ...], value: Any) -> dict[str, Any]:
    data = copy.deepcopy(data)
    group = data
    for key in trail[:-1]:
        if value is None and key not in group:
            return data
        group = group.setdefault(key, {})
    if value is None:
        group.pop(trail[-1], None)
    else:
        group[trail[-1]] = as_written(trail[-1], value)
    return data


def drawn_edit(data: dict[str, Any], chance: random.Random) -> tuple[tuple[str, ...], Any]:
    """A trail that is there or not, through groups alone, and a value or None."""
    there = [t for t in trails(data) if all(re.fullmatch(r"[A-Za-z]\w*", key) for key in t)]
    there = [t for t in there if t[0] in TOPS and len(t) <= 6]
    trail = chance.choice(there) if there and chance.random() < 0.7 else (chance.choice(TOPS),)
    group: Any = data
    for key in trail:
        group = group.get(key) if isinstance(group, dict) else None
    if chance.random() < 0.4 and (isinstance(group, dict) or trail[0] not in data):
        trail = (*trail, *chance.sample(KEYS, chance.randint(1, min(2, 6 - len(trail)) or 1)))[:6]
        for depth in range(1, len(trail)):
            inner: Any = data
            for key in trail[:depth]:
                inner = inner.get(key, {}) if isinstance(inner, dict) else None
            if not isinstance(inner, dict):
                return trail[:depth], chance.choice(VALUES)
    return trail, None if chance.random() < 0.25 else chance.choice(VALUES)


def comments(text: str) -> list[str]:
    return [found[1] for found in COMMENT.finditer(text)]


def outside(text: Text, trail: tuple[str, ...]) -> list[str]:
    """Comments that do not lie within the value at the trail."""
    numbers = []
    for line, _ in text.lines:
        for number, owner in COMMENT.findall(line):
            path = tuple(owner.split("."))
            if path[: len(trail)] != trail:
                numbers.append(number)
    return numbers


def lacking(few: list[str], many: list[str]) -> int:
    """How many of the few are not among the many, in their order."""
    count = 0
    for one in few:
        if one in many:
            many = many[many.index(one) + 1 :]
        else:
            count += 1
    return count


def lines_of_others(text: Text, trail: tuple[str, ...]) -> list[str]:
    """Lines that hold nothing of the value at the trail and no group that it lies in."""
    return [
        line for line, owner in text.lines
        if owner[: len(trail)] != trail and trail[: len(owner)] != owner
    ]  # fmt: skip


@MANY
@given(st.integers(0, 10**9), st.booleans())
def test_made_up_texts(seed: int, repeats: bool) -> None:
    before, text = Writer(seed, repeats).write()
    data = content(before)
    chance = random.Random(seed)
    trail, value = drawn_edit(data, chance)
    if value is None and ((list(data) == [trail[0]] and len(trail) == 1) or "|+" in before):
        # The last entry of a file cannot go, nor may blank lines come after the text of a |+.
        return
    after = edited(before, [Edit(".".join(trail), value)])
    assert same(content(after), wanted(data, trail, value))
    assert after.startswith("\ufeff") == before.startswith("\ufeff")
    assert after.endswith("\n") == before.endswith("\n")
    assert set(re.findall("\r?\n", after)) <= set(re.findall("\r?\n", before) or ["\n"])
    # The comments within a group or a list that goes may go with it.
    kept = comments(after)
    assert lacking(outside(text, trail), kept) == 0
    assert len(set(kept)) == len(kept)
    if not text.has_aliases:
        # Inside { } the entry before it gets or loses its comma.
        may_change = 1 if value is None or trail not in trails(data) else 0
        others = lines_of_others(text, trail)
        assert lacking(others, re.split("\r?\n", after.lstrip("\ufeff"))) <= may_change


@MANY
@given(st.integers(0, 10**9), st.booleans())
def test_a_single_value_changes_a_single_line(seed: int, repeats: bool) -> None:
    before, _ = Writer(seed, repeats).write()
    data = content(before)
    chance = random.Random(seed)
    values = [t for t in trails(data) if t[0] in TOPS]
    numbers = [t for t in values if isinstance(at(data, t), (int, float))]
    if not numbers or "*" in before:
        return
    trail = chance.choice(numbers)
    after = edited(before, [Edit(".".join(trail), 7.25)])
    first, second = before.splitlines(), after.splitlines()
    changed = [(a, b) for a, b in zip(first, second, strict=True) if a != b]
    assert len(changed) == 1
    (old, new) = changed[0]
    assert "7.25" in new
    # All but the number and the blanks behind it stands there as before.
    there = new.index("7.25")
    assert old[:there] == new[:there]
    assert squeezed(old).endswith(squeezed(new[there + 4 :]))


def squeezed(line: str) -> str:
    return re.sub(" +", " ", line)


def at(data: Any, trail: tuple[str, ...]) -> Any:
    for key in trail:
        data = data[key]
    return data


@MANY
@given(st.integers(0, 10**9))
def test_a_value_that_stands_there_is_left_as_it_is_written(seed: int) -> None:
    before, _ = Writer(seed, True).write()
    data = content(before)
    for trail in trails(data):
        value = at(data, trail)
        values = value if isinstance(value, list) else [value]
        is_known = trail[0] in TOPS and len(trail) <= 6
        if is_known and all(isinstance(one, (str, int, float)) for one in values):
            assert edited(before, [Edit(".".join(trail), value)]) == before


@MANY
@given(st.integers(0, 10**9))
def test_both_parsers_of_yaml_give_the_same(seed: int) -> None:
    before, _ = Writer(seed, True).write()
    data = content(before)
    trail, value = drawn_edit(data, random.Random(seed))
    if value is None and ((list(data) == [trail[0]] and len(trail) == 1) or "|+" in before):
        return
    edits = [Edit(".".join(trail), value)]
    after = edited(before, edits)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("previz.scenefile.spans.LOADER", yaml.SafeLoader)
        assert edited(before, edits) == after


JUNK = ("\t", ": ", "- ", "[", "]", "{", "}", "&a ", "*a", "'", '"', " #", "!!set ", "<<: ", "? ",
        "---\n", "|", ">", "%", "~", "\r", "\n", "\ufeff", ",", "...\n", "\u2028", "\x00",
)  # fmt: skip


@MANY
@given(st.integers(0, 10**9))
def test_a_broken_text_is_refused_in_words_or_gets_the_one_value(seed: int) -> None:
    chance = random.Random(seed)
    before, _ = Writer(seed, True).write()
    for _ in range(chance.randint(1, 3)):
        here = chance.randint(0, len(before))
        before = before[:here] + chance.choice(JUNK) + before[here + chance.randint(0, 3) :]
    trail = (chance.choice(TOPS), *chance.sample(KEYS, chance.randint(0, 2)))
    try:
        after = edited(before, [Edit(".".join(trail), 7.25)])
    except InputError as error:
        assert str(error).isprintable() or len(error.problems) > 1
        return
    root = read_tree(after.removeprefix("\ufeff"), Path("x.yaml")).root
    assert root is not None
    assert at(plain(root), trail) == 7.25
