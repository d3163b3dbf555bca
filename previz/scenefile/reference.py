"""The scene reference in Markdown, made from the schema so that it cannot fall behind."""

from __future__ import annotations

import re
from typing import Any

from previz.scenefile import layers, text, yaml_tree
from previz.scenefile.expect import wanted
from previz.scenefile.schema import Schema
from previz.scenefile.wording import shown

# Said once above the tables, not again in each row.
_ASIDE = re.compile(r" \(small letters[^)]*\)| of letters, digits and _ that starts with a letter")

_INTRO = """\
# Scene files

A scene is one YAML file, or a folder with a `scene.yaml` in it. It says what room there is,
who sits in it, which cameras and lights look at them. This page lists every key. It is made
from the schema that the program checks scenes with (`previz schema` prints it for your editor).

Lengths are in metres unless the key says otherwise: the unit is the last word of a key
(`focal_length_mm`, `azimuth_deg`, `dimmer_pct`, `cct_k`). In plan, x runs east and y runs
north; heights count from the floor. Names are yours to give: letters, digits and `_`, a letter
first, at most 40 characters. Names from the catalogue are listed by `previz catalog list`.
"""

_VARIANTS = f"""\
## Variants: the same scene, but ...

`based_on: day.yaml` takes over everything in `day.yaml`; `based_on: [room.yaml, kit.yaml]`
takes over several files in that order. What the file itself says wins:

- groups of keys are merged key by key, at any depth;
- lists (`at_m`, `floor_m`) are replaced as a whole;
- another way of saying the same replaces the inherited one: a place in numbers one in words,
  `aim_m` an `aim`, `turn_deg` a `faces`;
- `null` takes an inherited entry away: `lights: {{hair: null}}`.

File names count from the folder of the file that names them and must stay inside the scene's
folder. At most {layers.MAX_LAYERS} files may be based on one another, and {layers.MAX_FILES} may
make up a scene. On the command line, `--set key.dimmer_pct=50` does the same for one value;
`lights.` and its like may be left out when the name is clear.
"""

_TRAPS = f"""\
## What is refused, so that nothing is misread

YAML programs disagree on some words. A scene must not depend on who reads it, so these are
refused unless quoted: `yes no on off`, `16:9` and `10:30`, dates, `012`, `0x1F`, `1_000`,
`~`, `.inf`, `.nan`. Numbers may be written `2.8`, `.5` or `1e3`. A colour needs quotes
(`"#5b6b7a"`), because `#` starts a comment. Also refused: a key given twice, tags (`!!...`),
merge keys (`<<`), a second document, tabs as indentation, text that is not UTF-8.

Limits: a file of {text.MAX_BYTES // 1000} kB, {yaml_tree.MAX_DEPTH} levels, {yaml_tree.MAX_NODES}
values with aliases written out, {yaml_tree.MAX_ANCHORS} anchors.

Files that a scene names (`lut`, `scan`) lie in the scene's folder or in the catalogue.
"""


def reference_markdown(schema: Schema) -> str:
    """Markdown reference of all keys, from `scene_schema()`; ends with one newline."""
    definitions = schema["$defs"]
    parts = [_INTRO, _section("The scene", definitions["Scene"], definitions)]
    for name in _order(definitions):
        parts.append(_section(definitions[name]["title"], definitions[name], definitions))
    return "\n".join([*parts, _VARIANTS, _TRAPS]).rstrip() + "\n"


def _order(definitions: Schema) -> list[str]:
    """Nouns in the order in which a reader of the scene's own table meets them."""
    return list(dict.fromkeys(_below("Scene", definitions)))


def _below(name: str, definitions: Schema) -> list[str]:
    order = []
    for inner in _references(definitions[name]):
        order += [inner, *_below(inner, definitions)]
    return order


def _references(node: Any) -> list[str]:
    if isinstance(node, dict):
        found = [node["$ref"].rsplit("/", 1)[1]] if "$ref" in node else []
        return found + [ref for value in node.values() for ref in _references(value)]
    return [ref for item in node for ref in _references(item)] if isinstance(node, list) else []


def _section(title: str, noun: Schema, definitions: Schema) -> str:
    lines = [
        f"## {title}\n",
        f"{_one_line(noun.get('description', ''))}\n",
        "| Key | Type and range | Default | Meaning |",
        "|---|---|---|---|",
    ]
    required = noun.get("required", [])
    for key, value in noun["properties"].items():
        default = "**needed**" if key in required else _default(value)
        meaning = value.get("description") or _meaning(value, definitions)
        cells = (f"`{key}`", _type(value, definitions), default, _one_line(meaning))
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines) + "\n"


def _type(value: Schema, definitions: Schema) -> str:
    noun = _references(value)
    if not noun:
        return _ASIDE.sub("", wanted(value))
    title = definitions[noun[0]]["title"]
    link = f"[{title}](#{title.lower().replace(' ', '-')})"
    if value.get("type") == "array":
        return f"a list of {value.get('minItems', 0)} to {value['maxItems']}, each: {link}"
    return f"named entries, each: {link}" if "patternProperties" in value else link


def _meaning(value: Schema, definitions: Schema) -> str:
    noun = _references(value)
    return str(definitions[noun[0]].get("description", "")) if noun else ""


def _default(value: Schema) -> str:
    default = value.get("default")
    if default is None or isinstance(default, dict):
        return ""
    if isinstance(default, list):
        return f"[{', '.join(shown(part) for part in default)}]"
    if default == "":
        return ""
    plain = default if isinstance(default, str) else shown(default)
    return f'`"{plain}"`' if plain.startswith("#") else f"`{plain}`"


def _one_line(text_of_many: str) -> str:
    return re.sub(r"\s+", " ", text_of_many).strip()
