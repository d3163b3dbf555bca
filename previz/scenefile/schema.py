"""The JSON Schema of a scene: for editors, and as the one list of what is allowed where.

The messages ask it what a key may hold, so that they can never disagree with the schema.
"""

from __future__ import annotations

import copy
import functools
import re
from typing import Any

from previz.model.scene import Scene
from previz.scenefile.layers import BASED_ON
from previz.scenefile.wording import Trail

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"
UNITS = {
    "mm": "mm", "cm": "cm", "m": "m", "s": "s", "deg": "degrees", "pct": "%", "k": "K", "lx": "lx",
    "years": "years", "hz": "Hz", "nd": "density", "density": "density", "percentile": "percentile",
}  # fmt: skip
_PATCH = "Changes"


@functools.cache
def model_schema() -> Schema:
    """The schema of a whole scene as the models give it. Not to be changed by the caller."""
    return Scene.model_json_schema()


def shapes(node: Schema) -> list[Schema]:
    """What a value may be: references followed, alternatives spread out, null left out."""
    if "$ref" in node:
        return shapes(model_schema()["$defs"][node["$ref"].rsplit("/", 1)[1]])
    if "anyOf" in node:
        return [shape for option in node["anyOf"] for shape in shapes(option)]
    return [] if node.get("type") == "null" else [node]


def child(node: Schema, part: str | int) -> Schema | None:
    """Schema of the value under a key or at a position; None if there can be none."""
    for shape in shapes(node):
        found = _child_of_shape(shape, part)
        if found is not None:
            return found
    return None


def _child_of_shape(shape: Schema, part: str | int) -> Schema | None:
    found: Schema | None = None
    if isinstance(part, int):
        fixed = shape.get("prefixItems", [])
        found = fixed[part] if part < len(fixed) else shape.get("items")
    elif part in shape.get("properties", {}):
        found = shape["properties"][part]
    elif "patternProperties" in shape:
        found = next(iter(shape["patternProperties"].values()))
    return found


def schema_at(trail: Trail) -> Schema | None:
    """Schema of the value at a trail; None if a scene has no such place."""
    node: Schema | None = model_schema()
    for part in trail:
        node = child(node, part) if node is not None else None
    return node


def keys_at(trail: Trail) -> tuple[str, ...]:
    """The keys that the noun at a trail may have; empty for anything else."""
    node = schema_at(trail)
    options = shapes(node) if node is not None else []
    return tuple(key for shape in options for key in shape.get("properties", {}))


def is_optional(trail: Trail) -> bool:
    """Whether a scene stays complete when what stands at `trail` is left out."""
    if not trail or isinstance(trail[-1], int):
        return False
    parent = schema_at(trail[:-1]) or {}
    return all(trail[-1] not in shape.get("required", []) for shape in shapes(parent))


def scene_schema() -> Schema:
    """JSON Schema (draft 2020-12) of a scene file, for editors.

    A file with `based_on` may leave out or set to null what its base gives, so such a file
    is held against a copy of the schema in which nothing is required.
    """
    whole = copy.deepcopy(model_schema())
    definitions: Schema = whole.pop("$defs")
    definitions["Scene"] = whole
    for definition in definitions.values():
        _add_titles(definition)
    changes = {name + _PATCH: _as_changes(body) for name, body in definitions.items()}
    changes["Scene" + _PATCH]["properties"] = {
        BASED_ON: _based_on_schema(),
        **changes["Scene" + _PATCH]["properties"],
    }
    return {
        "$schema": DIALECT,
        "title": "previz scene",
        "description": "A filmed interview: room, people, cameras, lights, exposure.",
        "if": {"type": "object", "required": [BASED_ON]},
        "then": {"$ref": f"#/$defs/Scene{_PATCH}"},
        "else": {"$ref": "#/$defs/Scene"},
        "$defs": {**definitions, **changes},
    }


def _based_on_schema() -> Schema:
    return {
        "title": "Based on",
        "description": "Scene file or files, in the scene's folder, that this one changes.",
        "anyOf": [
            {"type": "string"},
            {"type": "array", "items": {"type": "string"}},
        ],
    }


def key_title(key: str) -> str:
    """`focal_length_mm` as `Focal length (mm)`."""
    words = key.split("_")
    unit = UNITS.get(words[-1]) if len(words) > 1 else None
    text = " ".join(words[:-1] if unit else words)
    text = text[:1].upper() + text[1:]
    return f"{text} ({unit})" if unit else text


def _add_titles(definition: Schema) -> None:
    definition["title"] = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", definition["title"]).capitalize()
    for key, body in definition["properties"].items():
        body["title"] = key_title(key)


def _as_changes(definition: Schema) -> Schema:
    """The definition of the same noun in a variant: nothing required, null takes away."""
    body: Schema = _renamed(definition)
    for word in ("required", "minProperties"):
        body.pop(word, None)
    for key, value in body["properties"].items():
        for word in ("minProperties", "default"):
            value.pop(word, None)
        for pattern, entry in value.get("patternProperties", {}).items():
            value["patternProperties"][pattern] = {"anyOf": [entry, {"type": "null"}]}
        body["properties"][key] = _or_null(value)
    return body


def _or_null(value: Schema) -> Schema:
    said: Schema = {word: value.pop(word) for word in ("title", "description") if word in value}
    return {**said, "anyOf": [value, {"type": "null"}]}


def _renamed(node: Any) -> Any:
    if isinstance(node, dict):
        return {
            key: value + _PATCH if key == "$ref" else _renamed(value) for key, value in node.items()
        }
    return [_renamed(item) for item in node] if isinstance(node, list) else node
