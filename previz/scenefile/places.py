"""Where in its files each value of a scene stands."""

from __future__ import annotations

from dataclasses import dataclass

from previz.errors import Place
from previz.scenefile.yaml_tree import Leaf, Mapping, Node, Sequence


@dataclass(frozen=True)
class Places:
    """Looks up the place of any value of a scene by its keys."""

    root: Node

    def of(self, *path: str | int) -> Place:
        """Place of the value at `path`, or of the deepest part of the path that is written.

        A single value is found where it stands, a group of keys or a list at its key.
        """
        place, node = self.root.place, self.root
        for part in path:
            if isinstance(node, Mapping) and isinstance(part, str) and part in node.entries:
                entry = node.entries[part]
                node = entry.node
                place = node.place if isinstance(node, Leaf) else entry.key_place
            elif isinstance(node, Sequence) and isinstance(part, int) and part < len(node.items):
                node = node.items[part]
                place = node.place
            else:
                break
        return place

    def key_of(self, *path: str | int) -> Place:
        """Place of the key under which the value at `path` stands."""
        node: Node = self.root
        for part in path[:-1]:
            entry = node.entries.get(str(part)) if isinstance(node, Mapping) else None
            if entry is None:
                return self.of(*path)
            node = entry.node
        if path and isinstance(node, Mapping) and path[-1] in node.entries:
            return node.entries[str(path[-1])].key_place
        return self.of(*path)
