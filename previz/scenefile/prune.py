"""Leaving out the faulty parts of a scene, as little as possible."""

from __future__ import annotations

from collections.abc import Iterable

from previz.scenefile.schema import is_optional
from previz.scenefile.validate import faulty_trails
from previz.scenefile.wording import Trail
from previz.scenefile.yaml_tree import Entry, Mapping


def prune(tree: Mapping, trails: Iterable[Trail]) -> Mapping | None:
    """The tree without the smallest optional part round each faulty place.

    Returns the same tree when nothing is faulty, None when the scene cannot do without.
    """
    for trail in [*faulty_trails(tree), *trails]:
        cut = _smallest_optional(tree, trail)
        if cut is None:
            return None
        tree = _without(tree, cut)
    return tree


def _smallest_optional(tree: Mapping, trail: Trail) -> Trail | None:
    """Longest part of the trail that is written in the tree and may be left out.

    What lies in a list goes with the whole list.
    """
    listed = next((n for n, part in enumerate(trail) if isinstance(part, int)), len(trail))
    for length in range(listed, 0, -1):
        part = trail[:length]
        if is_optional(part) and (_is_written(tree, part) or not _could_be_written(tree, part)):
            return part
    return None


def _is_written(tree: Mapping, trail: Trail) -> bool:
    node: object = tree
    for part in trail:
        if not isinstance(node, Mapping) or part not in node.entries:
            return False
        node = node.entries[str(part)].node
    return True


def _could_be_written(tree: Mapping, trail: Trail) -> bool:
    """False when an earlier cut took away what the trail lies in."""
    return len(trail) < 2 or _is_written(tree, trail[:-1])


def _without(tree: Mapping, trail: Trail) -> Mapping:
    entries = dict(tree.entries)
    key = str(trail[0])
    entry = entries.get(key)
    if entry is None:
        return tree
    if len(trail) == 1:
        del entries[key]
    elif isinstance(entry.node, Mapping):
        entries[key] = Entry(entry.key_place, _without(entry.node, trail[1:]))
    return Mapping(entries, tree.place)
