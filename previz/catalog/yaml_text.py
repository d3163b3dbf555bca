"""YAML text of a catalogue file to plain values, without YAML's traps.

Only `true` and `false` are truth values, only decimal numbers are numbers (`1e3` is 1000,
`16:9` and `010` are text and will be refused where a number is due), a key given twice is a
problem. Parsed by libyaml where PyYAML has it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any

import yaml

from previz.errors import InputError, Place, Problem

try:
    from yaml import CSafeLoader as _SafeLoader
except ImportError:  # PyYAML built without libyaml: same result, slower
    from yaml import SafeLoader as _SafeLoader  # type: ignore[assignment]

MAX_BYTES = 4_000_000
"""Size limit of one catalogue file; about 20,000 records."""


class _Loader(_SafeLoader):
    """Safe loader with our scalars, which remembers keys given twice."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012

    def __init__(self, stream: str | bytes | IO[str] | IO[bytes]) -> None:
        super().__init__(stream)
        self.repeated: list[tuple[str, Any]] = []

    def construct_mapping(self, node: yaml.Node, deep: bool = False) -> dict[Any, Any]:
        mapping: dict[Any, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                raise yaml.constructor.ConstructorError(
                    None, None, "a key must be one word", key_node.start_mark
                )
            key = self.construct_object(key_node, deep=True)
            if key in mapping:
                self.repeated.append((str(key), key_node.start_mark))
            mapping[key] = self.construct_object(value_node, deep=deep)
        return mapping


for _tag, _pattern, _first in (
    ("bool", r"^(?:true|True|false|False)$", "tTfF"),
    ("int", r"^[-+]?(?:0|[1-9][0-9]*)$", "-+0123456789"),
    ("float", r"^[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+|[0-9]+(?=[eE]))(?:[eE][-+]?[0-9]+)?$",
     "-+.0123456789"),
    ("null", r"^(?:null|~|)$", ["n", "~", ""]),
):  # fmt: skip
    _Loader.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(_pattern), list(_first))


def load(path: Path) -> Any:
    """Plain values of one YAML file.

    Raises InputError with every key given twice, or with what makes it no YAML at all.
    """
    loader = _Loader(_text(path))
    try:
        value = loader.get_single_data()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark
        place = Place(path, mark.line + 1, mark.column + 1) if mark else Place(path)
        raise InputError([Problem(place, f"not valid YAML: {error.problem}")]) from None
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        text = str(error).splitlines()[0]
        raise InputError([Problem(Place(path), f"not valid YAML: {text}")]) from None
    if loader.repeated:
        raise InputError(
            [
                Problem(Place(path, mark.line + 1, mark.column + 1), f"{key} is given twice")
                for key, mark in loader.repeated
            ]
        )
    return value


def locate(path: Path, keys: Sequence[str | int]) -> tuple[Place, tuple[str | int, ...]]:
    """Place of the value under `keys` in a file that loads, and how many of them lead there.

    Where `keys` go further than the file does, the place is that of the last one found.
    """
    node = yaml.compose(_text(path), Loader=_Loader)
    place, found = Place(path), list[str | int]()
    for key in keys:
        step = _step(node, key)
        if step is None:
            break
        node, mark = step
        found.append(key)
        place = Place(path, mark.line + 1, mark.column + 1)
    return place, tuple(found)


def _step(node: yaml.Node | None, key: str | int) -> tuple[yaml.Node, Any] | None:
    if isinstance(node, yaml.MappingNode):
        for key_node, value_node in node.value:
            if key_node.value == str(key):
                return value_node, key_node.start_mark
    elif isinstance(node, yaml.SequenceNode) and isinstance(key, int) and key < len(node.value):
        return node.value[key], node.value[key].start_mark
    return None


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MAX_BYTES:
            raise InputError([Problem(Place(path), f"larger than {MAX_BYTES} bytes")])
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError([Problem(Place(path), f"cannot be read as text: {error}")]) from None
