"""Features of a face: from a word and an amount to the targets of the archive.

An amount of 1 goes all the way of the target that has more of the feature, -1 all the way of the
one that has less; people lie within about a half. A feature of eyes, ears or cheeks has both sides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import BodyData

# Ends of the names of two targets that are each other's opposite. "More" is left out of a word:
# `nose_hump`, but `nose_point_up`.
OPPOSITES = {
    "incr": "decr",
    "up": "down",
    "out": "in",
    "forward": "backward",
    "convex": "concave",
    "uncompress": "compress",
}
SIDES = ("l-", "r-")
UNEVEN = "asym-"
# How uneven a face is: each of these makes one side unlike the other. An estimate, judged by eye.
UNEVENNESS = 0.08
NOSE_UNEVENNESS = 0.035  # a nose stands out: what passes on a cheek is a bent nose
LOPSIDED = 0.06  # of a feature that has two sides


@lru_cache(maxsize=2)
def known_features(data: BodyData) -> Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]:
    """Word -> the targets for more of the feature, and for less: none of a shape."""
    words: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {}
    for name in data.features:
        if name.startswith((UNEVEN, "r-")):
            continue
        stem, end = name.removeprefix("l-").rsplit("-", 1)
        if end in OPPOSITES.values():
            continue
        sides = SIDES if name.startswith("l-") else ("",)
        less = OPPOSITES.get(end)
        word = stem if end == "incr" else f"{stem}-{end}"
        words[word.replace("-", "_")] = (
            tuple(f"{side}{stem}-{end}" for side in sides),
            () if less is None else tuple(f"{side}{stem}-{less}" for side in sides),
        )
    return words


def targets(data: BodyData, amounts: Mapping[str, float], seed: int) -> dict[str, float]:
    """Shares of the archive's targets for the features' amounts, left and right not quite alike.

    seed  how they differ
    Raises KeyError for a feature that the archive does not have.
    """
    known = known_features(data)
    lopsided = np.random.default_rng(seed)
    found: dict[str, float] = {}
    for word, amount in amounts.items():
        more, less = known[word]
        # A side has a little more of it and the other less, never the other way than asked.
        lean = float(np.clip(lopsided.normal(0.0, LOPSIDED), -0.12, 0.12))
        for name, sign in zip(more if amount > 0.0 else less, (1.0, -1.0), strict=False):
            found[name] = abs(amount) * (1.0 + (sign * lean if len(more) > 1 else 0.0))
    return found


def uneven(data: BodyData, seed: int) -> dict[str, float]:
    """Shares of targets that make the two sides of a face unlike each other."""
    random = np.random.default_rng(seed)
    pairs = sorted({name[:-2] for name in data.features if name.startswith(UNEVEN)})
    found = {}
    for pair, value in zip(pairs, random.normal(0.0, 1.0, len(pairs)), strict=True):
        spread = NOSE_UNEVENNESS if pair.startswith(UNEVEN + "nose") else UNEVENNESS
        found[f"{pair}-{'l' if value > 0.0 else 'r'}"] = spread * float(min(abs(value), 2.0))
    return found


def unknown(data: BodyData, words: Iterable[str]) -> tuple[str, ...]:
    """Those of `words` that are no feature."""
    return tuple(word for word in words if word not in known_features(data))
