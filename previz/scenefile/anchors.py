"""Anchors (&) and aliases (*): a change of one value must not change those that repeat it.

What repeats a value that is to change is first given the value itself, so that all others go on
holding what they held: the first repeat becomes the anchored one, in { } or [ ] on its line.
"""

from __future__ import annotations

import re

from previz.scenefile.spans import Span
from previz.scenefile.written import in_yaml

_FLOW_SAFE = re.compile(r"""[^,\[\]{}\r\n"'|>][^,\[\]{}\r\n]*|"[^"\\\r\n]*"|'[^'\r\n]*'""")


def set_apart(text: str, root: Span, value: Span, going: Span) -> str | None:
    """The text with this value's repeats outside `going` no longer tied to it; None without any.

    `going` is the value that is to be exchanged: what it holds need not be kept.
    """
    name = value.anchor
    if value.kind == "alias" or name is None:
        return None
    repeats = [
        span
        for span in root.within()
        if span.kind == "alias" and span.anchor == name and not _inside(span, going)
    ]
    if not repeats:
        return None
    first = repeats[0]
    short = _without_anchor(text, value, name)
    moved = first.start - (len(text) - len(short))
    full = _written_out(text, value)
    if len(repeats) > 1:
        full = f"&{name} {full}"
    return short[:moved] + full + short[moved + first.end - first.start :]


def given_itself(text: str, root: Span, alias: Span) -> str:
    """The text with an alias exchanged for the value that it repeats."""
    target = next(
        span for span in root.within() if span.kind != "alias" and span.anchor == alias.anchor
    )
    return text[: alias.start] + _written_out(text, target) + text[alias.end :]


def _inside(span: Span, outer: Span) -> bool:
    return outer.start <= span.start and span.end <= outer.end


def _without_anchor(text: str, value: Span, name: str) -> str:
    start = value.anchor_start
    end = start + 1 + len(name)
    if text[start - 1 : start] in (" ", "\t"):
        start -= 1
    else:
        end += len(text[end:]) - len(text[end:].lstrip(" \t"))
    return text[:start] + text[end:]


def _written_out(text: str, value: Span) -> str:
    """The value on one line, without comments and anchors; repeats in it stay repeats."""
    source = text[value.start : value.end]
    if value.kind == "alias":
        return source
    if value.kind == "scalar":
        return _word_written_out(source, value.word)
    inner = [_written_out(text, part.value) for part in value.parts]
    if value.kind == "list":
        return f"[{', '.join(inner)}]"
    keys = [
        _word_written_out(text[part.start : part.key_end], str(part.key)) for part in value.parts
    ]
    return "{" + ", ".join(f"{key}: {entry}" for key, entry in zip(keys, inner, strict=True)) + "}"


def _word_written_out(source: str, word: str) -> str:
    """A scalar as it stands if it means the same in { } on one line, or else between quotes."""
    return source if _FLOW_SAFE.fullmatch(source) else in_yaml(word, '"')
