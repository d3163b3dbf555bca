"""YAML text to a tree whose every value knows its file, line and column.

Read from the parser's events in one loop, so that depth, count and the growth through
aliases are limited while reading and a hostile file costs no more than a good one.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from previz.errors import Place, Problem
from previz.scenefile.scalars import Refused, Scalar, resolve
from previz.scenefile.syntax import syntax_message
from previz.scenefile.wording import clipped, printable

MAX_DEPTH = 20
MAX_NODES = 50_000
MAX_CHARACTERS = 2_000_000
MAX_ANCHORS = 100
MAX_KEY_LENGTH = 200
MAX_PROBLEMS = 100

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_COMMENTED_COLOUR = re.compile(r"\w+:\s+(#[0-9a-fA-F]{6})\b")
COMMA_HINT = "; a comma inside { } begins a new key: put words with a comma in quotes"
_NO_SPACE = re.compile(r"([A-Za-z_][A-Za-z0-9_]*):(\S+)")


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value. `faulty`: it has been reported already and means nothing."""

    value: Scalar
    place: Place
    faulty: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """A value under a key of a mapping."""

    key_place: Place
    node: Node


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with their values, in the order of the file."""

    entries: dict[str, Entry]
    place: Place


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: tuple[Node, ...]
    place: Place


Node = Leaf | Mapping | Sequence


@dataclass(slots=True)
class Weight:
    """What a node amounts to once its aliases are written out."""

    nodes: int = 0
    characters: int = 0
    height: int = 0


@dataclass(slots=True)
class _Frame:
    place: Place
    anchor: str | None
    entries: dict[str, Entry] | None
    items: list[Node] = field(default_factory=list)
    key: str | None = None
    key_place: Place | None = None
    key_dropped: bool = False
    weight: Weight = field(default_factory=Weight)


class _StopError(Exception):
    def __init__(self, problem: Problem) -> None:
        self.problem = problem


@dataclass
class ReadTree:
    """A file as read: its tree (None if its text is no YAML) and what is wrong with it."""

    root: Node | None
    problems: list[Problem]
    weight: Weight


def read_tree(text: str, file: Path) -> ReadTree:
    """Read one YAML document. Never raises for anything in the text."""
    builder = _Builder(file, text)
    try:
        for event in yaml.parse(text, Loader=LOADER):
            builder.take(event)
    except _StopError as stop:
        return ReadTree(None, [*builder.problems, stop.problem], Weight())
    except yaml.reader.ReaderError as error:
        place = Place(file, 1, 1)
        problem = Problem(place, f"is not readable text: {error.reason}")
        return ReadTree(None, [*builder.problems, problem], Weight())
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
        problem = Problem(place, syntax_message(error, text))
        return ReadTree(None, [*builder.problems, problem], Weight())
    if builder.root is None:
        return ReadTree(None, [Problem(Place(file, 1, 1), "the file is empty")], Weight())
    return ReadTree(builder.root, builder.problems, builder.weight)


class _Builder:
    def __init__(self, file: Path, text: str) -> None:
        self.file = file
        self.text = text
        self.problems: list[Problem] = []
        self.root: Node | None = None
        self.weight = Weight()
        self.stack: list[_Frame] = []
        self.anchored: dict[str, tuple[Node, Weight] | None] = {}
        self.nodes = 0
        self.documents = 0

    @functools.cached_property
    def lines(self) -> list[str]:
        return re.split("\r\n|\r|\n", self.text)

    def take(self, event: Any) -> None:
        if len(self.problems) > MAX_PROBLEMS:
            last = self.problems.pop().place
            raise _StopError(
                Problem(last, f"more than {MAX_PROBLEMS} problems; the rest is not read")
            )
        place = Place(self.file, event.start_mark.line + 1, event.start_mark.column + 1)
        if isinstance(event, yaml.DocumentStartEvent):
            self._start_document(place)
        elif isinstance(event, yaml.AliasEvent):
            self._alias(str(event.anchor), place)
        elif isinstance(event, yaml.ScalarEvent):
            self._scalar(event, place)
        elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            self._open(event, place)
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self._close()

    def _start_document(self, place: Place) -> None:
        self.documents += 1
        if self.documents > 1:
            raise _StopError(
                Problem(place, "a second document starts here; a file holds one scene")
            )

    def _scalar(self, event: Any, place: Place) -> None:
        self._refuse_tag(event, place)
        if self._wants_key():
            self._key(event, place)
            return
        self._note_anchor(event.anchor, place)
        leaf = self._leaf(event, place)
        self._add(leaf, Weight(1, len(event.value), 0), event.anchor)

    def _leaf(self, event: Any, place: Place) -> Leaf:
        word: str = event.value
        if event.style:
            return Leaf(word, place)
        value = Refused(self._nothing_given()) if word == "" else resolve(word)
        if isinstance(value, Refused):
            self.problems.append(Problem(place, printable(value.reason)))
            return Leaf(None, place, faulty=True)
        return Leaf(value, place)

    def _nothing_given(self) -> str:
        frame = self.stack[-1] if self.stack else None
        if frame is None:
            return "the file is empty"
        if frame.key is None:
            return "this item of the list is empty; give a value or delete it"
        squeezed = _NO_SPACE.fullmatch(frame.key)
        if squeezed:
            # Kept under the key that was meant, so that nothing else misses it.
            frame.key, frame.key_dropped = squeezed[1], squeezed[1] in (frame.entries or {})
            return f"put a space after the colon: {squeezed[1]}: {clipped(squeezed[2])[1:-1]}"
        colour = self._unquoted_colour(frame)
        if colour:
            return f'{frame.key}: # starts a comment; put the colour in quotes: "{colour}"'
        said = f"{clipped(frame.key)[1:-1]} has no value; give one, or null to leave it out"
        return f"{said}{COMMA_HINT}" if self._in_braces(frame) else said

    def _in_braces(self, frame: _Frame) -> bool:
        """Whether a key stands in a line's { }, after a comma, as unquoted words with commas do."""
        assert frame.key_place is not None
        line = self.lines[frame.key_place.line - 1]
        return line[: frame.key_place.column - 1].rstrip().endswith(",")

    def _unquoted_colour(self, frame: _Frame) -> str | None:
        assert frame.key_place is not None
        rest = self.lines[frame.key_place.line - 1][frame.key_place.column - 1 :]
        found = _COMMENTED_COLOUR.match(rest)
        return found[1] if found else None

    def _key(self, event: Any, place: Place) -> None:
        frame = self.stack[-1]
        word: str = event.value
        if len(word) > MAX_KEY_LENGTH:
            raise _StopError(Problem(place, f"a key may have at most {MAX_KEY_LENGTH} characters"))
        if event.anchor is not None:
            raise _StopError(
                Problem(place, "a key may not carry an anchor (&); put it at the value")
            )
        fault = self._key_fault(event, frame)
        if fault:
            self.problems.append(Problem(place, fault))
        frame.key, frame.key_place, frame.key_dropped = word, place, fault is not None

    def _key_fault(self, event: Any, frame: _Frame) -> str | None:
        word: str = event.value
        if not event.style and word == "<<":
            return "merge keys (<<) are refused; use based_on, or write the entries out"
        if not event.style and (word in ("", "~") or isinstance(resolve(word), bool | None)):
            return f"the key {word or '(empty)'} is not text; a key is a word such as title"
        assert frame.entries is not None
        if word in frame.entries:
            line = frame.entries[word].key_place.line
            return f"the key {clipped(word)} is given twice (first in line {line})"
        return None

    def _alias(self, anchor: str, place: Place) -> None:
        if self._wants_key():
            raise _StopError(Problem(place, "a key must be plain text, not an alias (*)"))
        name = clipped(anchor)[1:-1]
        if anchor not in self.anchored:
            raise _StopError(Problem(place, f"alias *{name}: no anchor &{name} stands before it"))
        target = self.anchored[anchor]
        if target is None:
            raise _StopError(Problem(place, f"alias *{name} lies inside the very value it repeats"))
        node, weight = target
        self._add(node, weight, None)

    def _open(self, event: Any, place: Place) -> None:
        self._refuse_tag(event, place)
        if self._wants_key():
            raise _StopError(
                Problem(place, "a key must be plain text, not a list or a group of keys")
            )
        if len(self.stack) >= MAX_DEPTH:
            raise _StopError(Problem(place, f"nested more than {MAX_DEPTH} levels deep"))
        self._note_anchor(event.anchor, place)
        is_mapping = isinstance(event, yaml.MappingStartEvent)
        self.stack.append(_Frame(place, event.anchor, {} if is_mapping else None))

    def _close(self) -> None:
        frame = self.stack.pop()
        node: Node
        if frame.entries is not None:
            node = Mapping(frame.entries, frame.place)
        else:
            node = Sequence(tuple(frame.items), frame.place)
        frame.weight.nodes += 1
        frame.weight.height += 1
        self._add(node, frame.weight, frame.anchor)

    def _add(self, node: Node, weight: Weight, anchor: str | None) -> None:
        if anchor is not None:
            self.anchored[anchor] = (node, weight)
        if not self.stack:
            self.root, self.weight = node, weight
            return
        frame = self.stack[-1]
        total = frame.weight
        total.nodes += weight.nodes
        total.characters += weight.characters
        total.height = max(total.height, weight.height)
        self._check_limits(frame, len(self.stack) + weight.height)
        if frame.entries is None:
            frame.items.append(node)
            return
        assert frame.key is not None and frame.key_place is not None
        if not frame.key_dropped:
            frame.entries[frame.key] = Entry(frame.key_place, node)
        frame.key = None

    def _check_limits(self, frame: _Frame, depth: int) -> None:
        place = frame.key_place or frame.place
        open_nodes = sum(f.weight.nodes for f in self.stack)
        open_characters = sum(f.weight.characters for f in self.stack)
        if open_nodes > MAX_NODES:
            raise _StopError(
                Problem(place, f"holds more than {MAX_NODES} values, aliases written out")
            )
        if open_characters > MAX_CHARACTERS:
            raise _StopError(
                Problem(place, f"holds more than {MAX_CHARACTERS} characters, aliases written out")
            )
        if depth > MAX_DEPTH:
            raise _StopError(Problem(place, f"nested more than {MAX_DEPTH} levels deep"))

    def _wants_key(self) -> bool:
        frame = self.stack[-1] if self.stack else None
        return frame is not None and frame.entries is not None and frame.key is None

    def _refuse_tag(self, event: Any, place: Place) -> None:
        if event.tag is not None:
            tag = clipped(event.tag.replace("tag:yaml.org,2002:", "!!"))[1:-1]
            raise _StopError(Problem(place, f"tags such as {tag} are refused; delete it"))

    def _note_anchor(self, anchor: str | None, place: Place) -> None:
        if anchor is None:
            return
        if anchor in self.anchored:
            raise _StopError(Problem(place, f"the anchor &{clipped(anchor)[1:-1]} is given twice"))
        if len(self.anchored) >= MAX_ANCHORS:
            raise _StopError(Problem(place, f"more than {MAX_ANCHORS} anchors (&)"))
        self.anchored[anchor] = None


def plain(node: Node) -> Any:
    """The tree as dicts, lists and values; a faulty leaf is None."""
    if isinstance(node, Leaf):
        return node.value
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key: plain(entry.node) for key, entry in node.entries.items()}
