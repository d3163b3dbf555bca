"""Cautions: the usual words on hot lamps, weight, cables and what hangs over people.

One note of each kind at most, naming what it is about. They remind; local code and people
licensed for the work decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.findings import Finding, spoken
from previz.measure.measured import Measured
from previz.scenefile.wording import listed

HEAVY_KG_M = 12.0
"""Weight times height from which a stand is named (common practice, no source)."""
HUNG_M = 1.9
"""What hangs higher than this without a stand is rigged over heads: common practice, no source."""


def safety_findings(measured: Measured) -> Iterator[Finding]:
    """All findings of this kind."""
    yield from _hot(measured)
    yield from _heavy(measured)
    yield from _overhead(measured)
    yield from _cables(measured)


def _caution(rule: str, names: list[str], message: str) -> Finding:
    return Finding(rule, "note", names[0], message)


def _lights(names: list[str]) -> str:
    return listed(names, "and")


def _hot(measured: Measured) -> Iterator[Finding]:
    scene, catalog = measured.scene, measured.catalog
    names = [n for n, t in scene.lights.items() if t.on and catalog.fixture(t.fixture).hot]
    if names:
        yield _caution(
            "hot_lamp",
            [f"lights.{name}" for name in names],
            f"{_lights(names)} {'gets' if len(names) == 1 else 'get'} hot enough to burn: keep "
            "cloth, paper, gels and hands away, let it cool before it is moved; the maker's "
            "distances and local fire rules decide",
        )


def _heavy(measured: Measured) -> Iterator[Finding]:
    loads = {
        name: light.weight_kg * light.height_m
        for name, light in measured.stands.lights.items()
        if light.reach_m is not None
    }
    heavy = {name: load for name, load in loads.items() if load >= HEAVY_KG_M}
    if heavy:
        told = [
            f"{n} ({measured.stands.lights[n].weight_kg:g} kg at "
            f"{measured.stands.lights[n].height_m:.1f} m)"
            for n in heavy
        ]
        yield Finding(
            "heavy_high",
            "note",
            f"lights.{next(iter(heavy))}",
            f"{_lights(told)}: turn a leg of the stand under the load, lay a sandbag on it, hold "
            "it while it goes up; the stand's rated load and local code decide",
            max(heavy.values()),
            HEAVY_KG_M,
            "kg m",
        )


def _overhead(measured: Measured) -> Iterator[Finding]:
    over = [f"{spoken(thing)} over {person}" for thing, person in measured.stands.above]
    things = [thing for thing, _ in measured.stands.above]
    for name, light in measured.stands.lights.items():
        hung = measured.scene.lights[name].stand == "none" and light.height_m > HUNG_M
        if hung and f"lights.{name}" not in things:
            over.append(f"light {name}, hung from above")
            things.append(f"lights.{name}")
    if over:
        yield _caution(
            "overhead",
            things,
            f"{_lights(over)}: weigh down what holds it and tie a safety bond that catches it if a "
            "clamp lets go; who may rig over people, and how, local code and licensed riggers "
            "decide",
        )


def _cables(measured: Measured) -> Iterator[Finding]:
    scene = measured.scene
    doors = [name for name, opening in scene.openings.items() if opening.kind != "window"]
    fixtures = {n: measured.catalog.fixture(scene.lights[n].fixture) for n in scene.lights}
    fed = [name for name in measured.stands.lights if fixtures[name].emits]
    if doors and fed:
        yield _caution(
            "cables",
            [f"lights.{name}" for name in fed],
            f"cables of {_lights(fed)}: along the walls, taped down or under a ramp where people "
            f"walk, and {_lights(doors)} kept free of them; the place's fire rules decide",
        )
