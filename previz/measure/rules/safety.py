"""Cautions as findings: heat, weight, what hangs over people, ladders, film, cables, exits, minors.

One note of each kind at most, naming what it is about; only what is measured to be too near a hot
lamp is a warning. The sentences are those of `cautions`.
"""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.gear.heat import HotNear
from previz.measure.gear.stands import PUSH_N
from previz.measure.measured import Measured
from previz.measure.rules.cautions import (
    DECIDE,
    HUNG_M,
    SENTENCES,
    Caution,
    cautions_for,
)
from previz.measure.rules.findings import GEOMETRY, PRACTICE, Finding, spoken
from previz.physics.stability import wind_speed_m_s
from previz.scenefile.wording import listed

_COLLECTIONS = {
    "ladder": "openings", "dark_film": "openings", "exits": "openings", "background": "furniture",
    "minor": "people",
}  # fmt: skip
"""What a caution is about, where that is no light."""


def safety_findings(measured: Measured) -> Iterator[Finding]:
    """The cautions that apply, each naming what it is about."""
    yield from _too_near(measured)
    for caution in cautions_for(measured.stage):
        if caution.rule == "overhead":
            continue
        if caution.rule == "stand_weight":
            yield from _stand_weight(measured)
        elif caution.names:
            yield _reminder(caution)
    yield from _overhead(measured)


def _reminder(caution: Caution) -> Finding:
    collection = _COLLECTIONS.get(caution.rule, "lights")
    return _note(caution.rule, f"{collection}.{caution.names[0]}", list(caution.names))


def _note(rule: str, about: str, names: list[str]) -> Finding:
    return Finding(rule, "note", about, f"{listed(names, 'and')}: {SENTENCES[rule]}; {DECIDE}")


def _near(near: HotNear) -> str:
    """What is near a lamp, for people: `the curtain of window`, `the ceiling`, a thing's name."""
    if not near.part:
        return spoken(near.other)
    part, name = near.part.split("_")[0], near.other.partition(".")[2]
    return f"the {part} of {name}" if name else f"the {part}"


def _too_near(measured: Measured) -> Iterator[Finding]:
    for near in measured.hot_near:
        yield Finding(
            "hot_too_near",
            "warning",
            f"lights.{near.light}",
            f"{_near(near)} is {100 * near.distance_m:.0f} cm from {near.light}, a hot lamp that "
            f"needs {100 * near.stand_off_m:.0f} cm: move one of them; {DECIDE}",
            near.distance_m,
            near.stand_off_m,
            "m",
            f"{GEOMETRY}; stand-off: an estimate, the lamp's own plate decides",
        )


def _stand_weight(measured: Measured) -> Iterator[Finding]:
    """How much to lay on each stand, and what would tip the weakest without it."""
    stands = {n: s for n, s in measured.stands.lights.items() if s.reach_m is not None}
    pushes = {name: stand.tipping_push_n for name, stand in stands.items()}
    weak = {name: push for name, push in pushes.items() if push < PUSH_N}
    if not weak:
        return
    first = min(weak, key=lambda name: weak[name])
    told = listed([f"{name} {stands[name].ballast_kg:g} kg" for name in weak], "and")
    sail = max(stands, key=lambda name: stands[name].face_m2)
    wind = wind_speed_m_s(PUSH_N, stands[sail].face_m2)
    yield Finding(
        "stand_weight",
        "note",
        f"lights.{first}",
        f"{SENTENCES['stand_weight']}: {told}; bare, a push of {weak[first]:.0f} N at its head "
        f"tips {first}, and brushing past gives {PUSH_N:g}; weighted so, {sail} stands a "
        f"wind of {wind:.0f} m/s on its face; {DECIDE}",
        weak[first],
        PUSH_N,
        "N",
        f"statics; push and weight of a stand: estimates; {PRACTICE}",
    )


def _overhead(measured: Measured) -> Iterator[Finding]:
    over = [f"{spoken(thing)} over {person}" for thing, person in measured.stands.above]
    things = [thing for thing, _ in measured.stands.above]
    for name, light in measured.stands.lights.items():
        hung = measured.stage.lights[name].setting.stand == "none" and light.height_m > HUNG_M
        if hung and f"lights.{name}" not in things:
            over.append(f"light {name}, hung from above")
            things.append(f"lights.{name}")
    if over:
        yield _note("overhead", things[0], over)
