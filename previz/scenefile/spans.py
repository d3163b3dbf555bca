"""Where in a text each value of a YAML document begins and ends, to the character.

The tree of `yaml_tree` says what is written and in which line; this one says which characters
are the value's, so that they alone can be exchanged. Only for texts that `read_tree` can read:
it has limited their depth and refused tags and keys that are no words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import yaml

from previz.scenefile.yaml_tree import LOADER

Kind = Literal["scalar", "alias", "map", "list"]
_NOTHING = re.compile(r"(?:[ \t\r\n]|(?<![^ \t\r\n])#[^\r\n]*)*")
_LINE_END = re.compile(r"\r\n|\r|\n")
_BLOCK_HEAD = re.compile(r"[|>][-+0-9]*")


@dataclass(frozen=True, slots=True)
class Span:
    """A value: `text[start:end]`, without the anchor that may stand before it.

    anchor  the name after `&`, which stands at `anchor_start`; the target for an alias
    word    what a scalar says
    style   how a scalar is written: one of ' " | > or nothing for a plain word
    flow    whether a map or list is written in { } or [ ]
    parts   the entries of a map, the items of a list
    """

    kind: Kind
    start: int
    end: int
    anchor: str | None = None
    anchor_start: int = 0
    word: str = ""
    style: str = ""
    flow: bool = False
    parts: tuple[Part, ...] = ()

    def index(self, key: str) -> int | None:
        """Which entry of a map has this key, the first if several do."""
        return next((i for i, part in enumerate(self.parts) if part.key == key), None)

    def within(self) -> Iterator[Span]:
        """This value and all in it, in the order of the text."""
        yield self
        for part in self.parts:
            yield from part.value.within()

    @property
    def in_block(self) -> bool:
        """Whether this is a map or list of which each entry begins a line."""
        return self.kind in ("map", "list") and not self.flow


@dataclass(frozen=True, slots=True)
class Part:
    """An entry of a map, from its key, or an item of a list, from its value or its `-`."""

    start: int
    value: Span
    key: str | None = None
    key_end: int = 0


def read_spans(text: str) -> Span:
    """The value that the document is. The text must be one that `read_tree` reads."""
    events: Iterator[Any] = yaml.parse(text, Loader=LOADER)
    for event in events:
        if isinstance(event, yaml.NodeEvent):
            return _Reader(text, events).value(event)
    raise ValueError("an empty document has no value")


def after_nothing(text: str, at: int) -> int:
    """Where the next character stands that is neither space, line end nor comment."""
    found = _NOTHING.match(text, at)
    return found.end() if found else at


def line_start(text: str, at: int) -> int:
    """Where the line begins that holds the character `at`."""
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def line_end(text: str, at: int) -> int:
    """Where the line that holds `at` ends, before its line end."""
    found = _LINE_END.search(text, at)
    return found.start() if found else len(text)


def next_line(text: str, at: int) -> int:
    """Where the line after the one that holds `at` begins."""
    found = _LINE_END.search(text, at)
    return found.end() if found else len(text)


def line_before(text: str, start: int) -> int:
    """Where the line before the one that begins at `start` ends, before its line end."""
    return start - 2 if text[:start].endswith("\r\n") else start - 1


def newline(text: str, at: int) -> str:
    """How the line that holds `at` is ended, or else the first line of the text."""
    found = _LINE_END.search(text, at) or _LINE_END.search(text)
    return found.group() if found else "\n"


def _from(event: Any) -> int:
    return int(event.start_mark.index)


def _to(event: Any) -> int:
    return int(event.end_mark.index)


class _Reader:
    def __init__(self, text: str, events: Iterator[Any]) -> None:
        self.text = text
        self.events = events
        self.closed = 0
        """Where the group that was read last ends."""

    def value(self, event: Any) -> Span:
        if isinstance(event, yaml.AliasEvent):
            return Span("alias", _from(event), _to(event), str(event.anchor))
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event)
        parts = self._entries() if isinstance(event, yaml.MappingStartEvent) else self._items(event)
        return self._group(event, parts)

    def _group(self, event: Any, parts: tuple[Part, ...]) -> Span:
        flow = bool(event.flow_style)
        return Span(
            kind="map" if isinstance(event, yaml.MappingStartEvent) else "list",
            start=self._start(event),
            # The mark of a block's end lies after the comments that follow it.
            end=self.closed if flow or not parts else parts[-1].value.end,
            anchor=event.anchor,
            anchor_start=_from(event),
            flow=flow,
            parts=parts,
        )

    def _entries(self) -> tuple[Part, ...]:
        parts = []
        for key in self.events:
            if isinstance(key, yaml.MappingEndEvent):
                self.closed = _to(key)
                break
            value = self.value(next(self.events))
            parts.append(Part(_from(key), value, key.value, _to(key)))
        return tuple(parts)

    def _items(self, opening: Any) -> tuple[Part, ...]:
        parts: list[Part] = []
        before = self._start(opening)
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                self.closed = _to(event)
                break
            start = _from(event)
            if not opening.flow_style:
                start = after_nothing(self.text, before)
            value = self.value(event)
            parts.append(Part(start, value))
            before = value.end
        return tuple(parts)

    def _start(self, event: Any) -> int:
        """Where a value begins after its anchor."""
        start = _from(event)
        if event.anchor is None:
            return start
        after = start + 1 + len(str(event.anchor))
        return max(after, min(after_nothing(self.text, after), _to(event)))

    def _scalar(self, event: Any) -> Span:
        end = _to(event)
        start = min(self._start(event), end)
        if event.style in ("|", ">"):
            end = self._block_end(start, end)
        return Span(
            "scalar", start, end, event.anchor, _from(event),
            word=event.value, style=event.style or "",
        )  # fmt: skip

    def _block_end(self, start: int, end: int) -> int:
        """Before the last line end of a | or > text: the empty lines after most are not its own."""
        raw = self.text[start:end]
        head = _BLOCK_HEAD.match(raw)
        if head and "+" in head.group():
            return end - len(raw) + len(raw.removesuffix("\n").removesuffix("\r"))
        return start + len(raw.rstrip(" \t\r\n"))
