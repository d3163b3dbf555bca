"""A real still against the plan in a cinematographer's words: what differs, what to do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from previz.solve.card import CardNumbers, Colour
from previz.solve.resection import Unknown
from previz.solve.verify import Pair, Step, Verified
from previz.telling.numbers import fixed, kelvin, plain, rounded, signed, stops
from previz.telling.setting_out import shown

LABELS: Mapping[str, tuple[str, str, int]] = {
    "tilt_deg": ("tilt", "°", 1),
    "roll_deg": ("roll, clockwise", "°", 1),
    "pan_right_deg": ("pan to the right of the plan", "°", 1),
    "lens_height_m": ("lens height", " m", 2),
    "forward_m": ("nearer than the plan", " m", 2),
    "right_m": ("to the right of the plan", " m", 2),
    "subject_distance_m": ("subject distance", " m", 2),
    "focal_length_mm": ("focal length", " mm", 1),
    "horizontal_angle_deg": ("horizontal angle of view", "°", 1),
    "head_height_pct": ("head height", " %", 1),
    "headroom_pct": ("headroom", " %", 1),
    "eye_height_pct": ("eyes from the top", " %", 1),
    "eye_from_left_pct": ("eyes from the left", " %", 1),
}
"""Of each number its label, its unit and its digits after the point: common practice, no source."""
SIGNED = ("tilt_deg", "roll_deg", "pan_right_deg", "forward_m", "right_m")
OWN_WORDS: Mapping[Unknown, str] = {
    "roll": "roll",
    "forward": "distance",
    "up": "lens height",
    "focal": "focal length",
    "right": "place across",
    "tilt": "tilt",
    "pan": "pan",
}
NOTHING_TO_DO = "Nothing to do: it is as planned, as far as these points tell."
DUV_DIGITS = 4
"""Digits that Duv is told with: common practice, no source."""
LEVEL_DUV = 0.0015
"""Tint that nobody sees: an estimate, a quarter of what separates a lamp from daylight."""
LIMITS = (
    "A still is a picture for a screen: sRGB, or what its colour profile says. It is taken to be "
    "developed as the scene's look develops; with another curve in the camera, trust only what "
    "lies within a stop or two of mid grey."
)


# --- lines ------------------------------------------------------------------------------------


def verdict(found: Verified) -> str:
    """In a few words whether the camera is as planned."""
    if found.steps:
        count = len(found.steps)
        return "1 thing to correct" if count == 1 else f"{count} things to correct"
    return "as planned, as far as these points tell"


def verify_lines(found: Verified, card: CardNumbers | None) -> Iterator[str]:
    """All there is to say, a line each."""
    wide = max(len(label) for label, _, _ in LABELS.values())
    for name, pair in found.numbers.items():
        if pair.source != "not_told":
            yield f"  {LABELS[name][0].ljust(wide)}  {pair_words(name, pair)}"
    if found.steps:
        yield "To do, in this order:"
        yield from (
            f"  {number}. {step_words(step)}" for number, step in enumerate(found.steps, start=1)
        )
    else:
        yield NOTHING_TO_DO
    yield from doubt_lines(found)
    if card is not None:
        yield from card_lines(card)


def number_rows(found: Verified) -> Iterator[tuple[str, str, str]]:
    """Label, planned and real of every number that could be told, for tables."""
    for name, pair in found.numbers.items():
        if pair.source != "not_told":
            yield LABELS[name][0], value_words(name, pair.planned), value_words(name, pair.real)


def pair_words(name: str, pair: Pair) -> str:
    """`1.25 m planned, 1.22 m now (±0.01)`."""
    _, unit, digits = LABELS[name]
    told = f"{value_words(name, pair.planned)} planned, {value_words(name, pair.real)} now"
    return told if pair.error is None else f"{told} (±{_error(pair.error, digits)}{unit})"


def value_words(name: str, value: float) -> str:
    """A number with its unit."""
    _, unit, digits = LABELS[name]
    value = rounded(value, digits) or 0.0
    with_sign = name in SIGNED and value != 0.0
    return f"{signed(value, digits) if with_sign else fixed(value, digits)}{unit}"


def _error(error: float, digits: int) -> str:
    return fixed(max(error, 10.0**-digits), digits)


def step_words(step: Step) -> str:
    """`tilt up 1.2°`, `come 14 cm nearer, or go from 50 to 54 mm`."""
    match step.what:
        case "roll":
            way = "clockwise" if step.amount > 0.0 else "anticlockwise"
            return f"roll {_angle(step)} {way}"
        case "up":
            return f"{'raise' if step.amount > 0.0 else 'lower'} the camera {_length(step)}"
        case "right":
            return f"move {_length(step)} to the {'right' if step.amount > 0.0 else 'left'}"
        case "forward":
            near = step.amount > 0.0
            words = f"come {_length(step)} nearer" if near else f"go {_length(step)} back"
            return words if step.instead_mm is None else f"{words}, or {_lens(step.instead_mm)}"
        case "focal":
            assert step.instead_mm is not None
            return _lens(step.instead_mm)
        case "tilt":
            up = step.amount > 0.0
            doubt = f", unless the lens stands too {'low' if up else 'high'}"
            words = f"tilt {'up' if up else 'down'} {_angle(step)}"
        case "pan":
            right = step.amount > 0.0
            doubt = f", unless the camera stands too far to the {'left' if right else 'right'}"
            words = f"pan {'right' if right else 'left'} {_angle(step)}"
    return words if step.not_told is None else f"{words}{doubt}"


def _angle(step: Step) -> str:
    degrees = math.degrees(abs(step.amount))
    return f"{fixed(degrees, 1)}° (±{_error(math.degrees(step.error), 1)}°)"


def _length(step: Step) -> str:
    return f"{fixed(100.0 * abs(step.amount))} cm (±{_error(100.0 * step.error, 0)} cm)"


def _lens(from_to_mm: tuple[float, float]) -> str:
    before, after = (plain(mm, 1 if mm < 20.0 else 0) for mm in from_to_mm)
    return f"go from {before} to {after} mm"


def doubt_lines(found: Verified) -> Iterator[str]:
    """What the points could not tell, and what does not fit."""
    if found.fit.not_told:
        words = ", ".join(OWN_WORDS[unknown] for unknown in found.fit.not_told)
        yield f"Not told by these points: {words}; taken to be as planned, or near."
    if found.by_people:
        yield (
            "These are points of people alone, who are taken to sit and to hold their heads as "
            "planned: add a corner of the room, or an upright edge for roll."
        )
    for name in found.fit.strange:
        miss = found.fit.misses_px[name]
        off = f"{fixed(miss)} pixels off" if math.isfinite(miss) else "nowhere near"
        yield (
            f"{name} lies {off} what the rest says: look whether it was pointed at rightly, or "
            "stands elsewhere than planned."
        )
    for person, (toward, right, up) in found.seats_m.items():
        ways = (
            (toward, "nearer to the camera", "farther from the camera"),
            (right, "farther right", "farther left"),
            (up, "higher", "lower"),
        )
        said = ", ".join(
            f"{fixed(100.0 * abs(by))} cm {more if by > 0.0 else less}"
            for by, more, less in ways
            if abs(by) >= 0.02
        )
        yield f"{shown(person)} sits {said} than planned."


# --- the card ---------------------------------------------------------------------------------


def card_lines(card: CardNumbers) -> Iterator[str]:
    """Exposure and white at the card, and what they rest on."""
    if card.over_stops is None:
        yield "Card: it clips or drowns in the still, or is dark in the plan: nothing is told."
        return
    over = card.over_stops
    level = "as planned" if abs(over) < 0.1 else f"{'over' if over > 0.0 else 'under'} the plan"
    yield f"Card: {stops(over)}, {level}."
    if card.light_mired is not None:
        yield (
            f"  Light, if the camera is balanced as planned: {_colour(card.planned_light)} "
            f"planned, {_colour(card.still_light)} now, {_mired(card.light_mired)}"
            f"{_tint(card.planned_light, card.still_light)}."
        )
    if card.white_mired is not None:
        yield (
            f"  Balance, if the light is as planned: {_colour(card.planned_white)} planned, "
            f"{_colour(card.still_white)} now, {_mired(card.white_mired)}."
        )
    yield f"  {LIMITS}"


def _colour(colour: Colour) -> str:
    return "no white" if colour.cct_k is None else kelvin(colour.cct_k)


def _mired(value: float) -> str:
    if abs(value) < 0.5:
        return "the same"
    return f"{fixed(abs(value))} mired {'warmer' if value > 0.0 else 'cooler'}"


def _tint(planned: Colour, real: Colour) -> str:
    if planned.duv is None or real.duv is None or abs(real.duv - planned.duv) < LEVEL_DUV:
        return ""
    off = real.duv - planned.duv
    return f" and {'greener' if off > 0.0 else 'pinker'} by {fixed(abs(off), DUV_DIGITS)} Duv"


# --- JSON -------------------------------------------------------------------------------------


def verified_json(found: Verified, card: CardNumbers | None) -> dict[str, Any]:
    """All of it, rounded, for programs and for the record."""
    return {
        "as_planned": not found.steps,
        "numbers": {name: _pair_json(name, pair) for name, pair in found.numbers.items()},
        "steps": [_step_json(step) for step in found.steps],
        "not_told": list(found.fit.not_told),
        "misses_px": {name: rounded(miss, 1) for name, miss in found.fit.misses_px.items()},
        "strange": list(found.fit.strange),
        "seats_m": {
            name: {"toward": rounded(a, 3), "right": rounded(b, 3), "up": rounded(c, 3)}
            for name, (a, b, c) in found.seats_m.items()
        },
        "by_people": found.by_people,
        "card": None if card is None else _card_json(card),
    }


def _pair_json(name: str, pair: Pair) -> dict[str, Any]:
    digits = LABELS[name][2] + 1
    return {
        "planned": rounded(pair.planned, digits),
        "real": rounded(pair.real, digits),
        "error": rounded(pair.error, digits + 1),
        "source": pair.source,
    }


def _step_json(step: Step) -> dict[str, Any]:
    turns = step.what in ("pan", "tilt", "roll")
    unit = "deg" if turns else "mm" if step.what == "focal" else "m"
    per = math.degrees(1.0) if turns else 1.0
    return {
        "what": step.what,
        f"amount_{unit}": rounded(step.amount * per, 3),
        f"error_{unit}": rounded(step.error * per, 3),
        "instead_mm": None if step.instead_mm is None else [rounded(v, 1) for v in step.instead_mm],
        "not_told_from": step.not_told,
        "words": step_words(step),
    }


def _card_json(card: CardNumbers) -> dict[str, Any]:
    def colour(value: Colour) -> dict[str, float | None]:
        return {"cct_k": rounded(value.cct_k, 0), "duv": rounded(value.duv, DUV_DIGITS)}

    return {
        "over_stops": rounded(card.over_stops, 2),
        "planned_srgb": [rounded(v, 4) for v in card.planned_srgb],
        "still_srgb": [rounded(v, 4) for v in card.still_srgb],
        "planned_light": colour(card.planned_light),
        "still_light": colour(card.still_light),
        "light_warmer_mired": rounded(card.light_mired, 1),
        "planned_white": colour(card.planned_white),
        "still_white": colour(card.still_white),
        "white_warmer_mired": rounded(card.white_mired, 1),
    }


# --- what was verified before -----------------------------------------------------------------


def listed_line(file: str, record: Mapping[str, Any], same_plan: bool) -> str:
    """One record: its file, camera and still, and what was to do."""
    return f"{file}: camera {record['camera']}, {day_words(record, same_plan)}"


def day_words(record: Mapping[str, Any], same_plan: bool) -> str:
    """One still, when it was taken, and what was to do."""
    taken = f", taken {record['taken']}" if record["taken"] else ""
    changed = "" if same_plan else " (the plan has changed since)"
    steps = "; ".join(step["words"] for step in record["result"]["steps"]) or "as planned"
    return f"{record['still']}{taken}: {steps}{changed}"


def listed_json(file: str, record: Mapping[str, Any], same_plan: bool) -> dict[str, Any]:
    """The same for programs."""
    return {"file": file, "same_plan": same_plan, **record}
