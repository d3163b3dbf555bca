"""The packing list of a day: rows for tables, lines for people, names for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from previz.measure.kit.day import LIFT_KG, Case, Day, DayItem
from previz.measure.kit.leads import Lead
from previz.measure.kit.needs import Needs
from previz.measure.rules.cautions import TWO_PEOPLE_KG
from previz.scenefile.wording import listed
from previz.telling.numbers import amperes, fixed, plain, rounded, watts
from previz.telling.power_json import power_json
from previz.telling.quantities import told
from previz.units import kg_to_lb, m_to_ft, m_to_in

Units = Literal["metres", "feet"]
Value = str | int | float | None
COUNTED = (
    "Scenes of a day are set up one after another: of each thing the list has as many as the scene "
    "that needs most. What is used up (cards, batteries, tape, cells) adds up over the scenes."
)


def _both(weight_kg: float) -> str:
    """A weight for whoever reads kilograms, and for whoever reads pounds."""
    return f"{plain(weight_kg)} kg ({fixed(kg_to_lb(weight_kg))} lb)"


LIFTED = (
    f"Two people carry a case of more than {_both(LIFT_KG)}, which one holds close to the body, "
    f"and lift a light of {_both(TWO_PEOPLE_KG)} or more, which is held away from it on its way "
    "up. Both are from one guideline: Health and Safety Executive, "
    '"Manual handling at work: A brief guide", 2012 (from memory), the lower figures there, for '
    "women, at knuckle height; a filter for risk and no limit."
)
TIMED = "Minutes of two people who have done it before: common practice, no source."


@dataclass(frozen=True)
class Words:
    """How lengths and weights are said."""

    units: Units = "metres"

    def size(self, size_m: tuple[float, ...]) -> str:
        """`10 m` of a lead, `67 x 69 cm` of a cut; empty without a size."""
        if not size_m:
            return ""
        if len(size_m) == 1:
            return self.length(size_m[0], 2)
        if self.units == "feet":
            return " x ".join(fixed(m_to_in(side), 1) for side in size_m) + " in"
        return " x ".join(plain(100.0 * side, 1) for side in size_m) + " cm"

    def length(self, length_m: float, digits: int = 1) -> str:
        """A length along a wall or of a lead."""
        if self.units == "feet":
            return f"{fixed(m_to_ft(length_m))} ft"
        return f"{plain(length_m, digits)} m"

    @property
    def heavy(self) -> str:
        """The unit of weight."""
        return "lb" if self.units == "feet" else "kg"

    def weight(self, weight_kg: float | None) -> float | None:
        """A weight in that unit, rounded."""
        if weight_kg is None:
            return None
        return rounded(kg_to_lb(weight_kg) if self.units == "feet" else weight_kg, 2)

    def amount(self, line: DayItem) -> tuple[int, str]:
        """Count and unit of a line; a roll's metres as feet, rounded up."""
        item = line.item
        return self.counted(item.count, item.unit), self.unit(item.unit)

    def counted(self, count: int, unit: str) -> int:
        """How many, where it is metres as feet, rounded up."""
        return -int(-m_to_ft(count) // 1) if (unit, self.units) == ("m", "feet") else count

    def unit(self, unit: str) -> str:
        """A line's unit as it is said."""
        return "ft" if (unit, self.units) == ("m", "feet") else unit


def cases_of(line: DayItem, day: Day) -> tuple[str, ...]:
    """The cases that a line is packed in."""
    return tuple(case.name for case in day.cases if any(it is line for it, _ in case.contents))


def head(day: Day, words: Words) -> tuple[str, ...]:
    """Names of the columns of the list; a column for each scene where there are several."""
    scenes = tuple(day.scenes) if len(day.scenes) > 1 else ()
    each, both = f"weight each, {words.heavy}", f"weight in all, {words.heavy}"
    return ("category", "item", "size", "count", "unit", *scenes, "case", each, both, "note",
            "source")  # fmt: skip


def rows(day: Day, words: Words) -> Iterator[tuple[Value, ...]]:
    """The list's rows under `head`."""
    for line in day.items:
        item = line.item
        count, unit = words.amount(line)
        by_scene = (
            words.counted(line.by_scene.get(scene, 0), item.unit) or None for scene in day.scenes
        )
        several = tuple(by_scene) if len(day.scenes) > 1 else ()
        yield (
            item.category, item.name, words.size(item.size_m), count, unit, *several,
            ", ".join(cases_of(line, day)), words.weight(item.weight_kg),
            words.weight(line.weight_kg if not item.unit else None), item.note, item.source,
        )  # fmt: skip


def case_words(case: Case, words: Words) -> str:
    """`12.4 kg`, and who carries it."""
    weight = words.weight(case.weight_kg) or 0.0
    return f"{fixed(weight, 1)} {words.heavy}" + (", two people" if case.takes_two else "")


def circuit_rows(needs: Needs, words: Words) -> Iterator[tuple[str, str, str, str]]:
    """By circuit: its name, what it carries, what it may carry, the way from a socket to each of
    its lights: `key 6.2 m, hair 9 m past door`.
    """
    load = needs.load
    ways = {lead.light: lead for lead in needs.leads}
    for name, circuit in load.circuits.items():
        usual = ", as usual: ask" if name in needs.guessed else ""
        yield (
            name,
            f"{watts(circuit.load_w)}, {amperes(circuit.current_a)} at {plain(load.mains_v)} V",
            f"{circuit.cut_by} {plain(circuit.breaker_a)} A{usual}; "
            f"{amperes(circuit.continuous_a)} for hours",
            ", ".join(_lead(ways[light], words) for light in circuit.lights),
        )


def _lead(lead: Lead, words: Words) -> str:
    past = f" past {listed(lead.doors, 'and')}" if lead.doors else ""
    return f"{lead.light} {words.length(lead.length_m)}{past}"


def minutes(count: int) -> str:
    """`45 min` or `1 h 35 min`."""
    hours, rest = divmod(count, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def questions(day: Day) -> tuple[str, ...]:
    """What to ask the places, each once; those that not every scene asks say which do."""
    asked: dict[str, list[str]] = {}
    for scene, needs in day.scenes.items():
        for question in needs.questions:
            asked.setdefault(question, []).append(scene)
    return tuple(
        question if len(scenes) == len(day.scenes) else f"{question} ({', '.join(scenes)})"
        for question, scenes in asked.items()
    )


def kit_lines(day: Day, words: Words) -> Iterator[str]:
    """What the terminal says of a list that is written to files."""
    heavy = [case.name for case in day.cases if case.takes_two]
    total = fixed(words.weight(day.weight_kg) or 0.0)
    yield f"{len(day.items)} lines in {len(day.cases)} cases, {total} {words.heavy} in all"
    if heavy:
        yield f"  carried by two: {', '.join(heavy)}"
    for name, needs in day.scenes.items():
        load = needs.load
        yield (
            f"  {name}: {watts(load.load_w)} at {plain(load.mains_v)} V, set up in about "
            f"{minutes(needs.minutes)}"
        )
    yield "Ask the place:"
    for question in questions(day):
        yield f"  {question}"


def kit_json(day: Day, words: Words) -> dict[str, Any]:
    """As printed by `previz kit --json`; lengths and weights in SI, `size` as people say it."""
    found: dict[str, Any] = told(
        {
            "counted": COUNTED,
            "lifted": LIFTED,
            "weight_kg": day.weight_kg,
            "scenes": [_scene_json(name, needs) for name, needs in day.scenes.items()],
            "items": [_line_json(line, day, words) for line in day.items],
            "cases": [_case_json(case) for case in day.cases],
            "questions": list(questions(day)),
        }
    )
    return found


def _scene_json(name: str, needs: Needs) -> dict[str, Any]:
    return {
        "name": name,
        "title": needs.title,
        "ratings_not_given": list(needs.guessed),
        "power": power_json(needs.load),
        "leads": [
            {"light": lead.light, "length_m": lead.length_m, "doors": list(lead.doors)}
            for lead in needs.leads
        ],
        "setting_up": [{"what": step.what, "minutes": step.minutes} for step in needs.steps],
        "minutes": needs.minutes,
    }


def _line_json(line: DayItem, day: Day, words: Words) -> dict[str, Any]:
    item = line.item
    return {
        "category": item.category,
        "item": item.name,
        "size": words.size(item.size_m),
        "size_m": list(item.size_m),
        "count": item.count,
        "unit": item.unit,
        "adds_up": item.adds,
        "scenes": dict(line.by_scene),
        "cases": list(cases_of(line, day)),
        "weight_kg": item.weight_kg,
        "weight_all_kg": line.weight_kg if not item.unit else None,
        "note": item.note,
        "source": item.source,
    }


def _case_json(case: Case) -> dict[str, Any]:
    return {
        "name": case.name,
        "weight_kg": case.weight_kg,
        "two_people": case.takes_two,
        "contents": [{"item": line.item.name, "count": count} for line, count in case.contents],
    }
