"""One line of a packing list, and what every part of it shares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Category = Literal[
    "cameras", "lenses", "filters", "gel", "lights", "grip", "sound", "power", "media",
    "batteries", "consumables", "tools",
]  # fmt: skip
"""Kinds of items, in the order of a packing list."""
CASES: dict[Category, str] = {
    "cameras": "Camera case",
    "lenses": "Lens case",
    "filters": "Lens case",
    "gel": "Gel tube",
    "lights": "Light case",
    "grip": "Stand bag",
    "sound": "Sound case",
    "power": "Cable crate",
    "media": "Media pouch",
    "batteries": "Battery case",
    "consumables": "Set box",
    "tools": "Set box",
}
"""Where each kind is packed: common practice, no source."""
CATALOGUE = "catalogue"
PRACTICE = "common practice, no source"
ESTIMATE = "estimate"


@dataclass(frozen=True)
class Item:
    """One thing to bring.

    name       in words; two items of one name and size are the same thing
    count      how many, or how much in `unit`
    unit       empty: pieces
    size_m     length of a lead; width and height of a cut; empty: of no matter
    weight_kg  of one; None: not known, weigh it
    adds       used up: over the scenes of a day it adds up, where other things are shared
    case       where it is packed, if not with its kind; empty: in no case
    """

    category: Category
    name: str
    count: int
    unit: str = ""
    size_m: tuple[float, ...] = ()
    weight_kg: float | None = None
    note: str = ""
    source: str = PRACTICE
    adds: bool = False
    case: str | None = None

    @property
    def same(self) -> tuple[Category, str, tuple[float, ...], str]:
        """What makes two items one line of the list; sizes to the millimetre."""
        return self.category, self.name, tuple(round(side, 3) for side in self.size_m), self.unit

    @property
    def packed_in(self) -> str:
        """Name of its kind of case."""
        return CASES[self.category] if self.case is None else self.case
