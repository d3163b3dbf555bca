"""Gel and ND film: what is cut for each pane and each light, and how long a roll that takes."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from previz.measure.kit.item import PRACTICE, Item
from previz.model.records import Fixture
from previz.model.room import Opening
from previz.stage.stage import Stage

ROLLS_M = (1.22, 1.52)
"""Widths of a roll, four and five feet: common practice, no source."""
PANE_MARGIN_M = 0.02
"""A cut is larger than its pane on each side, and trimmed on the glass: common practice, no
source."""
FACE_MARGIN_M = 0.05
"""A cut is larger than a light's face on each side, for its clips: common practice, no source."""
SPARE = 1.1
"""A tenth more for what is cut wrong: common practice, no source."""
ND_SHEETS = (1.2, 0.9, 0.6, 0.3, 0.15)
"""Densities that film comes in: common practice, no source."""
GEL_KG_PER_M2 = 0.12
"""Polyester of 75 micrometres with its dye: an estimate."""


@dataclass(frozen=True)
class Cut:
    """One piece of gel; width and height in metres."""

    gel: str
    width_m: float
    height_m: float
    note: str = ""


def nd_sheets(density: float) -> tuple[float, ...]:
    """The fewest films laid on one another that make a density, within half the thinnest."""
    left, found = density, []
    for sheet in ND_SHEETS:
        while left >= sheet - ND_SHEETS[-1] / 2.0:
            found.append(sheet)
            left -= sheet
    return tuple(found)


def gel_items(stage: Stage, labels: Mapping[str, str]) -> Iterator[Item]:
    """Cuts for windows and lights, and the rolls they come from; `labels` by a gel's name."""
    cuts = [*_for_windows(stage, labels), *_for_lights(stage, labels)]
    for cut, count in Counter(cuts).items():
        size = (cut.width_m, cut.height_m)
        weight_kg = round(cut.width_m * cut.height_m * GEL_KG_PER_M2, 2)
        yield Item("gel", f"{cut.gel}, cut", count, size_m=size, weight_kg=weight_kg, note=cut.note)
    by_gel: defaultdict[str, list[tuple[float, float]]] = defaultdict(list)
    for cut in cuts:
        by_gel[cut.gel].append((cut.width_m, cut.height_m))
    for gel, sizes in by_gel.items():
        roll_m, length_m = roll_for(sizes)
        yield Item(
            "gel", f"{gel}, from a roll this wide", math.ceil(length_m), "m", (roll_m,), case="",
            note="what the cuts above take, with a tenth to spare", source=PRACTICE,
        )  # fmt: skip


def _for_windows(stage: Stage, labels: Mapping[str, str]) -> Iterator[Cut]:
    """Every pane gets each film; two densities on one pane are two cuts."""
    for name, opening in stage.room.openings.items():
        films = [
            labels.get(f"nd_{sheet:g}", f"ND {sheet:g}") for sheet in nd_sheets(opening.gel_nd)
        ]
        films += [labels[gel] for gel in opening.gels]
        for film in films:
            yield from (_pane(film, opening, name),) * (opening.panes_across * opening.panes_up)


def _pane(film: str, opening: Opening, name: str) -> Cut:
    width_m = opening.width_m / opening.panes_across + 2.0 * PANE_MARGIN_M
    height_m = opening.height_m / opening.panes_up + 2.0 * PANE_MARGIN_M
    return Cut(film, round(width_m, 3), round(height_m, 3), f"panes of {name}")


def _for_lights(stage: Stage, labels: Mapping[str, str]) -> Iterator[Cut]:
    for name, light in stage.lights.items():
        wide_m, tall_m = face_m(light.fixture)
        for gel in light.setting.gels:
            yield Cut(
                labels[gel],
                round(wide_m + 2.0 * FACE_MARGIN_M, 3),
                round(tall_m + 2.0 * FACE_MARGIN_M, 3),
                f"for {name}" + (", heat-rated, in a frame" if light.fixture.hot else ""),
            )


def face_m(fixture: Fixture) -> tuple[float, float]:
    """Width and height of what a gel has to cover; of a tube its whole way round."""
    if fixture.length_m is not None:
        return math.pi * (fixture.diameter_m or 0.0), fixture.length_m
    wide_m = fixture.width_m or fixture.diameter_m or 0.0
    return wide_m, fixture.height_m or wide_m


def roll_for(sizes_m: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Width of the roll that wastes least, and the length to buy of it, metres."""
    sizes = Counter(sizes_m)
    lengths = {roll: sum(_length_m(s, n, roll) for s, n in sizes.items()) for roll in ROLLS_M}
    best = min(ROLLS_M, key=lambda roll: roll * lengths[roll])
    return best, SPARE * lengths[best]


def _length_m(size_m: tuple[float, float], count: int, roll_m: float) -> float:
    """Length of a roll for so many cuts of one size, laid the better of both ways; what is wider
    than the roll both ways is joined of strips.
    """
    lengths = []
    for across_m, along_m in (size_m, size_m[::-1]):
        if across_m <= roll_m:
            lengths.append(math.ceil(count / math.floor(roll_m / across_m)) * along_m)
    if lengths:
        return min(lengths)
    return count * min(math.ceil(a / roll_m) * b for a, b in (size_m, size_m[::-1]))
