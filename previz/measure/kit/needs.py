"""What one scene needs: items, power by circuit, the order of setting up, what to ask the place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from previz.measure.gear.floor import Outlines
from previz.measure.gear.power import Load, load_of
from previz.measure.gear.reach import has_film
from previz.measure.gear.stands import BAG_KG, measure_stands
from previz.measure.kit.audio import sound_items
from previz.measure.kit.camera import battery_items, camera_items, media_items
from previz.measure.kit.extras import extra_items
from previz.measure.kit.gel import gel_items
from previz.measure.kit.item import Item
from previz.measure.kit.leads import Lead, leads_of, power_items
from previz.measure.kit.lights import grip_items, light_items
from previz.measure.kit.steps import Step, steps_of
from previz.scenefile.wording import listed
from previz.stage.stage import Stage


@dataclass(frozen=True, eq=False)
class Needs:
    """All of one scene. `guessed` are circuits whose rating is the usual one of the country,
    for the scene gives none; `questions` are what it cannot know.
    """

    title: str
    items: tuple[Item, ...]
    load: Load
    guessed: tuple[str, ...]
    leads: tuple[Lead, ...]
    steps: tuple[Step, ...]
    questions: tuple[str, ...]

    @property
    def minutes(self) -> int:
        """Minutes of setting up in all."""
        return sum(step.minutes for step in self.steps)


def needs_of(stage: Stage, gels: Mapping[str, str], bag_kg: float = BAG_KG) -> Needs:
    """Count what a set needs; `gels` has the words for each gel's name. Nothing is rendered.

    bag_kg  what one sandbag weighs
    """
    outlines = Outlines(stage)
    load, leads = load_of(stage), leads_of(stage, outlines)
    items = chain(
        camera_items(stage),
        gel_items(stage, gels),
        light_items(stage),
        grip_items(stage, measure_stands(stage, outlines), bag_kg),
        sound_items(stage),
        power_items(stage, load, leads),
        media_items(stage),
        battery_items(stage),
        extra_items(stage),
    )
    return Needs(
        title=stage.title,
        items=tuple(items),
        load=load,
        guessed=_guessed(stage, load),
        leads=leads,
        steps=steps_of(stage, leads),
        questions=tuple(_questions(stage, load)),
    )


def _guessed(stage: Stage, load: Load) -> tuple[str, ...]:
    given = stage.mains.power.circuits
    return tuple(n for n in load.circuits if n not in given or given[n].breaker_a is None)


def _questions(stage: Stage, load: Load) -> Iterator[str]:
    """What to ask whoever owns the place: nothing here may be guessed."""
    guessed = _guessed(stage, load)
    if guessed and load.load_w > 0.0:
        yield (
            f"What is the {listed(sorted({load.circuits[n].cut_by for n in guessed}))} of "
            f"{listed(guessed, 'and')} rated for, what else runs on it, and where is its board?"
        )
    if not stage.sockets and load.load_w > 0.0:
        yield "Where are the sockets? The list takes one in the middle of each wall."
    if load.load_w > 0.0:
        yield "Is there residual-current protection, and are the sockets earthed?"
    if stage.sound.boom is None and stage.sound.wearer is None:
        yield "Who records the voice? The scene has no microphone."
    yield (
        "What makes noise: fridge, ventilation, lift, pipes, street, neighbours? Who may turn it "
        "off, and who turns it on again?"
    )
    filmed = [n for n, o in stage.room.openings.items() if has_film(o)]
    if filmed:
        yield f"May film go on the glass of {listed(filmed, 'and')}, and is it double glazing?"
    if any(
        light.setting.stand == "none" and not light.practical for light in stage.lights.values()
    ):
        yield "What may lights hang from, for what load is it rated, and who may rig there?"
    lamps = [name for name, light in stage.lights.items() if light.practical]
    if lamps:
        yield f"Lamps of the room, {listed(lamps, 'and')}: are they there, may bulbs be changed?"
    yield "Where do cases stand, where may a van unload, and which ways and exits stay clear?"
