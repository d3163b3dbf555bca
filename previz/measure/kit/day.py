"""A day of scenes: what they share is counted once, what is used up adds up; then the cases.

Scenes of a day are set up one after another, so the day needs of each thing as many as the scene
that needs most.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import get_args

from previz.measure.kit.item import Category, Item
from previz.measure.kit.needs import Needs

LIFT_KG = 16.0
"""A case that weighs more is carried by two. Health and Safety Executive, "Manual handling at work:
A brief guide" (INDG143), 2012, from memory: close to the body at knuckle height 25 kg for men and
16 kg for women; a filter for risk and no limit. The lower holds while the crew is not known."""
FULL_KG = 15.0
"""A case is closed before it gets heavier than this, with itself: a kilogram under `LIFT_KG`, an
estimate."""
CASE_KG: Mapping[str, float] = {
    "Camera case": 4.5, "Lens case": 3.0, "Light case": 4.0, "Stand bag": 1.5, "Sound case": 3.0,
    "Cable crate": 2.0, "Gel tube": 0.5, "Media pouch": 0.3, "Battery case": 2.0, "Set box": 1.5,
}  # fmt: skip
"""What an empty case weighs: estimates. What is not listed here is carried as it is."""
ORDER = get_args(Category)


@dataclass(frozen=True)
class DayItem:
    """One line of the day's list: the item with the day's count, and its count by scene."""

    item: Item
    by_scene: Mapping[str, int]

    @property
    def weight_kg(self) -> float | None:
        """Of all of them; None where one is not known."""
        one = self.item.weight_kg
        return None if one is None else one * self.item.count


@dataclass(frozen=True)
class Case:
    """One case with what is in it: lines, and how many of each. `weight_kg` with the case."""

    name: str
    contents: tuple[tuple[DayItem, int], ...]
    weight_kg: float

    @property
    def takes_two(self) -> bool:
        """Whether two people carry it."""
        return self.weight_kg > LIFT_KG


@dataclass(frozen=True, eq=False)
class Day:
    """All scenes of a day, by a short name each, and what is brought for them."""

    scenes: Mapping[str, Needs]
    items: tuple[DayItem, ...]
    cases: tuple[Case, ...]

    @property
    def weight_kg(self) -> float:
        """All cases together, without what has no known weight."""
        return sum(case.weight_kg for case in self.cases)


def day_of(scenes: Mapping[str, Needs]) -> Day:
    """Lay scenes together and pack."""
    items = tuple(_shared(scenes))
    return Day(scenes, items, tuple(_packed(items)))


def _shared(scenes: Mapping[str, Needs]) -> Iterator[DayItem]:
    """By category, in the order in which scenes first ask for it."""
    first: dict[object, Item] = {}
    counts: dict[object, dict[str, int]] = {}
    for scene, needs in scenes.items():
        for item in needs.items:
            kept = first.setdefault(item.same, item)
            first[item.same] = replace(kept, note=_both(kept.note, item.note))
            here = counts.setdefault(item.same, {})
            here[scene] = here.get(scene, 0) + item.count
    for same, item in sorted(first.items(), key=lambda pair: ORDER.index(pair[1].category)):
        by_scene = counts[same]
        total = sum(by_scene.values()) if item.adds else max(by_scene.values())
        yield DayItem(replace(item, count=total), by_scene)


def _both(one: str, other: str) -> str:
    """Two notes as one, each said once."""
    said = [part for part in one.split("; ") if part]
    return "; ".join([*said, *(p for p in other.split("; ") if p and p not in said)])


def _packed(items: Iterable[DayItem]) -> Iterator[Case]:
    """Kind by kind, each case filled until it is heavy enough; one thing alone may be heavier."""
    kinds: dict[str, list[DayItem]] = {}
    for line in items:
        if line.item.packed_in:
            kinds.setdefault(line.item.packed_in, []).append(line)
    for kind, lines in kinds.items():
        filled = list(_fill(lines, CASE_KG.get(kind, 0.0)))
        for number, (contents, weight_kg) in enumerate(filled, 1):
            name = kind if len(filled) == 1 else f"{kind} {number}"
            yield Case(name, contents, weight_kg)


def _fill(
    lines: Iterable[DayItem], empty_kg: float
) -> Iterator[tuple[tuple[tuple[DayItem, int], ...], float]]:
    """Cases of one kind: contents, and weight with the case."""
    inside: dict[int, tuple[DayItem, int]] = {}
    weight_kg = empty_kg
    for line in lines:
        each_kg = line.item.weight_kg or 0.0
        pieces = line.item.count if not line.item.unit else 1
        for _ in range(pieces):
            if inside and weight_kg + each_kg > FULL_KG:
                yield tuple(inside.values()), weight_kg
                inside, weight_kg = {}, empty_kg
            held = inside.get(id(line), (line, 0))[1]
            inside[id(line)] = (line, held + 1)
            weight_kg += each_kg
    if inside:
        yield tuple(inside.values()), weight_kg
