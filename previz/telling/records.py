"""Records of the catalogue: as JSON, and field by field in words."""

from __future__ import annotations

from typing import Any

from previz.catalog import Hit, summary
from previz.model.base import Noun
from previz.telling.numbers import plain


def record_json(hit: Hit, *, whole: bool) -> dict[str, Any]:
    """A record by name; `whole`: with every field and its source."""
    head = {"catalogue": hit.kind, "name": hit.name}
    if whole:
        return head | hit.record.model_dump(mode="json", exclude_none=True)
    return head | {"label": hit.record.label, "figures": summary(hit.record)}


def record_rows(hit: Hit) -> list[tuple[str, str, str]]:
    """Rows of field, value and meaning; a table within the record gives one row an entry."""
    rows = []
    for field, described in type(hit.record).model_fields.items():
        value = getattr(hit.record, field)
        meaning = described.description or ""
        for key, entry in value.items() if isinstance(value, dict) else [("", value)]:
            if entry is not None and entry != ():
                rows.append((f"{field}.{key}" if key else field, _in_words(entry), meaning))
                meaning = ""
    return rows


def _in_words(value: object) -> str:
    if isinstance(value, Noun):
        note = getattr(value, "note", "")
        return summary(value) + (f" ({note})" if note else "")
    if isinstance(value, tuple):
        return ", ".join(_in_words(each) for each in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return plain(value) if isinstance(value, float) else str(value)
