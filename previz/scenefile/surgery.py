"""Cuts in the text of a YAML document: a value exchanged, an entry put in or taken out.

Each takes a text with the spans that were read from it and gives the new text; whatever is not
cut keeps its characters. Raises UnwritableError, in words, for a layout that is beyond it.
"""

from __future__ import annotations

import re

from previz.scenefile.spans import (
    Part,
    Span,
    after_nothing,
    line_before,
    line_end,
    line_start,
    newline,
    next_line,
)

_HEAD_COMMENT = re.compile(r"[|>][-+0-9]*([ \t]+#[^\r\n]*)")
_GAP = re.compile(r"[\]},]*( +)(?=[^ \r\n])")
_JOINT = re.compile(r",[ \t]*")
_WIDE_GAP = 3
"""Blanks before a comment that are taken for a column kept on purpose."""


class UnwritableError(Exception):
    """Why the text cannot be changed there without touching more than was asked for."""


def replaced(text: str, part: Part, new: str) -> str:
    """The text with another value for this entry or item; its anchor and comments stay."""
    value = part.value
    if value.in_block:
        return _instead_of_block(text, part, new)
    if value.style in ("|", ">"):
        comment = _HEAD_COMMENT.match(text, value.start, value.end)
        new += comment[1] if comment else ""
    elif value.start == value.end and text[value.start - 1] not in " \t\r\n":
        new = f" {new}"
    gap = _kept_column(text, value, len(new))
    return text[: value.start] + new + gap


def added(text: str, group: Span, lines: list[str]) -> str:
    """The text with an entry or item more at the end of a group.

    `lines` is the entry, its indentation counted from the group's own; one line for a group in
    { } or [ ].
    """
    if not group.flow:
        return _added_in_block(text, group, lines)
    (entry,) = lines
    if not group.parts:
        at = group.start + 1
        padded = text[at] in " \t"
        return f"{text[:at]}{' ' if padded else ''}{entry}{text[at:]}"
    if _has_own_lines(text, group):
        return _added_on_own_line(text, group, entry)
    comma = _comma_after(text, group.parts[-1].value.end)
    if comma is not None:
        return f"{text[: comma + 1]} {entry},{text[comma + 1 :]}"
    end = group.parts[-1].value.end
    return f"{text[:end]}{_joint(text, group)}{entry}{text[end:]}"


def removed(text: str, group: Span, index: int, owner: Part) -> str:
    """The text without one entry or item; `owner` is the entry whose value the group is."""
    if owner.key is None and len(group.parts) == 1:
        raise UnwritableError("is all that the file holds and cannot be taken out of it")
    part = group.parts[index]
    if len(group.parts) == 1 and not (group.flow and _has_comment(text, group, part)):
        return replaced(text, owner, "{}" if group.kind == "map" else "[]")
    if not group.flow:
        _own_line(text, part)
        return _without_lines(text, line_start(text, part.start), part.value.end)
    return _removed_from_flow(text, group, index)


def _own_line(text: str, part: Part) -> int:
    """The column of an entry that begins its line."""
    before = text[line_start(text, part.start) : part.start]
    if before.strip(" "):
        raise UnwritableError("begins in the middle of a line; change it by hand")
    return len(before)


def _kept_column(text: str, value: Span, length: int) -> str:
    """What follows the value, with the gap to a column of comments or of a table adjusted."""
    rest = text[value.end :]
    found = _GAP.match(rest)
    if found is None or line_end(text, value.start) < value.end:
        return rest
    gap = len(found[1])
    follows = value.end + found.end()
    if rest[found.end()] == "#":
        aligned = gap >= _WIDE_GAP or _comment_beside(text, follows)
    else:
        aligned = gap > 1
    fitting = gap - (length - (value.end - value.start))
    if not aligned or fitting < 1:
        return rest
    return rest[: found.start(1)] + " " * fitting + rest[found.end() :]


def _comment_beside(text: str, at: int) -> bool:
    """Whether a comment begins in the same column of the line above or below, after a value."""
    start = line_start(text, at)
    column = at - start
    neighbours = [next_line(text, at)]
    if start > 0:
        neighbours.append(line_start(text, line_before(text, start)))
    return any(_comment_at(text, line, column) for line in neighbours)


def _comment_at(text: str, line: int, column: int) -> bool:
    here = text[line : line_end(text, line)]
    return here[column : column + 1] == "#" and bool(here[:column].strip())


