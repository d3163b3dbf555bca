"""What a pitch says of a scene in the trade's words: frames, lights, what the place provides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from previz.measure.gear.power import ONLY_CIRCUIT, CircuitLoad
from previz.measure.kit.needs import Needs
from previz.measure.light.light import FaceLight
from previz.measure.light.parts import LightPart, Part
from previz.measure.measured import CameraNumbers
from previz.measure.setting_out.layout import Layout
from previz.scenefile.wording import listed
from previz.solve.hours import Hour
from previz.telling.kit import Words, minutes
from previz.telling.numbers import amperes, fixed, half_stops, lux, plain, ratio, rounded, watts
from previz.telling.setting_out import shown
from previz.telling.tape import focal, t_stop
from previz.units import ratio_to_stops

FARTHEST_STOPS = 6.0
"""Light on the face that lies farther under the key than this is not told in stops: on a face it
does nothing that anybody sees (common practice, no source)."""
LEAST_LX = 0.5
"""What a meter in the hand no longer tells from nothing beside a key: an estimate."""
_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PARTS: dict[Part, str] = {
    "key": "shapes the face",
    "fill": "opens the shadows",
    "hair": "lifts the head off the background",
    "edge": "an edge on",
    "front": "from the front on",
    "room lamp": "a lamp in the room, seen",
    "window": "daylight",
    "set": "for the room",
}


def facts_of(numbers: CameraNumbers, t_number: float) -> str:
    """The one line of facts under a frame: `50 mm, medium close-up, T2.9`."""
    framing = numbers.framing
    size = () if framing is None else (size_words(framing.shot_size),)
    return ", ".join((focal(numbers.optics.focal_length_mm), *size, t_stop(t_number)))


def size_words(size: str) -> str:
    """A shot size as it is written: `medium close-up`."""
    return size.replace("close_up", "close-up").replace("_", " ")


def headed(name: str) -> str:
    """A name of the scene file as a heading has it: `Back window`."""
    said = shown(name)
    return said[:1].upper() + said[1:]


def part_words(part: LightPart) -> str:
    """What a light is for: `an edge on baker`, `daylight, held by ND 0.6`."""
    said = _PARTS[part.part]
    if part.part == "window" and part.gel_nd > 0.0:
        return f"{said}, held by ND {plain(part.gel_nd)}"
    if part.person is not None and part.part in ("edge", "front"):
        return f"{said} {shown(part.person)}"
    return said


def reading_words(part: LightPart) -> str:
    """What a meter at the face says of one light alone: `46 lx, two stops under the key`."""
    if part.lx is None or part.person not in (None, part.read_on):
        return ""
    if part.lx < LEAST_LX:
        return "next to nothing on the face"
    light = f"{lux(part.lx)} lx on the face"
    if part.name == part.against or part.over_stops is None:
        return light
    if part.part == "hair":
        return f"on the hair {against_words(part.over_stops, part.against)}"
    return f"{light}, {against_words(part.over_stops, part.against)}"


def against_words(over_stops: float, against: str | None) -> str:
    """`a stop and a half under the key`, to half a stop."""
    name = "the key" if against is None or against.startswith("key") else f"the {shown(against)}"
    halves = half_stops(over_stops)
    if halves == 0:
        return f"level with {name}"
    if abs(over_stops) > FARTHEST_STOPS and over_stops < 0.0:
        return f"far under {name}"
    return f"{stops_words(halves)} {'over' if over_stops > 0.0 else 'under'} {name}"


def stops_words(halves: int) -> str:
    """Half stops in words: `half a stop`, `a stop`, `two and a half stops`."""
    whole, half = divmod(halves, 2)
    if whole == 0:
        return "half a stop"
    if whole == 1:
        return "a stop and a half" if half else "a stop"
    if half:
        return f"{_number(whole)} and a half stops"
    return counted(whole, "stop")


def together_words(face: FaceLight | None) -> str:
    """What all lights come to at the face: lux, and key to fill."""
    if face is None:
        return ""
    said = f"{lux(face.toward.total_lx)} lx on the face"
    if face.key_to_fill is None:
        return said
    stops = stops_words(half_stops(ratio_to_stops(face.key_to_fill)))
    return f"{said}, key to fill {ratio(face.key_to_fill)}, {stops}"


def hour_words(hour: Hour) -> str:
    """Where the sun stands at an hour: `sun 34° high`."""
    height = hour.stands.elevation_deg
    return f"sun {fixed(height)}° high" if height > 0.0 else "sun down"


def place_facts(needs: Needs, layout: Layout) -> Iterator[tuple[str, str]]:
    """What the place must provide, a word and a sentence each."""
    words = Words()
    for name, circuit in needs.load.circuits.items():
        if circuit.load_w > 0.0:
            yield "Power", _power(name, circuit, needs)
    plugged = [shown(lead.light) for lead in needs.leads]
    if plugged:
        far = max(lead.length_m for lead in needs.leads)
        count = counted(len(plugged), "socket")
        count = count[0].upper() + count[1:]
        yield (
            "Sockets",
            f"{count}: {listed(plugged, 'and')}; the longest way along the walls is "
            f"{words.length(far)}.",
        )
    if len(layout.floor_m):
        wide, deep = (max(side) - min(side) for side in layout.floor_m.T)
        high = "" if layout.height_m is None else f", {fixed(layout.height_m, 1)} m high"
        yield (
            "Space",
            f"The room as planned: {fixed(wide, 1)} × {fixed(deep, 1)} m{high}, to ourselves.",
        )
    yield "Time", f"About {minutes(needs.minutes)} for two people to set up, before anybody sits."
    yield "Quiet", "Nothing that hums, rings or drips while we record, here or next door."


def _power(name: str, circuit: CircuitLoad, needs: Needs) -> str:
    """What one circuit carries, and what cuts it."""
    on = "" if name == ONLY_CIRCUIT else f"On {shown(name)}: "
    rating = f"a {circuit.cut_by} of {plain(circuit.breaker_a)} A"
    rating += ", the usual one: please ask" if name in needs.guessed else ""
    return (
        f"{on}{watts(circuit.load_w)} with everything at full, {amperes(circuit.current_a)} at "
        f"{plain(needs.load.mains_v)} V, behind {rating}."
    )


def counted(count: int, noun: str) -> str:
    """`four sockets`."""
    return f"{_number(count)} {noun}" + ("" if count == 1 else "s")


def _number(count: int) -> str:
    return _NUMBERS[count] if 0 < count < len(_NUMBERS) else str(count)


def lifted_words(lift_stops: int) -> str:
    """That a frame is shown brighter than it is: `shown two stops brighter`."""
    return f"shown {stops_words(2 * lift_stops)} brighter" if lift_stops else ""


def pitch_lines(pages: int, rendered: Sequence[str], missing: Sequence[str]) -> Iterator[str]:
    """What the terminal says of a pitch that was written."""
    frames = "1 frame" if len(rendered) == 1 else f"{len(rendered)} frames"
    how = f"{frames} rendered" if rendered else "nothing had to be rendered"
    yield f"{pages} pages; {how}."
    if missing:
        letters = " ".join(missing)
        yield f"The type of these pages has no {letters} : a question mark stands for each."


def pitch_json(
    pages: Sequence[str],
    parts: Mapping[str, tuple[LightPart, ...]],
    missing: Sequence[str],
) -> dict[str, Any]:
    """Names of the pages, and every light by its part, with lux and stops."""
    return {
        "pages": list(pages),
        "scenes": {name: {"lights": _parts_json(lights)} for name, lights in parts.items()},
        "letters_lacking": list(missing),
    }


def _parts_json(parts: tuple[LightPart, ...]) -> list[dict[str, Any]]:
    return [
        {
            "name": part.name,
            "part": part.part,
            "person": part.person,
            "illuminance_lx": rounded(part.lx, 2),
            "against": part.against,
            "over_stops": rounded(part.over_stops, 2),
        }
        for part in parts
    ]
