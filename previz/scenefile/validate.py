"""The tree against the models: every fault of form, each once, in plain words.

Pydantic decides what is wrong and where; the words come from the schema. After each round
the faulty values are replaced by valid stand-ins and the scene is validated again, because a
model's own rules (give one of two keys) run only when its fields are in order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from previz.model.scene import Scene
from previz.scenefile.expect import judged, stand_in, wanted
from previz.scenefile.schema import Schema, child, model_schema, schema_at, shapes
from previz.scenefile.unknown import meant_key, unknown_key_message
from previz.scenefile.wording import Trail, clipped, dotted, is_name, listed, nearest
from previz.scenefile.yaml_tree import Leaf, Mapping, Node, Sequence, plain

FaultKind = Literal["value", "missing", "unknown", "rule"]
_MOST_ROUNDS = 8
MAX_FAULTS = 200
"""Faults after which looking for more ends: no one corrects more in one go."""


@dataclass(frozen=True)
class Fault:
    """Something wrong at a place of the scene.

    `value`: what stands there is wrong; `missing`: nothing does; `unknown`: the key has no
    meaning; `rule`: sound values that do not go together, or do not fit the rest.
    """

    trail: Trail
    kind: FaultKind
    message: str
    meant: Trail | None = None
    """For an unknown key: where the key stands that was most likely meant."""


def find_faults(tree: Mapping) -> list[Fault]:
    """Every fault of form in a scene's tree; those already reported while reading are not."""
    return _Rounds(tree).run()


def faulty_trails(node: Node, trail: Trail = ()) -> Iterator[Trail]:
    """Where the tree holds values that were refused while reading."""
    if isinstance(node, Leaf):
        if node.faulty:
            yield trail
    elif isinstance(node, Sequence):
        for index, item in enumerate(node.items):
            yield from faulty_trails(item, (*trail, index))
    else:
        for key, entry in node.entries.items():
            yield from faulty_trails(entry.node, (*trail, key))


