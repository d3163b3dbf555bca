"""Sex, age, weight, muscle, stature and descent: many targets mixed by what kind of body each is.

A target's name says its kind: `universal-female-young-averagemuscle-maxweight` counts for as much
as a body is female, young, of average muscle and of greatest weight, all multiplied.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from making.wheel import Array, Wheel

SEXES = ("female", "male")
AGES = ("baby", "child", "young", "old")
"""At about 1, 10, 25 and 90 years, as the assets' own reading of ages has them."""
DESCENTS = ("african", "asian", "caucasian")
FOLDERS = ("macrodetails", "macrodetails/height", "macrodetails/proportions")


@dataclass(frozen=True)
class Kind:
    """A kind of body; None stands for the middle. Weight, muscle and height run from 0 to 1."""

    sex: str | None = None
    age: str = "young"
    descent: str | None = None
    muscle: float = 0.5
    weight: float = 0.5
    height: float = 0.5

    def shares(self) -> dict[str, float]:
        """How far a body of this kind is what a word says."""
        found = {"universal": 1.0, "idealproportions": 0.5, "uncommonproportions": 0.5}
        found |= {self.age: 1.0}
        found |= {sex: 1.0 if sex == self.sex else 0.0 for sex in SEXES}
        if self.sex is None:
            found |= {sex: 1.0 / len(SEXES) for sex in SEXES}
        found |= {word: 1.0 if word == self.descent else 0.0 for word in DESCENTS}
        if self.descent is None:
            found |= {word: 1.0 / len(DESCENTS) for word in DESCENTS}
        for word, value in (("muscle", self.muscle), ("weight", self.weight)):
            found[f"min{word}"] = max(0.0, 1.0 - 2.0 * value)
            found[f"max{word}"] = max(0.0, 2.0 * value - 1.0)
            found[f"average{word}"] = 1.0 - abs(2.0 * value - 1.0)
        return found | {"minheight": 1.0 - self.height, "maxheight": self.height}


class Natures:
    """Bodies by kind, as moves of all vertices (n, 3) from the base mesh."""

    def __init__(self, wheel: Wheel):
        self._wheel = wheel
        names = sorted({name for folder in FOLDERS for name in wheel.targets(folder)})
        self._words = {name: name.rsplit("/", 1)[1].split("-") for name in names}
        self._read: dict[str, Array] = {}

    def of(self, kind: Kind) -> Array:
        """The moves that make the base mesh a body of this kind."""
        shares, total = kind.shares(), np.zeros_like(self._wheel.mesh.vertices)
        for name, words in self._words.items():
            share = float(np.prod([shares.get(word, 0.0) for word in words]))
            if share > 0.0:
                total += share * self._target(name)
        return total

    def directions(self) -> dict[str, Array]:
        """The directions of one sex each: from the mean body to each age, and from there."""
        mean, found = self.of(Kind()), {}
        for sex in SEXES:
            middle = Kind(sex)
            plain = self.of(middle)
            for age in AGES:
                aged = replace(middle, age=age)
                at = self.of(aged)
                found[f"{sex}-{age}"] = at - mean
                if age == "baby":
                    # No baby sits here: it only makes a child younger.
                    continue
                found[f"{sex}-{age}-light"] = self.of(replace(aged, weight=0.0)) - at
                found[f"{sex}-{age}-heavy"] = self.of(replace(aged, weight=1.0)) - at
            found[f"{sex}-short"] = self.of(replace(middle, height=0.0)) - plain
            found[f"{sex}-tall"] = self.of(replace(middle, height=1.0)) - plain
            found[f"{sex}-soft"] = self.of(replace(middle, muscle=0.0)) - plain
            found[f"{sex}-muscular"] = self.of(replace(middle, muscle=1.0)) - plain
            for descent in DESCENTS:
                found[f"{sex}-{descent}"] = self.of(replace(middle, descent=descent)) - plain
        return found

    def _target(self, name: str) -> Array:
        if name not in self._read:
            self._read[name] = self._wheel.target(name)
        return self._read[name]
