"""The YAML reader's complaints in plain words."""

from __future__ import annotations

import yaml

_TAB = "a tab in the indentation; indent with spaces"

# Parts of the reader's own words (its C and its Python version differ), most telling first.
_SENTENCES = (
    ("maximum nesting depth", "brackets are nested far too deep"),
    ("tab character", _TAB),
    ("character '\\t'", _TAB),
    ("mapping values are not allowed",
     "a colon where none can stand; check the indentation, or put text with a colon in quotes"),
    ("could not find expected ':'",
     "a line that is no key: value; a colon and a space must follow the key"),
    ("unexpected end of stream", "a quotation mark is opened and never closed"),
    ("unexpected document", "a quotation mark is opened and never closed"),
    ("unknown escape", "an unknown backslash escape; write \\\\ or use single quotes"),
    ("escape", "a wrong backslash escape; write \\\\ or use single quotes"),
    ("hexdecimal", "a wrong backslash escape; write \\\\ or use single quotes"),
    ("tag handle", "tags such as !name are refused; delete it"),
    ("',' or ']'", "a list opened with [ lacks a comma or its ]"),
    ("',' or '}'", "a group opened with { lacks a comma or its }"),
    ("<document start>", "nothing can follow here; check the indentation and the brackets"),
    ("directive", "lines that start with % are refused"),
    ("incompatible YAML", "lines that start with % are refused"),
    ("'-' indicator", "an item of this list must start with - at the same indentation"),
    ("sequence entries are not allowed",
     "a list cannot start in the middle of a line with -; put it on lines of its own, or in [ ]"),
    ("node content", "a value is expected here; put text that starts with a sign in quotes"),
    ("expected key", "this line does not fit the lines above; check indentation and quotes"),
    ("<block end>", "this line does not fit the lines above; check indentation and quotes"),
)  # fmt: skip


def syntax_message(error: yaml.MarkedYAMLError, text: str) -> str:
    """One plain sentence for a syntax error in `text`."""
    said = f"{error.problem or ''} {error.context or ''}"
    mark = error.problem_mark
    if mark is not None and "cannot start any token" in said:
        return _bad_start(_character(text, mark.line, mark.column))
    for part, sentence in _SENTENCES:
        if part in said:
            return sentence + _opened_at(error, sentence, text.count("\n"))
    return "this is not YAML; check indentation, brackets and quotes"


def _bad_start(character: str) -> str:
    if character == "\t":
        return _TAB
    return f"a value cannot start with {character}; put it in quotes"


def _character(text: str, line: int, column: int) -> str:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return lines[line][column : column + 1] if line < len(lines) else ""


def _opened_at(error: yaml.MarkedYAMLError, sentence: str, last_line: int) -> str:
    start, end = error.context_mark, error.problem_mark
    if (
        start is None
        or end is None
        or start.line == min(end.line, last_line)
        or "opened" not in sentence
    ):
        return ""
    return f" (opened in line {start.line + 1})"
