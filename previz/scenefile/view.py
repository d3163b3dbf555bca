"""The sound part of a scene: what can be relied on although other parts are faulty."""

from __future__ import annotations

from previz.scenefile.schema import schema_at
from previz.scenefile.validate import Fault, faulty_trails
from previz.scenefile.wording import Trail, dotted, is_name, listed, nearest, shown
from previz.scenefile.yaml_tree import Leaf, Mapping, Node, Sequence, plain

Point = tuple[float, ...]


class View:
    """Sound values by trail, and the list of what does not fit together.

    A value that is faulty, or holds a faulty part, reads as None and is never `lacking`, so
    that one slip gives one message. A value not given reads as its default.
    """

    def __init__(self, tree: Mapping, faults: list[Fault]) -> None:
        self.tree = tree
        self.found: list[Fault] = []
        self._bad: set[Trail] = set()
        bad = [fault.trail for fault in faults if fault.kind != "rule"]
        bad += [fault.meant for fault in faults if fault.meant is not None]
        self._ruled = {fault.trail for fault in faults if fault.kind == "rule"}
        for trail in [*bad, *faulty_trails(tree)]:
            self._bad.update(trail[:n] for n in range(len(trail) + 1) if _is_whole(trail, n))

    def names(self, collection: str) -> tuple[str, ...]:
        """Names in a collection, those of faulty entries too."""
        node = self._node((collection,))
        return tuple(node.entries) if isinstance(node, Mapping) else ()

    def inside(self, *trail: str | int) -> tuple[str | int, ...]:
        """Names in the group there, or positions in the list, those of faulty entries too."""
        node = self._node(trail)
        if isinstance(node, Sequence):
            return tuple(range(len(node.items)))
        return tuple(node.entries) if isinstance(node, Mapping) else ()

    def given(self, *trail: str | int) -> bool:
        """Whether a sound value is written there."""
        node = self._node(trail)
        empty = node is None or (isinstance(node, Leaf) and node.value is None)
        return not empty and trail not in self._bad

    def contradicts_itself(self, *trail: str | int) -> bool:
        """Whether the keys of the group there do not go together."""
        return trail in self._ruled

    def lacking(self, *trail: str | int) -> bool:
        """Whether nothing is written there, rightly or wrongly."""
        node = self._node(trail)
        empty = node is None or (isinstance(node, Leaf) and node.value is None)
        return empty and not any(trail[:n] in self._bad for n in range(1, len(trail) + 1))

    def value(self, *trail: str | int) -> object:
        """The sound value, its default when none is written, else None."""
        if self.given(*trail):
            node = self._node(trail)
            assert node is not None
            return plain(node)
        if not self.lacking(*trail):
            return None
        schema = schema_at(trail)
        return schema.get("default") if schema else None

    def number(self, *trail: str | int) -> float | None:
        """A number there."""
        return _number(self.value(*trail))

    def text(self, *trail: str | int) -> str | None:
        """A text there."""
        value = self.value(*trail)
        return value if isinstance(value, str) else None

    def point(self, *trail: str | int) -> Point | None:
        """A point there: two or three numbers in metres."""
        return _point(self.value(*trail))

    def points(self, *trail: str | int) -> list[Point] | None:
        """A list of points there."""
        value = self.value(*trail)
        if not isinstance(value, list):
            return None
        points = [_point(part) for part in value]
        sound = [point for point in points if point is not None]
        return sound if len(sound) == len(points) else None

    def say(self, trail: Trail, sentence: str) -> None:
        """Note that the value at `trail` does not fit the rest."""
        self.found.append(Fault(trail, "rule", f"{dotted(trail)}: {sentence}"))

    def say_found(self, trail: Trail, right: str) -> None:
        """Note a value out of bounds: `must be ..., found ...`."""
        self.say(trail, f"must be {right}, found {shown(self.value(*trail))}")

    def say_no_such(
        self, trail: Trail, what: str, choices: tuple[str, ...], look: str = ""
    ) -> None:
        """Note a name that nothing has, with the nearest that something does."""
        name = self.text(*trail) or ""
        choices = tuple(choice for choice in choices if is_name(choice))
        near = nearest(name, choices)
        if near:
            hint = f'; did you mean "{near}"?'
        elif look:
            hint = f"; see {look}"
        elif len(choices) == 1:
            hint = f"; there is only {choices[0]}"
        elif choices:
            hint = f"; there are {listed(choices[:12], 'and')}"
        else:
            hint = "; there are none"
        self.say(trail, f"no {what} is called {shown(name)}{hint}")

    def _node(self, trail: Trail) -> Node | None:
        node: Node | None = self.tree
        for part in trail:
            if isinstance(node, Mapping) and isinstance(part, str):
                entry = node.entries.get(part)
                node = entry.node if entry else None
            elif isinstance(node, Sequence) and isinstance(part, int) and part < len(node.items):
                node = node.items[part]
            else:
                return None
        return node


# The list of faults may be cut short, so what no fault speaks of need not be what its key asks for.


def _number(value: object) -> float | None:
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) if is_number else None  # type: ignore[arg-type]


def _point(value: object) -> Point | None:
    parts = [_number(part) for part in value] if isinstance(value, list) else []
    sound = tuple(part for part in parts if part is not None)
    return sound if len(sound) == len(parts) and len(parts) in (2, 3) else None


def _is_whole(trail: Trail, length: int) -> bool:
    """A list with a faulty item is faulty itself; a group with a faulty key is not."""
    return length == len(trail) or all(isinstance(part, int) for part in trail[length:])
