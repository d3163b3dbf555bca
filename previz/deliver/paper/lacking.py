"""Letters that the faces of paper lack: known beforehand, never set as an empty box."""

from __future__ import annotations

from collections.abc import Iterable

from previz.deliver.paper.faces import pdf_font

STANDS_IN = "?"


def lacking(texts: Iterable[str]) -> tuple[str, ...]:
    """Letters of the texts that the faces lack, each once, in their order."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped]  # noqa: PLC0415

    shapes = pdfmetrics.getFont(pdf_font("regular")).face.charToGlyph
    letters = dict.fromkeys("".join(texts))
    return tuple(x for x in letters if not x.isspace() and ord(x) not in shapes)


def settable(text: str) -> str:
    """A text as it can be set: one line, and a question mark for each letter that is lacking."""
    bare = " ".join(text.split())
    missing = set(lacking([bare]))
    return "".join(STANDS_IN if letter in missing else letter for letter in bare)
