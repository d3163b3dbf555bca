"""A value put under a path of keys in the text of a YAML document, or taken out of it."""

from __future__ import annotations

from collections.abc import Sequence

from previz.scenefile.anchors import given_itself, set_apart
from previz.scenefile.scalars import resolve
from previz.scenefile.spans import Part, Span, line_start, read_spans
from previz.scenefile.surgery import added, removed, replaced
from previz.scenefile.written import Value, in_yaml, same

_STEP = 2
"""Columns by which a group stands in where the file has none to go by."""


def put(text: str, trail: Sequence[str], value: Value | None) -> str:
    """The text with this value under the path, None for null; groups that lack are made.

    Every group on the path that is there must be a map. UnwritableError as in `surgery`.
    """
    text = _untied(text, trail)
    root = read_spans(text)
    owner = Part(root.start, root)
    for depth, key in enumerate(trail):
        index = owner.value.index(key)
        if index is None:
            return added(text, owner.value, _entry(text, root, owner.value, trail[depth:], value))
        owner = owner.value.parts[index]
    if isinstance(value, list) and _goes_by_items(owner.value, value):
        return _with_items(text, trail, value)
    return replaced(text, owner, _word(value, owner.value.style))


def taken_out(text: str, trail: Sequence[str]) -> str:
    """The text without the entry under the path, which must be there."""
    text = _untied(text, trail)
    owner, index = _found(read_spans(text), trail)
    return removed(text, owner.value, index, owner)


def _untied(text: str, trail: Sequence[str]) -> str:
    """The text with nothing elsewhere that would change together with the value."""
    while (less_tied := _one_tie_less(text, trail)) is not None:
        text = less_tied
    return text


def _one_tie_less(text: str, trail: Sequence[str]) -> str | None:
    root = at = read_spans(text)
    for key in trail:
        if at.kind == "alias":
            return given_itself(text, root, at)
        apart = set_apart(text, root, at, at)
        if apart is not None:
            return apart
        index = at.index(key)
        if index is None:
            return None
        at = at.parts[index].value
    for inner in at.within():
        apart = set_apart(text, root, inner, at)
        if apart is not None:
            return apart
    return None


def _found(root: Span, trail: Sequence[str]) -> tuple[Part, int]:
    """The entry whose map holds the last key of the trail, and where in it."""
    owner = Part(root.start, root)
    for key in trail[:-1]:
        owner = owner.value.parts[owner.value.index(key) or 0]
    return owner, owner.value.index(trail[-1]) or 0


def _word(value: Value | None, quote: str = "") -> str:
    return "null" if value is None else in_yaml(value, quote if quote in ("'", '"') else "")


def _entry(
    text: str, root: Span, group: Span, keys: Sequence[str], value: Value | None
) -> list[str]:
    """Lines of an entry that is not there yet, in the style of the group that it goes into.

    Of new groups in a block the innermost looks as the group's other entries do, in { } without
    any, and those round it are blocks.
    """
    word = _word(value)
    inner = list(keys)
    if group.flow:
        while len(inner) > 1:
            word = f"{{{inner.pop()}: {word}}}"
    elif len(inner) > 1 and not _entries_are_blocks(group, len(inner)):
        word = f"{{{inner.pop()}: {word}}}"
    step = _step(text, root)
    lines = [f"{' ' * step * depth}{key}:" for depth, key in enumerate(inner)]
    lines[-1] += f" {word}"
    return lines


def _entries_are_blocks(group: Span, keys: int) -> bool:
    maps = [part.value for part in group.parts if part.value.kind == "map"]
    return keys == 2 and bool(maps) and maps[-1].in_block


def _step(text: str, root: Span) -> int:
    """Columns by which the file's groups stand in."""
    for span in root.within():
        for part in span.parts:
            if span.in_block and part.value.in_block and part.value.kind == "map":
                inner = part.value.parts[0].start
                return _column(text, inner) - _column(text, part.start)
    return _STEP


def _column(text: str, at: int) -> int:
    return at - line_start(text, at)


def _goes_by_items(old: Span, value: Sequence[Value]) -> bool:
    """Whether a list can become another one item by item, so that each keeps its place."""
    plain_items = all(p.value.kind == "scalar" and p.value.anchor is None for p in old.parts)
    return (
        old.kind == "list"
        and plain_items
        and bool(value)
        and not any(isinstance(item, list) for item in value)
    )


def _with_items(text: str, trail: Sequence[str], value: Sequence[Value]) -> str:
    for index, item in enumerate(value):
        items = _list_at(text, trail)
        if index >= len(items.value.parts):
            dash = "" if items.value.flow else "- "
            text = added(text, items.value, [dash + in_yaml(item)])
            continue
        old = items.value.parts[index]
        if not same(_said(old.value), item):
            text = replaced(text, old, _word(item, old.value.style))
    while len((items := _list_at(text, trail)).value.parts) > len(value):
        text = removed(text, items.value, len(items.value.parts) - 1, items)
    return text


def _list_at(text: str, trail: Sequence[str]) -> Part:
    owner, index = _found(read_spans(text), trail)
    return owner.value.parts[index]


def _said(span: Span) -> object:
    return span.word if span.style else resolve(span.word)