def _instead_of_block(text: str, part: Part, new: str) -> str:
    """A value in place of a whole block: behind the key's colon, and the block's lines go."""
    block = part.value
    first = block.parts[0].start
    _own_line(text, block.parts[0])
    short = _without_lines(text, line_start(text, first), block.end)
    colon = text.index(":", part.key_end) + 1
    after = colon
    if block.anchor is not None:
        after = block.anchor_start + 1 + len(block.anchor)
    return f"{short[:colon]} {new}{short[after:]}"


def _without_lines(text: str, start: int, last: int) -> str:
    """The text without the lines from `start` to the one that holds the end `last`."""
    end = next_line(text, last)
    ended = end > line_end(text, last)
    if ended or start == 0:
        return text[:start] + text[end:]
    # A file that ends without a line end goes on doing so.
    return text[: line_before(text, start)].rstrip("\r\n")


def _added_in_block(text: str, group: Span, lines: list[str]) -> str:
    column = _own_line(text, group.parts[0])
    last = group.parts[-1].value.end
    at = _end_with_comments(text, line_end(text, last), column)
    ending = newline(text, last)
    entry = "".join(f"{ending}{' ' * column}{line}" for line in lines)
    return text[:at] + entry + text[at:]


def _end_with_comments(text: str, at: int, column: int) -> int:
    """The end of the line that ends at `at`, or of the last comment below that stands further in.

    Such comments speak of what is above them; those in the column, of what comes next.
    """
    line = next_line(text, at)
    while line < len(text):
        end = line_end(text, line)
        words = text[line:end].lstrip(" ")
        if words and not (words.startswith("#") and end - line - len(words) > column):
            break
        if words:
            at = end
        line = next_line(text, line)
    return at


def _has_own_lines(text: str, group: Span) -> bool:
    """Whether each entry in { } has a line of its own, and the closing bracket too."""
    last = group.parts[-1]
    start = line_start(text, last.start)
    alone = not text[start : last.start].strip()
    return alone and start > group.start and line_start(text, group.end - 1) > last.value.end


def _added_on_own_line(text: str, group: Span, entry: str) -> str:
    last = group.parts[-1]
    end = last.value.end
    comma = _comma_after(text, end)
    indent = text[line_start(text, last.start) : last.start]
    at = line_end(text, end if comma is None else comma)
    line = f"{newline(text, end)}{indent}{entry}"
    if comma is None:
        return f"{text[:end]},{text[end:at]}{line}{text[at:]}"
    return f"{text[:at]}{line},{text[at:]}"


def _comma_after(text: str, end: int) -> int | None:
    at = after_nothing(text, end)
    return at if text[at : at + 1] == "," else None


def _joint(text: str, group: Span) -> str:
    """What the group puts between its entries."""
    if len(group.parts) < 2:
        return ", "
    between = text[group.parts[-2].value.end : group.parts[-1].start]
    return between if _JOINT.fullmatch(between) else ", "


def _has_comment(text: str, group: Span, part: Part) -> bool:
    """Whether a comment stands in { } before or after the one entry there."""
    return "#" in text[group.start : part.start] or "#" in text[part.value.end : group.end]


def _removed_from_flow(text: str, group: Span, index: int) -> str:
    part = group.parts[index]
    end = part.value.end
    comma = _comma_after(text, end)
    if _is_alone(text, part, end if comma is None else comma + 1):
        short = _without_lines(text, line_start(text, part.start), end if comma is None else comma)
        lone = comma is not None or index == 0
        return short if lone else _without_comma(short, group.parts[index - 1])
    if comma is not None:
        follows = comma + 1
        while text[follows] in " \t":
            follows += 1
        kept = text[: part.start]
        return (kept.rstrip(" \t") if text[follows] in "\r\n" else kept) + text[follows:]
    before = group.parts[index - 1].value.end if index else group.start + 1
    if "#" in text[before : part.start]:
        return text[: part.start] + text[end:]
    return text[:before] + text[end:]


def _is_alone(text: str, part: Part, end: int) -> bool:
    """Whether nothing but a comment shares the lines of an entry in { }."""
    before = text[line_start(text, part.start) : part.start]
    after = text[end : line_end(text, end)].strip(" \t")
    return not before.strip() and (not after or after.startswith("#"))


def _without_comma(text: str, part: Part) -> str:
    comma = _comma_after(text, part.value.end)
    return text if comma is None else text[:comma] + text[comma + 1 :]