class _Rounds:
    def __init__(self, tree: Mapping) -> None:
        self.data: Any = plain(tree)
        self.faults: dict[Trail, Fault] = {}
        self.repaired_choices: set[Trail] = set()
        self.settled: set[Trail] = set()
        self.thinned: set[Trail] = set()
        for trail in faulty_trails(tree):
            self.settled.add(trail)
            if schema_at(trail) is not None:
                self._repair(trail)

    def run(self) -> list[Fault]:
        for _ in range(_MOST_ROUNDS):
            new = self._new_faults()
            if not new or len(self.faults) >= MAX_FAULTS:
                break
            for fault in new:
                self.faults[fault.trail] = fault
                if not self._too_many(fault):
                    self.settled.add(fault.trail)
            # Repairs come after all faults of a round are known: positions must not move.
            for fault in new:
                self._mend(fault)
        meant = {fault.meant for fault in self.faults.values()}
        return [
            fault
            for fault in self.faults.values()
            if not (fault.kind == "missing" and fault.trail in meant)
        ]

    def _too_many(self, fault: Fault) -> list[str]:
        """The entries of a collection that are more than it may have."""
        entries, node = _at(self.data, fault.trail), schema_at(fault.trail)
        if fault.kind != "value" or not isinstance(entries, dict) or node is None:
            return []
        return list(entries)[min(s.get("maxProperties", len(entries)) for s in shapes(node)) :]

    def _mend(self, fault: Fault) -> None:
        too_many = self._too_many(fault)
        if fault.kind == "unknown":
            self._drop(fault.trail)
        elif too_many:
            # Entries are looked into only when there are no more than there may be.
            for name in too_many:
                self._drop((*fault.trail, name))
        elif fault.kind != "rule":
            self._repair(fault.trail)
        if fault.meant is not None and not _holds(
            _at(self.data, fault.meant[:-1]), fault.meant[-1]
        ):
            self.settled.add(fault.meant)
            self._repair(fault.meant)

    def _new_faults(self) -> list[Fault]:
        try:
            Scene.model_validate(self.data)
        except ValidationError as error:
            details = error.errors(include_url=False, include_input=False)
        else:
            return []
        found: dict[Trail, Fault] = {}
        for detail in details[:MAX_FAULTS]:
            fault = self._fault(detail)
            if self._is_news(fault) and not self._miscounted(detail):
                found.setdefault(fault.trail, fault)
        return list(found.values())

    def _miscounted(self, detail: ErrorDetails) -> bool:
        """Whether a list is only called too short because its faulty items were not counted."""
        _, value, node = self._locate(detail)
        if detail["type"] != "too_short" or not isinstance(value, list):
            return False
        fewest: int = min(shape.get("minItems", 0) for shape in shapes(node))
        return len(value) >= fewest

    def _is_news(self, fault: Fault) -> bool:
        trail = fault.trail
        if any(trail[:n] in self.settled for n in range(len(trail) + 1)):
            return False
        if fault.kind == "rule":
            # A stand-in for a wrong choice may break a rule that the right choice would keep.
            return not any(choice[:-1] == trail for choice in self.repaired_choices)
        # A collection that is too small now was not before a misnamed entry was dropped.
        return trail not in self.thinned

    def _fault(self, detail: ErrorDetails) -> Fault:
        trail, value, node = self._locate(detail)
        kind = detail["type"]
        last = detail["loc"][-1] if detail["loc"] else ""
        if kind == "extra_forbidden":
            return self._unknown(trail)
        if last == "[key]":
            name = clipped(str(trail[-1]))
            rule = "a name has letters, digits and _, starts with a letter, at most 40 characters"
            return Fault(trail, "unknown", _said(trail[:-1], f"{name} is no name: {rule}"))
        if kind == "missing" and isinstance(value, dict):
            return _missing((*trail, last))
        if kind == "value_error":
            rule = str(detail["ctx"]["error"])
            return Fault(trail, "rule", _said(trail, rule + _keys_found(rule, value)))
        if value is None and len(trail) == 2:
            return Fault(trail, "value", _said(trail, self._nothing_inherited(trail)))
        return Fault(trail, "value", _said(trail, judged(node, value)))

    def _locate(self, detail: ErrorDetails) -> tuple[Trail, Any, Schema]:
        """Deepest place that both the scene and the schema have; the rest of `loc` is tags."""
        trail: Trail = ()
        value, node = self.data, model_schema()
        for part in detail["loc"]:
            inner = child(node, part)
            last_unknown = detail["type"] == "extra_forbidden" and part == detail["loc"][-1]
            if not _holds(value, part) or (inner is None and not last_unknown):
                break
            trail, value, node = (*trail, part), value[part], inner or {}
        return trail, value, node

    def _unknown(self, trail: Trail) -> Fault:
        near = meant_key(trail)
        meant = (*trail[:-1], near) if near else None
        said = unknown_key_message(trail, _at(self.data, trail))
        return Fault(trail, "unknown", _said(trail[:-1], said), meant)

    def _nothing_inherited(self, trail: Trail) -> str:
        parent = _at(self.data, trail[:-1])
        others = [n for n, value in parent.items() if value is not None and is_name(n)]
        near = nearest(str(trail[-1]), others)
        hint = f'; did you mean "{near}"?' if near else ""
        return f"null takes an inherited entry away, and none of this name is inherited{hint}"

    def _drop(self, trail: Trail) -> None:
        parent = _at(self.data, trail[:-1])
        if isinstance(parent, dict):
            parent.pop(trail[-1], None)
            self.thinned.add(trail[:-1])

    def _repair(self, trail: Trail) -> None:
        parent, node = _at(self.data, trail[:-1]), schema_at(trail)
        if not trail or node is None or not isinstance(parent, (dict, list)):
            return
        part: Any = trail[-1]
        if isinstance(parent, list) and not _holds(parent, part):
            return
        if any("enum" in shape for shape in shapes(node)):
            self.repaired_choices.add(trail)
        parent[part] = stand_in(node)


def _keys_found(rule: str, group: dict[str, Any]) -> str:
    """Which of the keys that a rule speaks of are there."""
    named = set(re.findall(r"\w+", rule))
    found = [key for key, value in group.items() if key in named and value is not None]
    return f"; found {listed(found, 'and')}" if found and "not both" not in rule else ""


def _missing(trail: Trail) -> Fault:
    node = schema_at(trail)
    key = str(trail[-1])
    if trail == ("previz",):
        return Fault(trail, "missing", "previz is missing; a scene begins with previz: 1")
    give = f"; give {wanted(node)}" if node else ""
    return Fault(trail, "missing", _said(trail[:-1], f"{key} is missing{give}"))


def _said(trail: Trail, sentence: str) -> str:
    return f"{dotted(trail)}: {sentence}" if trail else sentence


def _holds(value: Any, part: str | int) -> bool:
    if isinstance(value, dict):
        return part in value
    return isinstance(value, list) and isinstance(part, int) and part < len(value)


def _at(value: Any, trail: Trail) -> Any:
    for part in trail:
        if not _holds(value, part):
            return None
        value = value[part]
    return value
