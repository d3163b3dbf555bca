"""Settings from the command line, `key.dimmer_pct=50`, laid over a scene's tree."""

from __future__ import annotations

import re
from pathlib import Path

from previz.errors import Place, Problem
from previz.scenefile.layers import merge
from previz.scenefile.scope import built_instead
from previz.scenefile.wording import clipped, listed, nearest
from previz.scenefile.yaml_tree import Entry, Leaf, Mapping, Node, read_tree

SET = Path("--set")
COLLECTIONS = ("cameras", "moves", "lights", "people", "openings", "furniture", "sets")
_PATH = re.compile(r"[A-Za-z][A-Za-z0-9_]*(\.[A-Za-z][A-Za-z0-9_]*){0,5}")
_LONGEST = 4000


def apply_settings(
    tree: Mapping, settings: tuple[str, ...], top_keys: tuple[str, ...]
) -> tuple[Mapping, list[Problem]]:
    """Lay `PATH=VALUE` settings over the tree, in order; what cannot be is a problem.

    PATH may leave out the collection: `key.dimmer_pct` is `lights.key.dimmer_pct` when only
    one camera, move, light, person, opening, piece of furniture or set is called `key`. VALUE
    is YAML; `null` takes an entry away. `top_keys` are the keys a scene may have.
    """
    problems: list[Problem] = []
    for setting in settings:
        parsed = _parse(setting, tree, top_keys)
        if isinstance(parsed, list):
            problems += parsed
            continue
        parts, value = parsed
        tree = merge(tree, _nested(parts, value))
    return tree, problems


def _parse(
    setting: str, tree: Mapping, top_keys: tuple[str, ...]
) -> tuple[list[str], Node] | list[Problem]:
    path, equals, text = setting.partition("=")
    path, text = path.strip(), text.strip()
    if not equals or not is_path(path):
        return [_problem(f"{clipped(setting)} is not PATH=VALUE, such as key.dimmer_pct=50")]
    if not text or len(text) > _LONGEST or not text.isprintable():
        return [_problem(f"{path}: give one value after =, or null to take the entry away")]
    # A colour is meant: nobody sets a key to a comment.
    reading = read_tree(f'"{text}"' if text.startswith("#") else text, SET)
    faults = [_problem(f"{path}: {p.message}") for p in reading.problems]
    if faults or reading.root is None:
        return faults
    parts = full_path(path.split("."), tree, top_keys)
    return [_problem(f"{path}: {parts}")] if isinstance(parts, str) else (parts, reading.root)


def is_path(text: str) -> bool:
    """Whether the text is keys joined by points, as `key.dimmer_pct`."""
    return _PATH.fullmatch(text) is not None


def full_path(parts: list[str], tree: Mapping, top_keys: tuple[str, ...]) -> list[str] | str:
    """The keys with their collection before them, or in words why none can be meant."""
    if parts[0] in top_keys:
        return parts
    named = {collection: _names(tree, collection) for collection in COLLECTIONS}
    homes = [collection for collection, names in named.items() if parts[0] in names]
    if len(homes) == 1:
        return [homes[0], *parts]
    if homes:
        full = listed(f"{home}.{parts[0]}" for home in homes)
        return f"is there in {listed(homes, 'and')}; write {full}"
    near = nearest(parts[0], [*top_keys, *(name for names in named.values() for name in names)])
    hint = f'; did you mean "{near}"?' if near else ""
    instead = built_instead(parts[0])
    if instead:
        hint = f"; {instead}"
    return f"nothing in the scene is called {clipped(parts[0])}{hint}"


def _names(tree: Mapping, collection: str) -> list[str]:
    entry = tree.entries.get(collection)
    return list(entry.node.entries) if entry and isinstance(entry.node, Mapping) else []


def _nested(parts: list[str], value: Node) -> Mapping:
    place = Place(SET)
    node = _at_set(value)
    for part in reversed(parts):
        node = Mapping({part: Entry(place, node)}, place)
    assert isinstance(node, Mapping)
    return node


def _at_set(node: Node) -> Node:
    """The same value, without line and column: the command line has none."""
    place = Place(SET)
    if isinstance(node, Leaf):
        return Leaf(node.value, place, node.faulty)
    if isinstance(node, Mapping):
        entries = {key: Entry(place, _at_set(e.node)) for key, e in node.entries.items()}
        return Mapping(entries, place)
    return type(node)(tuple(_at_set(item) for item in node.items), place)


def _problem(message: str) -> Problem:
    return Problem(Place(SET), message)
