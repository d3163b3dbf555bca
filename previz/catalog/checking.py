"""Plain values of a catalogue file to records; every problem found in one pass."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from previz.catalog import yaml_text
from previz.errors import InputError, Place, Problem
from previz.model.base import CatalogName
from previz.model.records import SMALLEST, Record

R = TypeVar("R", bound=Record)
_NAME: TypeAdapter[str] = TypeAdapter(CatalogName)


def read_records(path: Path, model: type[R]) -> dict[str, R]:
    """Records of one file by name, in the order of the file.

    Raises InputError with one problem for each thing wrong: file, line, record, field.
    """
    table = yaml_text.load(path)
    if table is None:
        return {}
    if not isinstance(table, dict):
        raise InputError([Problem(Place(path, 1, 1), "must hold records by name (name: ...)")])
    records: dict[str, R] = {}
    problems: list[Problem] = []
    for name, value in table.items():
        try:
            _NAME.validate_python(name)
            records[name] = model.model_validate(value)
        except ValidationError as error:
            problems += _problems(path, name, error, model)
    if problems:
        raise InputError(problems)
    return records


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The name most like `name`, or None if none is at all like it."""
    close = difflib.get_close_matches(name, list(names), n=1, cutoff=0.5)
    return close[0] if close else None


def _problems(
    path: Path, name: object, error: ValidationError, model: type[Record]
) -> list[Problem]:
    if error.title != model.__name__:
        message = (
            f"{name}: a record's name has lower-case letters, digits, _ and . "
            "and starts with a letter or digit"
        )
        return [Problem(yaml_text.locate(path, [str(name)])[0], message)]
    by_field: dict[tuple[object, ...], Problem] = {}
    for detail in error.errors(include_url=False):
        keys = (str(name), *detail["loc"])
        place, found = yaml_text.locate(path, keys)
        named = keys if detail["type"] == "missing" else found
        field = ".".join(str(key) for key in named)
        by_field.setdefault(named, Problem(place, f"{field}: {_what(detail, model)}"))
    return list(by_field.values())


def _what(detail: ErrorDetails, model: type[Record]) -> str:
    if detail["type"] == "missing":
        return "is missing"
    if detail["type"] == "extra_forbidden":
        close = nearest(str(detail["loc"][-1]), _field_names(model))
        return "is not a field here" + (f"; did you mean {close}?" if close else "")
    if detail["type"] == "value_error":
        return str(detail["ctx"]["error"])
    should_be = detail["msg"].removeprefix("Input ")
    if detail["type"] == "model_type":
        should_be = "should be a table of fields (field: value)"
    if detail["type"] == "greater_than_equal" and detail["ctx"]["ge"] == SMALLEST:
        should_be = "should be more than 0"
    return f"found {_found(detail['input'])}, {should_be}"


def _found(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, dict | list):
        return "a list" if isinstance(value, list) else "a table"
    return repr(value)[:60]


def _field_names(model: type[Record]) -> set[str]:
    schema: dict[str, Any] = model.model_json_schema()
    tables = [schema, *schema.get("$defs", {}).values()]
    return {field for table in tables for field in table.get("properties", {})}
