"""What somebody points at in a still: named points, edges, known heights, a card."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from previz.stage.stage import Array

GREY_CARD_PCT = 18.0
"""Reflectance of a grey card: common practice, no source."""
LARGEST_LENGTH_M = 20.0
"""A longer known height is a slip: an estimate."""
_NUMBER = r"\s*(-?\d+(?:\.\d*)?)\s*(%?)\s*"
_SPOT = re.compile(f"{_NUMBER},{_NUMBER}")
KEYS = ("units", "points", "verticals", "levels", "heights", "card", "card_pct")


@dataclass(frozen=True)
class Spot:
    """A place in a picture from its top left, in pixels, or in per cent of width and height."""

    x: float
    y: float
    in_pct: bool = False

    def px(self, size_px: tuple[int, int]) -> Array:
        """In pixels of a picture of this width and height, (2,)."""
        at = np.array([self.x, self.y])
        return at * np.array(size_px) / 100.0 if self.in_pct else at


Ends = tuple[Spot, Spot]


@dataclass(frozen=True)
class Height:
    """Something upright of known length: where its two ends are seen."""

    length_m: float
    ends: Ends


@dataclass(frozen=True)
class Marks:
    """All that was pointed at. `card` holds two corners of a box, or four corners."""

    points: Mapping[str, Spot] = field(default_factory=dict)
    verticals: tuple[Ends, ...] = ()
    levels: tuple[Ends, ...] = ()
    heights: tuple[Height, ...] = ()
    card: tuple[Spot, ...] = ()
    card_pct: float = GREY_CARD_PCT

    def and_also(self, more: Marks) -> Marks:
        """These and more; of a point or a card in both, that of `more` holds."""
        return Marks(
            points={**self.points, **more.points},
            verticals=(*self.verticals, *more.verticals),
            levels=(*self.levels, *more.levels),
            heights=(*self.heights, *more.heights),
            card=more.card or self.card,
            card_pct=more.card_pct if more.card_pct != GREY_CARD_PCT else self.card_pct,
        )

    def spots(self) -> Iterator[tuple[str, Spot]]:
        """Every place that was pointed at, with what it is."""
        yield from self.points.items()
        for word, pairs in (("vertical", self.verticals), ("level", self.levels)):
            for number, pair in enumerate(pairs, start=1):
                yield from ((f"{word} {number}", spot) for spot in pair)
        for number, height in enumerate(self.heights, start=1):
            yield from ((f"height {number}", spot) for spot in height.ends)
        yield from (("card", spot) for spot in self.card)


# --- as typed ---------------------------------------------------------------------------------


def point_typed(text: str) -> tuple[str, Spot]:
    """`eye_left=812,344` or `eye_left=63.4%,47.8%`. ValueError for anything else."""
    name, sign, place = text.partition("=")
    if not sign or not name.strip():
        raise ValueError(f'"{text}" is no point: write NAME=X,Y, such as eye_left=812,344')
    return name.strip(), spot_typed(place)


def spot_typed(text: str) -> Spot:
    """`812,344` in pixels, `63.4%,47.8%` in per cent. ValueError for anything else."""
    found = _SPOT.fullmatch(text)
    if found is None or found[2] != found[4]:
        raise ValueError(f'"{text}" is no place: write X,Y in pixels or X%,Y% in per cent')
    return Spot(float(found[1]), float(found[3]), found[2] == "%")


def spots_typed(text: str, counts: Sequence[int]) -> tuple[Spot, ...]:
    """Places between colons, as many as one of `counts`. ValueError for anything else."""
    spots = tuple(spot_typed(part) for part in text.split(":"))
    if len(spots) not in counts:
        wanted = " or ".join(map(str, counts))
        raise ValueError(f'"{text}" has {len(spots)} places, and {wanted} are wanted: X,Y:X,Y')
    return spots


def ends_typed(text: str) -> Ends:
    """`100,80:102,600`. ValueError for anything else."""
    first, second = spots_typed(text, (2,))
    return first, second


def height_typed(text: str) -> Height:
    """`1.75:640,200:642,900`, the length in metres first. ValueError for anything else."""
    length, _, rest = text.partition(":")
    return Height(_length(length), ends_typed(rest))


# --- as a file has them -----------------------------------------------------------------------


def marks_of(tree: Any) -> Marks:
    """Marks of what a YAML or JSON file of points holds. ValueError, one line, if it is none."""
    if not isinstance(tree, Mapping):
        raise ValueError("holds no group of keys: points, verticals, levels, heights, card")
    unknown = [str(key) for key in tree if key not in KEYS]
    if unknown:
        raise ValueError(f"knows no key {unknown[0]}; there are {', '.join(KEYS)}")
    units = tree.get("units", "px")
    if units not in ("px", "pct"):
        raise ValueError(f"units: found {units!r}, and px or pct is wanted")
    in_pct = units == "pct"
    points = tree.get("points") or {}
    if not isinstance(points, Mapping):
        raise ValueError("points: wants names, each with [x, y]")
    return Marks(
        points={str(n): _spot(at, in_pct, f"points.{n}") for n, at in points.items()},
        verticals=tuple(_ends(e, in_pct, "verticals") for e in _list(tree, "verticals")),
        levels=tuple(_ends(e, in_pct, "levels") for e in _list(tree, "levels")),
        heights=tuple(_height(h, in_pct) for h in _list(tree, "heights")),
        card=_card(tree.get("card") or (), in_pct),
        card_pct=_number(tree.get("card_pct", GREY_CARD_PCT), "card_pct"),
    )


def _list(tree: Mapping[Any, Any], key: str) -> list[Any]:
    found = tree.get(key) or []
    if not isinstance(found, list):
        raise ValueError(f"{key}: found {found!r}, and a list is wanted")
    return found


def _spot(value: Any, in_pct: bool, where: str) -> Spot:
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != 2:
        raise ValueError(f"{where}: found {value!r}, and [x, y] is wanted")
    return Spot(_number(value[0], where), _number(value[1], where), in_pct)


def _ends(value: Any, in_pct: bool, where: str) -> Ends:
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != 2:
        raise ValueError(f"{where}: found {value!r}, and two places [[x, y], [x, y]] are wanted")
    return _spot(value[0], in_pct, where), _spot(value[1], in_pct, where)


def _height(value: Any, in_pct: bool) -> Height:
    if not isinstance(value, Mapping) or set(value) != {"length_m", "ends"}:
        raise ValueError("heights: each wants length_m and ends")
    return Height(_length(value["length_m"]), _ends(value["ends"], in_pct, "heights"))


def _card(value: Any, in_pct: bool) -> tuple[Spot, ...]:
    if not isinstance(value, Sequence) or len(value) not in (0, 2, 4):
        raise ValueError("card: wants two corners of a box, or four corners")
    return tuple(_spot(at, in_pct, "card") for at in value)


def _length(value: Any) -> float:
    length = _number(value, "length in metres")
    if not 0.0 < length <= LARGEST_LENGTH_M:
        raise ValueError(f"a height of {length:g} m: it must be over 0 and at most 20 m")
    return length


def _number(value: Any, where: str) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError) as error:
        raise ValueError(f"{where}: found {value!r}, and a number is wanted") from error
    if not np.isfinite(number):
        raise ValueError(f"{where}: found {value!r}, and a finite number is wanted")
    return number
